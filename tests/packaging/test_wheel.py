"""A built wheel, installed where nothing else is, serves its pages. Needs a package index."""

import os
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


def test_an_installed_wheel_serves_the_first_page_and_htmx(address: str) -> None:
    assert "<h1>" in fetched(address)
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
