"""What may differ between installations."""

from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_data_path

DEFAULT_PORT = 8310


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How one server runs; read once, in ``main``.

    Attributes:
        data_dir: the folder of the database; made when it is missing.
        demo: whether the demo boats are put in.
        lan: whether other devices on the network may join; else only this machine is served.
        port: TCP port; 0 takes any free one.
        lan_names: names and addresses under which other devices may reach this machine.
    """

    data_dir: Path
    demo: bool = False
    lan: bool = False
    port: int = DEFAULT_PORT
    lan_names: tuple[str, ...] = ()


def default_data_dir(*, demo: bool) -> Path:
    """The platform's folder for a person's data; the demo boats have one of their own."""
    folder = user_data_path("tapchart", appauthor=False)
    return folder / "demo" if demo else folder / "boats"
