"""The command line: one function and one line in the table for each command.

Exit status: 0 clean, 1 findings, 2 unusable input or a command that could not run.
"""

import json
import os
import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from server.settings import DEFAULT_PORT, Settings, default_data_dir

FINDINGS = 1
UNUSABLE = 2
PIPE_CLOSED = 141
"""What a shell reports of a program whose reader has gone: 128 and SIGPIPE."""


@dataclass(frozen=True)
class Command:
    """One sub-command: how it is called, what it takes, what it does (answering the exit status)."""

    name: str
    summary: str
    arguments: Callable[[ArgumentParser], None]
    run: Callable[[Namespace], int]


def _serve_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("--demo", action="store_true", help="serve the demo boats, in a folder of their own")
    parser.add_argument(
        "--lan",
        action="store_true",
        help="let other devices on this network join with a code; anyone on the network can read along",
    )
    parser.add_argument(
        "--port",
        type=_port,
        default=DEFAULT_PORT,
        metavar="N",
        help="TCP port (default %(default)s; 0: any free one)",
    )
    parser.add_argument("--data", type=Path, metavar="DIR", help="folder to keep the boats in")


def _port(text: str) -> int:
    port = int(text)
    if not 0 <= port < 1 << 16:
        raise ValueError(text)
    return port


def _serve(arguments: Namespace) -> int:
    from server.main import CannotServeError, serve

    settings = Settings(
        data_dir=arguments.data or default_data_dir(demo=arguments.demo),
        demo=arguments.demo,
        lan=arguments.lan,
        port=arguments.port,
    )
    try:
        with suppress(KeyboardInterrupt):  # Ctrl-C is how a person stops it
            serve(settings)
    except CannotServeError as error:
        print(f"tapchart serve: {error}", file=sys.stderr)
        return UNUSABLE
    return 0


def _schema_arguments(parser: ArgumentParser) -> None:
    parser.add_argument(
        "which", nargs="?", choices=("boat", "answer"), default="boat", help="which document (default: boat)"
    )


def _schema(arguments: Namespace) -> int:
    from server.actions.answer_document import answer_schema
    from server.boat.document import schema

    print(json.dumps(schema() if arguments.which == "boat" else answer_schema(), indent=1))
    return 0


def _check_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("boats", nargs="+", type=Path, metavar="BOAT", help="boat file")
    parser.add_argument(
        "--json", action="store_true", help="print the whole result, one object a line a file"
    )
    parser.add_argument(
        "--ampacity", type=Path, metavar="FILE", help="judge conductors by an office's own table, as text"
    )


def _check(arguments: Namespace) -> int:
    ampacity = None
    if arguments.ampacity is not None:
        ampacity = _table_text(arguments.ampacity)
        if ampacity is None:
            return UNUSABLE
    return max(_check_file(path, ampacity, as_json=arguments.json) for path in arguments.boats)


def _table_text(path: Path) -> str | None:
    """The text of an office's table; None, with everything that is wrong told, where it is none."""
    from server.practice.office_text import OfficeTextError, read_office_table

    try:
        text = path.read_text("utf-8-sig")
        read_office_table(text)
    except OSError as error:
        print(f"{path}: cannot be read: {error.strerror}. Give the name of a table file.", file=sys.stderr)
    except UnicodeDecodeError:
        print(f"{path}: is no text. Save the table as CSV in UTF-8.", file=sys.stderr)
    except OfficeTextError as error:
        for problem in error.problems:
            print(f"{path}: {problem}", file=sys.stderr)
    else:
        return text
    return None


def _check_file(path: Path, ampacity: str | None, *, as_json: bool) -> int:
    from server.actions.check import check, report
    from server.actions.troubles import DocumentError

    try:
        checked = check(path.read_bytes(), ampacity)
    except OSError as error:
        print(f"{path}: cannot be read: {error.strerror}. Give the name of a boat file.", file=sys.stderr)
        return UNUSABLE
    except DocumentError as error:
        for problem in error.problems:
            print(f"{path}: {problem}", file=sys.stderr)
        return UNUSABLE
    print(checked.document.model_dump_json() if as_json else report(checked))
    return 0 if checked.is_clean else FINDINGS


def _netlist_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("boat", type=Path, metavar="BOAT", help="boat file")
    parser.add_argument("--mode", required=True, metavar="M", help="id of a mode: its steady state")
    parser.add_argument("--event", metavar="E", help="id of an event in that mode: its first instant instead")
    parser.add_argument("--transient", action="store_true", help="the event's whole course in time")


