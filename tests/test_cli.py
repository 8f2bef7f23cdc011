"""The command line."""

import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest

from server.cli import main
from server.lock import folder_held
from server.settings import default_data_dir
from server.store import Repository

TAPCHART = Path(sys.executable).with_name("tapchart")


def test_a_folder_in_use_is_refused_with_the_first_servers_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with folder_held(tmp_path) as announce:
        announce("Tapchart at http://127.0.0.1:8310")
        status = main(["serve", "--port", "0", "--data", str(tmp_path)])

    assert status == 2
    assert "in use by Tapchart at http://127.0.0.1:8310" in capsys.readouterr().err


def test_a_taken_port_is_refused_with_a_way_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        status = main(["serve", "--port", str(port), "--data", str(tmp_path)])

    assert status == 2
    assert f"port {port} cannot be used" in capsys.readouterr().err


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")

    assert main(["serve", "--data", str(tmp_path / "file" / "boats")]) == 2
    assert "tapchart serve:" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [[], ["fly"], ["serve", "--port", "65536"], ["serve", "--port", "x"]])
def test_a_wrong_call_is_status_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as exit_info:
        main(arguments)

    assert exit_info.value.code == 2
    assert "usage: tapchart" in capsys.readouterr().err


def test_the_demo_boats_have_a_folder_of_their_own() -> None:
    assert default_data_dir(demo=True) != default_data_dir(demo=False)


@pytest.mark.parametrize(("way", "path"), [([], "/"), (["--lan"], "/join")], ids=["loopback", "lan"])
def test_serve_prints_its_address_answers_and_stops_on_ctrl_c(
    tmp_path: Path, way: list[str], path: str
) -> None:
    command = [str(TAPCHART), "serve", "--port", "0", "--data", str(tmp_path), *way]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        address = process.stdout.readline().split()[3]
        try:
            with urllib.request.urlopen(address + path) as answer:  # noqa: S310 - our own address
                page = answer.read().decode()
        finally:
            process.send_signal(signal.SIGINT)
        rest = process.stdout.read()

    assert "<title>" in page
    assert process.returncode == 0
    assert ("Join code" in rest) == bool(way)


def test_a_backup_is_taken_and_put_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data, saved = ["--data", str(tmp_path / "data")], str(tmp_path / "saved.sqlite3")
    Repository.open(tmp_path / "data", reserve_bytes=0).close()

    assert main(["backup", saved, *data]) == 0
    assert main(["restore", saved, *data]) == 0
    assert "The replaced ones: " in capsys.readouterr().out


def test_a_backup_never_overwrites_and_an_empty_folder_has_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, saved = ["--data", str(tmp_path / "data")], tmp_path / "saved.sqlite3"

    assert main(["backup", str(saved), *data]) == 2
    assert "holds no boats" in capsys.readouterr().err
    Repository.open(tmp_path / "data", reserve_bytes=0).close()
    saved.write_text("mine")
    assert main(["backup", str(saved), *data]) == 2
    assert saved.read_text() == "mine"


def test_nothing_is_put_back_while_a_server_has_the_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with folder_held(tmp_path) as announce:
        announce("Tapchart at http://127.0.0.1:8310")
        status = main(["restore", str(tmp_path / "saved"), "--data", str(tmp_path)])

    assert status == 2
    assert "in use by Tapchart" in capsys.readouterr().err
