"""Files that are broken on purpose, made here: boat documents, and survey rows as CSV and XLSX."""

import io
import json
import random
import zipfile
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from openpyxl import Workbook

from server.bundled import bundled

SEED = (bundled("seed_boats") / "4-outboard.json").read_bytes()
ROWS = ("Number,From,To,Size,Length,Fuse", "1,Battery,Bus,10 AWG,2.5,15", "2,Bus,Radio,14 AWG,3,")


@dataclass(frozen=True)
class Broken:
    """One file, and what is wrong with it."""

    name: str
    body: bytes


def boats() -> Iterator[Broken]:
    """Boat documents."""
    yield from _cut(SEED, "boat", 40)
    yield from _wrong_values()
    yield from _wrong_shapes()
    yield from _wrong_bytes()


def tables() -> Iterator[Broken]:
    """CSV files that are no table of survey rows."""
    text = "\n".join(ROWS)
    yield Broken("csv: empty", b"")
    for name, encoding in (("utf-16", "utf-16"), ("utf-32", "utf-32"), ("latin-1", "latin-1")):
        yield Broken(f"csv: {name}", f"{text}\n3,Küche,,,".encode(encoding))
    yield Broken("csv: a byte of no text", text.encode() + b"\n3,\xff\xfe,")
    yield Broken("csv: a zero byte", text.encode() + b"\n3,\0,")
    yield Broken("csv: a quote never closed", f'{text}\n3,"Battery,Bus\n4,x,y'.encode())
    yield Broken("csv: a quote in the middle", f'{text}\n3,"Battery" plus,Bus'.encode())
    yield Broken("csv: one endless cell", f"{text}\n3,{'x' * 200_000}".encode())
    yield Broken("csv: too many cells", f"{text}\n{'x,' * 60}".encode())
    yield Broken("csv: too many rows", "\n".join(f"{n},a" for n in range(400)).encode())
    yield Broken("csv: two megabytes", b"1,a\n" * 500_000)
    yield Broken("csv: a picture", b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    yield Broken("csv: an old workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500))


def wrong_rows() -> Iterator[Broken]:
    """CSV files whose one row cannot be put in: what is wrong stands beside it."""
    for column, cells in {
        "size": ("10", "thick", "=A1", "1e400", "-4 AWG", "9" * 60, "\u0661\u0660 AWG"),
        "length": (
            "NaN",
            "inf",
            "-1",
            "0",
            "1e308",
            "9" * 400,
            "=2+3",
            "@SUM(1)",
            "1_0",
            "0x10",
            "2 to",
            "501",
        ),
        "fuse": ("NaN", "-5", "0", "1e9", "=1+1", "ten", "+-3", "'=1"),
        "what": ("x" * 121, "bell \x07", "\x1b[31m"),
        "note": ("x" * 251, "a\x0bb"),
        "colour": ("r" * 200,),
        "number": ("7" * 130,),
    }.items():
        for n, cell in enumerate(cells, start=1):
            yield Broken(f"row: {column} {n}", f'From,{column}\nBattery: positive,"{cell}"\n'.encode())


def workbooks() -> Iterator[Broken]:
    """Workbooks that cannot be read."""
    whole = workbook()
    yield from _cut(whole, "xlsx", 30, first=5)
    with zipfile.ZipFile(io.BytesIO(whole)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    for name in ("xl/workbook.xml", "xl/worksheets/sheet1.xml", "[Content_Types].xml"):
        yield Broken(
            f"xlsx: without {name}", _packed({key: body for key, body in parts.items() if key != name})
        )
        for what, body in _BAD_XML:
            yield Broken(f"xlsx: {what} for {name}", _packed(parts | {name: body}))
    sheet = "xl/worksheets/sheet1.xml"
    for what, data in _BAD_SHEETS:
        yield Broken(f"xlsx: {what}", _packed(parts | {sheet: _sheet(data)}))
    yield Broken("xlsx: a bomb of zeros", _packed(parts | {"xl/media/zeros.bin": bytes(30_000_000)}))
    yield Broken("xlsx: a sheet of zeros", _packed(parts | {sheet: b"<worksheet>" + b" " * 30_000_000}))
    yield Broken("xlsx: a thousand pieces", _packed(parts | {f"xl/p{n}.xml": b"<a/>" for n in range(1000)}))
    yield Broken("xlsx: only a signature", b"PK\x03\x04")
    yield Broken("xlsx: another archive", _packed({"readme.txt": b"no workbook"}))
    yield Broken("xlsx: damaged in the middle", _flipped(whole, len(whole) // 2))
    yield Broken("xlsx: two megabytes", whole + bytes(2_000_000))


def workbook(*rows: tuple[object, ...]) -> bytes:
    """A workbook with some rows, or with the usual ones."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows or tuple(tuple(line.split(",")) for line in ROWS):
        sheet.append(list(row))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


_BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">'
    b'<!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;"><!ENTITY e "&d;&d;&d;&d;&d;&d;&d;&d;&d;&d;">]><a>&e;</a>'
)
_OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/hostname">]><a>&x;</a>'
_BAD_XML = (
    ("no XML", b"nothing of the kind"),
    ("half of an element", b"<workbook><sheets>"),
    ("a bomb of entities", _BOMB),
    ("a file from outside", _OUTSIDE),
    ("zero bytes", bytes(64)),
)
_CELLS = "".join(
    f'<row r="{n}"><c r="A{n}" t="inlineStr"><is><t>x</t></is></c></row>' for n in range(1, 2100)
)
_BAD_SHEETS = (
    ("a row at the end of the world", '<row r="1048576"><c r="A1048576"><v>1</v></c></row>'),
    ("too many rows", _CELLS),
    ("a column that is none", '<row r="1"><c r="1A"><v>1</v></c></row>'),
    ("a text that is not there", '<row r="1"><c r="A1" t="s"><v>999999</v></c></row>'),
    ("a number that is none", '<row r="1"><c r="A1" t="n"><v>one</v></c></row>'),
    ("a date that is none", '<row r="1"><c r="A1" t="d"><v>never</v></c></row>'),
)


def _sheet(data: str) -> bytes:
    space = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return f'<worksheet xmlns="{space}"><sheetData>{data}</sheetData></worksheet>'.encode()


def _packed(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as packed:
        for name, body in parts.items():
            packed.writestr(name, body)
    return out.getvalue()


def _cut(whole: bytes, what: str, times: int, first: int = 1) -> Iterator[Broken]:
    """The beginning of a file, of many lengths."""
    for n in range(times):
        length = first + (len(whole) - first - 3) * n // times
        yield Broken(f"{what} cut after {length} bytes", whole[:length])


def _flipped(whole: bytes, at: int) -> bytes:
    return whole[:at] + bytes(255 - byte for byte in whole[at : at + 60]) + whole[at + 60 :]


WRONG_NUMBERS: tuple[object, ...] = ("wrong", [], True, {"low": 3, "high": 1})
WRONG_NAMES: tuple[object, ...] = (7, None, "No Id", "x" * 40)


def _wrong_values() -> Iterator[Broken]:
    """Some leaf of the document as something that it cannot be, the same ones each time."""
    chance, tree = random.Random(1), json.loads(SEED)
    numbers = [path for path, leaf in _leaves(tree) if isinstance(leaf, float)]
    texts = [
        path for path, leaf in _leaves(tree) if isinstance(leaf, str) and path[-1] in {"id", "kind", "part"}
    ]
    for path in chance.sample(numbers, 20):
        for value in WRONG_NUMBERS:
            yield _with(tree, path, value)
    for path in chance.sample(texts, 10):
        for text in WRONG_NAMES:
            yield _with(tree, path, text)
    for figure in ("NaN", "Infinity", "-Infinity", "1e999", "-1e999", "9" * 5000):
        body = SEED.replace(b'"nominal_voltage_v": 12.0', f'"nominal_voltage_v": {figure}'.encode(), 1)
        yield Broken(f"boat: a voltage of {figure[:12]}", body)


def _with(tree: dict[str, Any], path: tuple[str | int, ...], value: object) -> Broken:
    changed = deepcopy(tree)
    place: Any = changed
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    return Broken(f"boat: {'.'.join(map(str, path))} is {str(value)[:12]}", json.dumps(changed).encode())


def _leaves(tree: object, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], object]]:
    if isinstance(tree, dict | list):
        for key, value in tree.items() if isinstance(tree, dict) else enumerate(tree):
            yield from _leaves(value, (*path, key))
    else:
        yield path, tree


def _wrong_shapes() -> Iterator[Broken]:
    """Ids twice, names that meet nothing, rings, keys twice, unknown or missing, too much, too deep."""
    tree = json.loads(SEED)
    for group in ("parts", "cables", "conductors", "modes"):
        yield Broken(
            f"boat: {group} twice", json.dumps(tree | {group: [*tree[group], tree[group][0]]}).encode()
        )
        yield Broken(f"boat: {group} is an object", json.dumps(tree | {group: {}}).encode())
        unknown = [{**tree[group][0], "colour of hope": "green"}, *tree[group][1:]]
        yield Broken(f"boat: an unknown key in {group}", json.dumps(tree | {group: unknown}).encode())
    for key in ("format", "version", "name", "nominal_voltage_v"):
        yield Broken(f"boat: no {key}", json.dumps({k: v for k, v in tree.items() if k != key}).encode())
    load = next(one for one in tree["parts"] if one["kind"] == "load")
    ring = {**load, "inputs": [{**load["inputs"][0], "returns_to": load["inputs"][0]["id"]}]}
    parts = [ring if one is load else one for one in tree["parts"]]
    yield Broken("boat: an input that returns to itself", json.dumps(tree | {"parts": parts}).encode())
    for end in ("tail", "head"):
        for spot in (
            {"part": "nobody", "terminal": "positive"},
            {"part": load["id"], "terminal": "nowhere"},
            "x",
        ):
            wires = [{**tree["conductors"][0], end: spot}, *tree["conductors"][1:]]
            yield Broken(f"boat: {end} at {spot}", json.dumps(tree | {"conductors": wires}).encode())
    wire = tree["conductors"][0]
    many = [{**wire, "id": f"w{n}"} for n in range(4100)]
    yield Broken(
        "boat: too many conductors", json.dumps(tree | {"conductors": [*tree["conductors"], *many]}).encode()
    )
    for depth in (300, 2_000, 200_000):
        deep = b"[" * depth + b"]" * depth
        yield Broken(
            f"boat: {depth} deep", b'{"format": "tapchart.boat", "version": 1, "parts": ' + deep + b"}"
        )
    yield Broken("boat: a key twice", SEED.replace(b'"version": 1', b'"version": 1, "version": 1', 1))
    for version in ("0", "2", "true", '"1"', "1.5"):
        yield Broken(
            f"boat: version {version}", SEED.replace(b'"version": 1', f'"version": {version}'.encode(), 1)
        )
    for body in (b"", b"[]", b"null", b"7", b'"boat"', b"{}", b'{"format": "another.format", "version": 1}'):
        yield Broken(f"boat: {body.decode() or 'nothing'}", body)


def _wrong_bytes() -> Iterator[Broken]:
    """Other encodings, marks that JSON has not, and characters that nobody can print."""
    text = SEED.decode()
    for encoding in ("utf-16", "utf-32", "utf-16-le"):
        yield Broken(f"boat: in {encoding}", text.encode(encoding))
    yield Broken(
        "boat: in latin-1", text.replace('"name": "', '"name": "Möwe ', 1).encode("latin-1", "replace")
    )
    for what, mark in (("a zero", "\\u0000"), ("half a character", "\\ud800"), ("a bell", "\\u0007")):
        yield Broken(f"boat: {what} in its name", text.replace('"name": "', f'"name": "{mark}', 1).encode())
    for what, old, new in (
        ("a comma more", "{", "{,"),
        ("a quote less", '"format"', '"format'),
        ("single quotes", '"', "'"),
        ("a remark", "{", "{ // remark\n"),
    ):
        yield Broken(f"boat: {what}", text.replace(old, new, 1).encode())
