"""The README's two commands are there, whole, and the ones that CI runs."""

import re
import shutil
import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def command_lines() -> list[str]:
    return [
        line for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL) for line in block.splitlines()
    ]


def test_one_line_serves_and_one_line_tests() -> None:
    whole = [line for line in command_lines() if line.startswith("python3 -m venv .venv && ")]

    assert [line.split(" && ")[-1] for line in whole] == [
        ".venv/bin/tapchart serve --demo",
        ".venv/bin/pytest",
    ]


def test_ci_runs_the_test_line_of_the_readme() -> None:
    run = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    (pattern,) = re.findall(r"grep -m 1 -E '([^']+)' README\.md", run)
    found = [line for line in README.splitlines() if re.search(pattern, line)]

    assert found == [line for line in command_lines() if line.endswith("pytest")]


def test_the_scripts_of_ci_are_whole_and_can_be_run() -> None:
    for name in ("run", "check"):
        script = ROOT / ".ci" / name
        assert script.stat().st_mode & 0o111
        assert subprocess.run([shutil.which("bash") or "bash", "-n", script], check=False).returncode == 0


def test_the_cautions_defer_to_standards_codes_and_licensed_practice() -> None:
    cautions = README.split("## Cautions")[1]

    for words in ("full text of the standards", "local codes", "licensed practice"):
        assert words in cautions
