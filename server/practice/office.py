"""An office's own ampacity table, entered from its own copy of a standard whose table may not be shipped."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field

from server.practice.sourced import NoFigure, Sourced
from server.units import Ampere, Celsius, Ratio

_STRICT = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
_ENTER = "enter it, or the cable maker's figure"


class OfficeFigure(BaseModel):
    """One cell: the figure in the column of an insulation temperature."""

    model_config = _STRICT

    insulation_c: Celsius = Field(ge=40, le=260)
    value: float = Field(gt=0, le=10_000)


class OfficeSize(BaseModel):
    """One row: a conductor size by the label it has in Tapchart, and its figures."""

    model_config = _STRICT

    label: str = Field(min_length=1, max_length=40)
    figures: tuple[OfficeFigure, ...] = Field(min_length=1, max_length=20)


class OfficeBundle(BaseModel):
    """What so many conductors in one bundle leave of the ampacity; without an end: or more."""

    model_config = _STRICT

    from_conductors: int = Field(ge=2, le=1_000)
    to_conductors: int | None = Field(default=None, ge=2, le=1_000)
    factor: Ratio = Field(gt=0, le=1)


class OfficeTable(BaseModel):
    """A table as an office typed it: from where, by whom, checked by whom."""

    model_config = _STRICT

    standard: str = Field(min_length=1, max_length=120)
    edition: str = Field(min_length=1, max_length=120)
    clause: str = Field(min_length=1, max_length=120)
    typed_by: str = Field(min_length=1, max_length=120)
    checked_by: str = Field(min_length=1, max_length=120)
    sizes: tuple[OfficeSize, ...] = Field(min_length=1, max_length=200)
    engine_space: tuple[OfficeFigure, ...] = Field(default=(), max_length=20)
    bundles: tuple[OfficeBundle, ...] = Field(default=(), max_length=20)

    @property
    def source(self) -> str:
        """The words that stand in every finding that rests on it."""
        return (
            f"office's own table, {self.standard}, edition {self.edition}, {self.clause}, "
            f"typed by {self.typed_by}, checked by {self.checked_by}"
        )


def office_ampacity(
    table: OfficeTable,
    label: str,
    insulation_c: Celsius,
    *,
    engine_space: bool = False,
    bundled_conductors: int = 1,
) -> Sourced | NoFigure:
    """Continuous current of a conductor as installed, by an office's own table, or why there is none.

    An insulation temperature between two columns is read in the lower one. A bundle smaller than any the
    table names takes nothing off.
    """
    row = next((one for one in table.sizes if one.label == label), None)
    if row is None:
        return NoFigure(reason=f"not judged: the office's own table has no row for {label}; {_ENTER}")
    base = _in_column(row.figures, insulation_c)
    if base is None:
        return NoFigure(
            reason=f"not judged: the office's own table has no figure for {label} of {insulation_c:g} °C "
            f"insulation; {_ENTER}"
        )
    amps: Ampere = base
    if engine_space:
        factor = _in_column(table.engine_space, insulation_c)
        if factor is None:
            return NoFigure(
                reason="not judged: the office's own table has no engine space factor for "
                f"{insulation_c:g} °C insulation; {_ENTER}"
            )
        amps *= factor
    amps *= next((one.factor for one in table.bundles if _holds(one, bundled_conductors)), 1.0)
    return Sourced(value=amps, unit="A", source=table.source, status="office")


def _in_column(figures: tuple[OfficeFigure, ...], insulation_c: Celsius) -> float | None:
    below = [one for one in figures if one.insulation_c <= insulation_c]
    return max(below, key=lambda one: one.insulation_c).value if below else None


def _holds(bundle: OfficeBundle, conductors: int) -> bool:
    return bundle.from_conductors <= conductors <= (bundle.to_conductors or conductors)
