"""A file of survey rows, CSV or XLSX, as text to be read: nothing is worked out, and nothing trusted."""

import io
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError

from server.actions.survey_text import MOST_CELLS, TableError, as_text, trimmed

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

MOST_BYTES = 1_000_000
MOST_UNPACKED_BYTES = 8_000_000
MOST_ENTRIES = 200
MOST_LINES = 2_000
WHOLE_BELOW = 1e15
"""Up to here every whole number is told exactly."""
_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_BYTE_ORDER_MARK = "\ufeff"
_AGAIN = "Save it again as CSV in UTF-8 or as XLSX, then send it."
_BROKEN = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    EOFError,
    LookupError,
    NotImplementedError,
    OSError,
    ParseError,
    RecursionError,
    TypeError,
    ValueError,
    zipfile.BadZipFile,
    zlib.error,
)
"""What reading a damaged workbook may end in."""


def table_text(body: bytes) -> str:
    """The rows of a file, heads and all, as text that ``survey_text.read_text`` reads.

    Raises:
        TableError: it is no such file, too large, or damaged; it says where.
    """
    if not body:
        raise TableError("file", "it is empty.", "Choose another file.")
    if len(body) > MOST_BYTES:
        raise TableError("file", f"it has more than {MOST_BYTES:,} bytes.", "Send the rows in parts.")
    if body.startswith(_ZIP):
        return as_text(_workbook_rows(body))
    if body.startswith(_OLD_WORKBOOK):
        raise TableError("file", "this is a workbook of the old kind.", _AGAIN)
    return _decoded(body)


def _decoded(body: bytes) -> str:
    try:
        text = body.decode("utf-8").removeprefix(_BYTE_ORDER_MARK)
    except UnicodeDecodeError as error:
        line = body[: error.start].count(b"\n") + 1
        raise TableError(f"line {line}, byte {error.start}", "this is not UTF-8.", _AGAIN) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise TableError(f"line {line}", "this is no text.", _AGAIN)
    return text


def _workbook_rows(body: bytes) -> Iterator[list[str]]:
    """The cells of a workbook's first sheet, its formulas as text."""
    from openpyxl import load_workbook

    _refuse_bomb(body)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(body), read_only=True, keep_links=False)
            sheet = book.worksheets[0]
            rows = [trimmed(list(map(_text, row))) for row in _bounded(sheet)]
    except TableError:
        raise
    except _BROKEN as error:
        raise TableError("workbook", f"it is damaged ({type(error).__name__}).", _AGAIN) from None
    yield from rows


def _bounded(sheet: "Worksheet") -> Iterator[tuple[object, ...]]:
    rows = sheet.iter_rows(max_col=MOST_CELLS + 1, values_only=True)
    yield from islice(rows, MOST_LINES)
    if next(rows, None) is not None:
        message = f"it goes on beyond line {MOST_LINES}."
        raise TableError(
            f"sheet “{sheet.title[:40]}”", message, "Take out empty lines, or send the rows in parts."
        )


def _refuse_bomb(body: bytes) -> None:
    """Look at what a workbook says of its size before any of it is unpacked; no more is unpacked then."""
    try:
        entries = zipfile.ZipFile(io.BytesIO(body)).infolist()
    except _BROKEN as error:
        raise TableError("workbook", f"it is damaged ({type(error).__name__}).", _AGAIN) from None
    if len(entries) > MOST_ENTRIES or sum(one.file_size for one in entries) > MOST_UNPACKED_BYTES:
        message = f"it would unpack to more than {MOST_UNPACKED_BYTES:,} bytes or {MOST_ENTRIES} pieces."
        raise TableError("workbook", message, "Keep the rows alone in a new workbook, then send that.")


def _text(value: object) -> str:
    """A cell as it reads; whole numbers without a point."""
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float() if value.is_integer() and abs(value) < WHOLE_BELOW:
            return str(int(value))
        case _:
            return str(getattr(value, "text", value) or "")
