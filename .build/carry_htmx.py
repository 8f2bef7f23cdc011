"""Carry one htmx file from a pinned build requirement into the wheel, checked by its SHA-256."""

from hashlib import sha256
from importlib.resources import as_file, files
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FILE = "htmx-2.min.js"
SHA256 = "71ea67185bfa8c98c39d31717c6fce5d852370fcdfd129db4543774d3145c0de"


class CarryHtmx(BuildHookInterface):  # type: ignore[type-arg]
    """Adds the file as ``tapchart_htmx/htmx-2.min.js``; a changed file stops the build."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Name the file to hatchling, for wheels and editable installs alike.

        Raises:
            ValueError: the file is not the one this project was tried with.
        """
        source = files("django_htmx").joinpath("static", "django_htmx", FILE)
        with as_file(source) as path:
            found = sha256(path.read_bytes()).hexdigest()
            if found != SHA256:
                raise ValueError(
                    f"{FILE} has SHA-256 {found}, expected {SHA256}: pin the build requirement again"
                )
            build_data["force_include"][str(path)] = f"tapchart_htmx/{FILE}"
