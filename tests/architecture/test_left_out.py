"""In CI a test that did not run is a failure."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CONFTEST = Path(__file__).resolve().parents[1] / "conftest.py"
PASSES = "def test_passes() -> None:\n    assert True\n\n"
SKIPS = (
    "import pytest\n\n@pytest.mark."
    + "skip(reason='no browser')\ndef test_left_out() -> None:\n    assert True\n"
)


def exit_status(folder: Path, source: str, *arguments: str, ci: str) -> int:
    shutil.copy(CONFTEST, folder)
    (folder / "test_sample.py").write_text(source)
    environment = {name: value for name, value in os.environ.items() if name != "PYTEST_ADDOPTS"} | {"CI": ci}
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *arguments],
        cwd=folder,
        env=environment,
        check=False,
        capture_output=True,
    )
    return run.returncode


@pytest.mark.parametrize(
    ("source", "arguments"),
    [
        (PASSES + SKIPS, ()),
        (PASSES + "def test_other() -> None:\n    assert True\n", ("-k", "passes")),
        ("", ()),
    ],
    ids=["skipped", "deselected", "empty"],
)
def test_leaving_out_fails_in_ci(tmp_path: Path, source: str, arguments: tuple[str, ...]) -> None:
    assert exit_status(tmp_path, source, *arguments, ci="true") != 0


def test_running_everything_passes_in_ci(tmp_path: Path) -> None:
    assert exit_status(tmp_path, PASSES, ci="true") == 0


def test_a_person_may_leave_out(tmp_path: Path) -> None:
    assert exit_status(tmp_path, PASSES + SKIPS, ci="") == 0
