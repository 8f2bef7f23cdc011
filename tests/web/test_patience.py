"""A client that sends its request head too slowly loses its connection; the others notice nothing."""

import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.main import create_app, listening_socket, web_server
from server.settings import Settings
from server.web.patience import PatientProtocol

HEAD = b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"
SOCKET_TIMEOUT_S = 20.0


@pytest.fixture
def address(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[str, int]]:
    monkeypatch.setattr(PatientProtocol, "head_timeout_s", 0.2)
    settings = Settings(data_dir=tmp_path, port=0)
    with listening_socket(settings) as listener:
        server = web_server(create_app(settings))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        yield listener.getsockname()
        server.should_exit = True
        thread.join()


def answer(connection: socket.socket) -> bytes:
    """All that comes until the server is silent behind a whole page, or closes."""
    got = b""
    while b"</html>" not in got and (piece := connection.recv(65536)):
        got += piece
    return got


@pytest.mark.parametrize("sent", [b"", HEAD], ids=["nothing", "half a head"])
def test_a_head_that_does_not_come_whole_is_not_waited_for(address: tuple[str, int], sent: bytes) -> None:
    with socket.create_connection(address, SOCKET_TIMEOUT_S) as connection:
        connection.sendall(sent)

        assert answer(connection) == b""


def test_the_second_head_on_a_connection_is_not_waited_for_either(address: tuple[str, int]) -> None:
    with socket.create_connection(address, SOCKET_TIMEOUT_S) as connection:
        connection.sendall(HEAD + b"\r\n")
        assert answer(connection).startswith(b"HTTP/1.1 200")
        connection.sendall(HEAD)

        assert answer(connection) == b""


def test_a_whole_head_is_answered(address: tuple[str, int]) -> None:
    with socket.create_connection(address, SOCKET_TIMEOUT_S) as connection:
        for byte in HEAD + b"\r\n":
            connection.sendall(bytes([byte]))

        assert answer(connection).startswith(b"HTTP/1.1 200")


def test_the_limit_of_open_files_is_raised() -> None:
    code = (
        "import resource as r; from server.web.patience import allow_many_connections as allow;"
        "r.setrlimit(r.RLIMIT_NOFILE, (256, 2000)); allow(); print(r.getrlimit(r.RLIMIT_NOFILE));"
        "allow(); print(r.getrlimit(r.RLIMIT_NOFILE))"
    )
    run = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)

    assert run.stdout.split("\n")[:2] == ["(2000, 2000)"] * 2
