"""The project's own folders are found, or missed aloud."""

import pytest

from server.bundled import bundled, htmx_folder


@pytest.mark.parametrize("name", ["templates", "static", "seed_boats"])
def test_our_folders_are_found(name: str) -> None:
    assert bundled(name).is_dir()


def test_a_missing_folder_says_what_to_do() -> None:
    with pytest.raises(
        FileNotFoundError, match="'charts' is missing from this installation: install Tapchart again"
    ):
        bundled("charts")


def test_htmx_is_where_the_build_put_it() -> None:
    assert [path.name for path in htmx_folder().glob("htmx*.js")] == ["htmx-2.min.js"]
