"""One server a data folder: a lock that ends with the process that holds it."""

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

_NAME = "tapchart.lock"
_LOCKED_BYTE = 1 << 20  # far behind the text: on Windows a locked byte cannot be read by others


class FolderInUseError(Exception):
    """Another server already holds the data folder."""


@contextmanager
def folder_held(folder: Path) -> Iterator[Callable[[str], None]]:
    """Hold a data folder for as long as the block runs; gives a function that tells others who does.

    Raises:
        FolderInUseError: another server holds it; the message names that one.
        OSError: the folder cannot be made or written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / _NAME
    with path.open("a+b") as file:
        try:
            _lock(file)
        except OSError as error:
            first = path.read_text(encoding="utf-8", errors="replace").strip()
            raise FolderInUseError(
                f"{folder} is in use by {first or 'another server'}: "
                "stop that one, or give another folder with --data"
            ) from error

        def announce(holder: str) -> None:
            file.truncate(0)
            file.write(f"{holder} (process {os.getpid()})\n".encode())
            file.flush()

        announce("a server that is starting")
        yield announce


if sys.platform == "win32":  # pragma: no cover - only on Windows
    import msvcrt

    def _lock(file: BinaryIO) -> None:
        file.seek(_LOCKED_BYTE)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: BinaryIO) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
