"""Where the project's own folders lie: beside the package in a checkout, inside it in a wheel."""

from importlib.resources import files
from pathlib import Path

_PACKAGE = Path(str(files("server")))


def bundled(name: str) -> Path:
    """The folder ``templates``, ``static`` or ``seed_boats`` of this installation.

    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    for place in (_PACKAGE / "_bundled" / name, _PACKAGE.parent / name):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"folder {name!r} is missing from this installation: install Tapchart again")


def htmx_folder() -> Path:
    """The folder that the build filled with htmx."""
    return Path(str(files("tapchart_htmx") / "htmx-2.min.js")).parent
