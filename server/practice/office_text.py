"""An office's table as text: what a person types, pastes from a spreadsheet or keeps as a file.

Lines ``# key: value`` say where it comes from. Then one row a size, columns by insulation temperature; cells
are parted by semicolons, tabs or commas. ``engine space`` and ``bundle 4-6`` rows hold factors.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import ValidationError

from server.practice.office import OfficeBundle, OfficeFigure, OfficeSize, OfficeTable
from server.practice.sizes import UnknownSizeError, size

HEADS: Mapping[str, str] = {
    "standard": "Standard",
    "edition": "Edition",
    "clause": "Clause or table",
    "typed by": "Typed by",
    "checked by": "Checked by",
}
"""What has to be said of a table, with the words for it."""
MOST_LETTERS = 60_000
_EMPTY = frozenset({"", "-", "–", "—"})
_BUNDLE = re.compile(r"^bundle\s+(\d{1,4})\s*(?:(?:-|–|to)\s*(\d{1,4})|\+)?$")
_LONGEST_HEAD = 120
_MOST_COLUMNS = 21


@dataclass(frozen=True, slots=True)
class TextProblem:
    """What is wrong, where (``row 7``, or one of ``HEADS``), and what to do."""

    place: str
    message: str
    mend: str

    def __str__(self) -> str:
        """All three as one line."""
        return f"{self.place}: {self.message} {self.mend}"


class OfficeTextError(ValueError):
    """The text is no table; every problem is placed and explained."""

    def __init__(self, problems: tuple[TextProblem, ...]) -> None:
        super().__init__("\n".join(map(str, problems)))
        self.problems = problems


def read_office_table(text: str) -> OfficeTable:
    """The table that a text describes.

    Raises:
        OfficeTextError: with everything that is wrong, row by row.
    """
    if len(text) > MOST_LETTERS:
        raise OfficeTextError(
            (TextProblem("table", "it is too long.", "Enter one standard's table at a time."),)
        )
    reader = _Reader()
    for number, line in enumerate(text.splitlines(), 1):
        reader.read(number, line.strip().lstrip("\ufeff"))
    return reader.table()


def office_text(table: OfficeTable) -> str:
    """A table as text again, the same for the same table; ``read_office_table`` reads it back."""
    heads = {
        "standard": table.standard, "edition": table.edition, "clause": table.clause,
        "typed by": table.typed_by, "checked by": table.checked_by,
    }  # fmt: skip
    temperatures = sorted({one.insulation_c for row in table.sizes for one in row.figures})
    lines = [f"# {key}: {value}" for key, value in heads.items()]
    lines.append("; ".join(["size", *(f"{one:g}" for one in temperatures)]))
    rows = [(row.label, row.figures) for row in table.sizes]
    if table.engine_space:
        rows.append(("engine space", table.engine_space))
    for name, figures in rows:
        cells = {one.insulation_c: f"{one.value:g}" for one in figures}
        lines.append("; ".join([name, *(cells.get(one, "–") for one in temperatures)]))
    for one in table.bundles:
        end = "+" if one.to_conductors is None else f"-{one.to_conductors}"
        lines.append(f"bundle {one.from_conductors}{end}; {one.factor:g}")
    return "\n".join(lines) + "\n"


class _Reader:
    """Reads line after line and keeps what is wrong."""

    def __init__(self) -> None:
        self.heads: dict[str, str] = {}
        self.columns: tuple[float, ...] = ()
        self.is_begun = False
        self.sizes: dict[str, OfficeSize] = {}
        self.engine_space: tuple[OfficeFigure, ...] = ()
        self.bundles: list[OfficeBundle] = []
        self.problems: list[TextProblem] = []

    def read(self, number: int, line: str) -> None:
        """One line."""
        place = f"row {number}"
        if not line:
            return
        if line.startswith("#"):
            key, _, value = line.lstrip("# ").partition(":")
            self.heads[key.strip().casefold()] = value.strip()
            return
        cells = _cells(line)
        if not self.is_begun:
            self._header(place, cells)
        elif self.columns:
            self._row(place, cells[0].casefold(), cells)

    def _header(self, place: str, cells: list[str]) -> None:
        temperatures = [_number(cell.removesuffix("°C").removesuffix("C")) for cell in cells[1:]]
        known = [one for one in temperatures if one is not None]
        if len(known) < len(temperatures) or not known or sorted(set(known)) != known:
            self._wrong(
                place,
                "the first row does not name insulation temperatures in rising order.",
                "Write it like “size; 70; 90; 105”.",
            )
        elif not all(40 <= one <= 260 for one in known) or len(cells) > _MOST_COLUMNS:  # noqa: PLR2004
            self._wrong(
                place, "insulation temperatures lie between 40 and 260 °C.", "Look at the first row again."
            )
        else:
            self.columns = tuple(known)
        self.is_begun = True

    def _row(self, place: str, name: str, cells: list[str]) -> None:
        if name.startswith("bundle"):
            self._bundle(place, name, cells)
            return
        if name in {"engine space", "engine room", "engine-space"}:
            self.engine_space = self._figures(place, cells, most=1.0)
            return
        label = _label(cells[0])
        if label is None:
            self._wrong(
                place,
                f"“{cells[0][:40]}” is no conductor size, nor “engine space” or “bundle 4-6”.",
                "Write a size like 6, 6 mm² or 10 AWG.",
            )
        elif label in self.sizes:
            self._wrong(place, f"{label} stands there twice.", "Keep the row that is in the standard.")
        elif figures := self._figures(place, cells, most=10_000):
            self.sizes[label] = OfficeSize(label=label, figures=figures)

    def _figures(self, place: str, cells: list[str], *, most: float) -> tuple[OfficeFigure, ...]:
        found: list[OfficeFigure] = []
        values = cells[1:]
        if len(values) > len(self.columns):
            self._wrong(
                place,
                f"it has {len(values)} figures for {len(self.columns)} insulation temperatures.",
                "Take the extra ones out, or add their temperatures to the first row.",
            )
            return ()
        for cell, temperature in zip(values, self.columns, strict=False):
            if cell in _EMPTY:
                continue
            value = _number(cell)
            if value is None or not 0 < value <= most:
                unit = "a factor up to 1" if most == 1 else "a current in amperes"
                self._wrong(
                    place,
                    f"“{cell[:20]}” under {temperature:g} °C is not {unit}.",
                    "Write a number, or – where the standard has none.",
                )
            else:
                found.append(OfficeFigure(insulation_c=temperature, value=value))
        if not found and not any(problem.place == place for problem in self.problems):
            self._wrong(place, "it has no figure.", "Fill it in, or take the row out.")
        return tuple(found)

    def _bundle(self, place: str, name: str, cells: list[str]) -> None:
        match, factor = _BUNDLE.match(name), _number(cells[1] if len(cells) > 1 else "")
        if match is None or int(match[1]) < 2 or (match[2] and int(match[2]) < int(match[1])):  # noqa: PLR2004
            self._wrong(
                place, f"“{name[:40]}” names no bundle.", "Write “bundle 4-6; 0.7” or “bundle 25+; 0.5”."
            )
        elif factor is None or not 0 < factor <= 1:
            self._wrong(place, "its factor is not a number up to 1.", "Write it like “bundle 4-6; 0.7”.")
        else:
            end = int(match[2]) if match[2] else None if name.endswith("+") else int(match[1])
            self.bundles.append(OfficeBundle(from_conductors=int(match[1]), to_conductors=end, factor=factor))

    def _wrong(self, place: str, message: str, mend: str) -> None:
        self.problems.append(TextProblem(place, message, mend))

    def table(self) -> OfficeTable:
        """What was read, if nothing was wrong.

        Raises:
            OfficeTextError: something was.
        """
        problems = [*self._wrong_heads(), *self.problems]
        if not self.sizes and not self.problems:
            problems.append(
                TextProblem("table", "there is no row of a conductor size.", "Paste the table's rows.")
            )
        if problems:
            raise OfficeTextError(tuple(problems))
        try:
            return OfficeTable(
                standard=self.heads["standard"],
                edition=self.heads["edition"],
                clause=self.heads["clause"],
                typed_by=self.heads["typed by"],
                checked_by=self.heads["checked by"],
                sizes=tuple(self.sizes.values()),
                engine_space=self.engine_space,
                bundles=tuple(self.bundles),
            )
        except ValidationError:
            problem = TextProblem(
                "table", "it has more rows than any standard.", "Enter one table at a time."
            )
            raise OfficeTextError((problem,)) from None

    def _wrong_heads(self) -> Iterator[TextProblem]:
        for key, words in HEADS.items():
            value = self.heads.get(key, "")
            if not value:
                yield TextProblem(key, f"“{words}” is empty.", "Fill it in: it stands in every finding.")
            elif len(value) > _LONGEST_HEAD or not value.isprintable():
                yield TextProblem(
                    key, f"“{words}” is too long.", f"Use {_LONGEST_HEAD} plain letters at most."
                )


def _cells(line: str) -> list[str]:
    """The cells of a row; commas part them only where neither semicolons nor tabs do."""
    mark = next((one for one in (";", "\t") if one in line), ",")
    return [cell.strip() for cell in next(csv.reader([line], delimiter=mark))]


def _number(text: str) -> float | None:
    """A plain number; a comma may stand for the point.

    >>> _number("0,75"), _number("x")
    (0.75, None)
    """
    try:
        value = float(text.strip().replace(",", ".")) if text.isascii() else math.nan
    except ValueError:
        value = math.nan
    return value if math.isfinite(value) else None


def _label(text: str) -> str | None:
    """The label of a size as Tapchart writes it; a bare number is in mm².

    >>> _label("6"), _label("1,5 mm2"), _label("10 awg"), _label("wide")
    ('6 mm²', '1.5 mm²', '10 AWG', None)
    """
    plain = text.strip().replace(",", ".").replace("awg", "AWG").replace("sae", "SAE").replace("mm2", "mm²")
    number = _number(plain.removesuffix("mm²").strip())
    try:
        return size(plain if number is None else f"{number:g} mm²").label
    except UnknownSizeError:
        return None
