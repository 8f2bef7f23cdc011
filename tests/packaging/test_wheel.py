"""A built wheel, installed where nothing else is, serves its pages. Needs a package index."""

import os
import re
import shutil
import signal
import subprocess
import sys
import urllib.request
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run([sys.executable, "-m", "build", "--outdir", str(folder), str(ROOT)], folder)
    (built,) = folder.glob("*.whl")  # made from the source archive, so that one is whole too
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of programs of an environment that holds the wheel and what it asks for."""
    folder = tmp_path_factory.mktemp("empty")
    venv.create(folder, with_pip=True)
    programs = folder / ("Scripts" if os.name == "nt" else "bin")
    run([str(programs / "python"), "-m", "pip", "install", "-q", "--no-compile", str(wheel)], folder)
    return programs


@pytest.fixture
def address(installed: Path, tmp_path: Path) -> Iterator[str]:
    command = [str(installed / "tapchart"), "serve", "--demo", "--port", "0", "--data", str(tmp_path)]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    with subprocess.Popen(
        command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        yield process.stdout.readline().split()[3]
        process.send_signal(signal.SIGINT)


@pytest.fixture
def tampered(tmp_path: Path) -> Path:
    """The least that builds, with another hash written where the hook compares."""
    for name in ("pyproject.toml", "README.md", "LICENSE", ".gitignore"):
        shutil.copy(ROOT / name, tmp_path)
    for name in ("server", "templates", "static", "seed_boats"):
        (tmp_path / name).mkdir()
    (tmp_path / "server" / "__init__.py").touch()
    hook = (ROOT / ".build" / "carry_htmx.py").read_text()
    (expected,) = re.findall(r'^SHA256 = "([0-9a-f]{64})"$', hook, re.MULTILINE)
    (tmp_path / ".build").mkdir()
    (tmp_path / ".build" / "carry_htmx.py").write_text(hook.replace(expected, "0" * 64))
    return tmp_path


def run(command: list[str], cwd: Path) -> None:
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def fetched(url: str) -> str:
    with urllib.request.urlopen(url) as answer:  # noqa: S310 - the server just started
        text: str = answer.read().decode()
    return text


def test_the_wheel_holds_our_folders_and_no_tests(wheel: Path) -> None:
    tops = {tuple(name.split("/")[:3]) for name in zipfile.ZipFile(wheel).namelist()}
    bundled = {top[2] for top in tops if top[:2] == ("server", "_bundled")}

    assert bundled == {"templates", "static", "seed_boats"}
    assert {top[0].split("-")[0] for top in tops} == {"server", "tapchart_htmx", "tapchart"}


def test_a_changed_htmx_stops_the_build(tampered: Path) -> None:
    command = [sys.executable, "-m", "build", "--wheel", "--outdir", str(tampered / "dist"), str(tampered)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)

    assert done.returncode != 0
    assert f"expected {'0' * 64}" in done.stdout + done.stderr


def test_an_installed_wheel_serves_the_first_page_and_htmx(address: str) -> None:
    assert "<title>" in fetched(address)
    assert 'version:"2.' in fetched(f"{address}/lib/htmx-2.min.js")
    assert "@layer" in fetched(f"{address}/static/css/base.css")


def test_the_environment_holds_no_build_lender(installed: Path) -> None:
    """The package that lends htmx to the build must not reach the person who runs Tapchart."""
    names = subprocess.run(
        [installed / "python", "-m", "pip", "list", "--format=freeze"],
        check=True,
        capture_output=True,
        text=True,
    ).stdout.lower()

    assert "tapchart==" in names
    assert "django" not in names