def _netlist(arguments: Namespace) -> int:
    from server.actions.choices import UnknownChoiceError
    from server.actions.netlist import netlist_deck
    from server.actions.troubles import DocumentError

    path = arguments.boat
    try:
        body = path.read_bytes()
        print(netlist_deck(body, arguments.mode, arguments.event, transient=arguments.transient), end="")
    except OSError as error:
        print(f"{path}: cannot be read: {error.strerror}. Give the name of a boat file.", file=sys.stderr)
        return UNUSABLE
    except (DocumentError, UnknownChoiceError) as error:
        for line in str(error).splitlines():
            print(f"{path}: {line}", file=sys.stderr)
        return UNUSABLE
    return 0


def _event_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("boat", type=Path, metavar="BOAT", help="boat file")
    parser.add_argument("--mode", required=True, metavar="M", help="id of the mode")
    parser.add_argument("--event", required=True, metavar="E", help="id of an event in that mode")
    parser.add_argument("--bands", action="store_true", help="draw every assumption; takes seconds")


def _event(arguments: Namespace) -> int:
    from server.actions.choices import UnknownChoiceError
    from server.actions.events_in_time import UnsolvedEventError, event_report
    from server.actions.troubles import DocumentError

    path = arguments.boat
    try:
        print(event_report(path.read_bytes(), arguments.mode, arguments.event, bands=arguments.bands), end="")
    except OSError as error:
        print(f"{path}: cannot be read: {error.strerror}. Give the name of a boat file.", file=sys.stderr)
        return UNUSABLE
    except (DocumentError, UnknownChoiceError, UnsolvedEventError) as error:
        for line in str(error).splitlines():
            print(f"{path}: {line}", file=sys.stderr)
        return UNUSABLE
    return 0


def _folder_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="backup file")
    parser.add_argument("--demo", action="store_true", help="the folder of the demo boats")
    parser.add_argument("--data", type=Path, metavar="DIR", help="folder that the boats are kept in")


def _backup(arguments: Namespace) -> int:
    from server.actions.backups import take_backup
    from server.actions.troubles import StoreError

    try:
        take_backup(arguments.data or default_data_dir(demo=arguments.demo), arguments.file)
    except (StoreError, OSError) as error:
        print(f"tapchart backup: {error}. Nothing was written.", file=sys.stderr)
        return UNUSABLE
    print(f"All boats and their histories are in {arguments.file}.")
    return 0


def _restore(arguments: Namespace) -> int:
    from server.actions.backups import put_back
    from server.actions.troubles import StoreError
    from server.lock import FolderInUseError

    try:
        kept = put_back(arguments.data or default_data_dir(demo=arguments.demo), arguments.file)
    except (FolderInUseError, StoreError, OSError) as error:
        print(f"tapchart restore: {error}. The boats are as before.", file=sys.stderr)
        return UNUSABLE
    print(f"The boats of {arguments.file} are in place." + (f" The replaced ones: {kept}" if kept else ""))
    return 0


COMMANDS = (
    Command("serve", "serve the pages and print their address", _serve_arguments, _serve),
    Command("check", "print loads, findings and assumptions of boat files", _check_arguments, _check),
    Command("netlist", "print a mode or event as a circuit simulator's deck", _netlist_arguments, _netlist),
    Command("event", "print an event in time: start, run and release", _event_arguments, _event),
    Command("backup", "copy all boats into one file, also while they are served", _folder_arguments, _backup),
    Command(
        "restore",
        "put a backup in the place of all boats; stop the server first",
        _folder_arguments,
        _restore,
    ),
    Command("schema", "print the JSON Schema of a document", _schema_arguments, _schema),
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and answer its exit status."""
    parser = ArgumentParser(prog="tapchart", description="Planner for the DC wiring layout of a boat.")
    parser.add_argument("--version", action="version", version=f"tapchart {version('tapchart')}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for command in COMMANDS:
        sub = commands.add_parser(
            command.name, help=command.summary, description=command.summary.capitalize() + "."
        )
        command.arguments(sub)
        sub.set_defaults(run=command.run)
    arguments = parser.parse_args(argv)
    try:
        status: int = arguments.run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read has read enough; what is still buffered must not fail once more at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return status
