"""One server a data folder."""

from pathlib import Path

import pytest

from server.lock import FolderInUseError, folder_held


def test_a_second_holder_is_refused_and_told_who_is_first(tmp_path: Path) -> None:
    with folder_held(tmp_path) as announce:
        announce("Tapchart at http://127.0.0.1:9")

        with (
            pytest.raises(
                FolderInUseError, match=r"in use by Tapchart at http://127.0.0.1:9 \(process \d+\)"
            ),
            folder_held(tmp_path),
        ):
            pass


def test_the_folder_is_made_and_free_again_afterwards(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "boats"
    with folder_held(folder):
        pass

    with folder_held(folder) as announce:
        announce("the next one")
    assert (folder / "tapchart.lock").read_text().startswith("the next one (process ")


def test_two_folders_do_not_meet(tmp_path: Path) -> None:
    with folder_held(tmp_path / "one"), folder_held(tmp_path / "two"):
        assert (tmp_path / "two" / "tapchart.lock").exists()
