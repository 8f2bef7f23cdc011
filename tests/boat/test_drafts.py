"""Boats drawn up from a few answers: whole documents, wired as their pattern says."""

from collections import Counter
from dataclasses import replace
from itertools import product
from typing import Literal

import pytest

from server.boat.boat import Boat
from server.boat.caps import broken_caps
from server.boat.document import boat_bytes, read_boat
from server.boat.drafts import PATTERNS, Wish, draft
from server.boat.drafts.sheet import Sheet
from server.boat.drafts.sizing import bought, device_a, gauge_for
from server.boat.drafts.wish import EngineSize, PatternName
from server.boat.parts import Alternator, Battery, Combiner, Contact, Converter, Load
from server.practice.profiles import ProfileKey
from server.practice.sizes import size

SIZES: tuple[tuple[float, EngineSize], ...] = ((5.0, "small"), (12.0, "medium"), (30.0, "large"))
KINDS: tuple[tuple[Literal[12, 24], ProfileKey], ...] = ((12, "us-recreational"), (24, "iso-metric"))
WISHES = [
    Wish(
        pattern=pattern,
        name="Heron",
        nominal_voltage_v=volts,
        length_m=length_m,
        engine=engine,
        profile=profile,
    )
    for pattern, (length_m, engine), (volts, profile) in product(PATTERNS, SIZES, KINDS)
]


def drawn(pattern: PatternName, length_m: float = 10.0) -> Boat:
    """A 12 V boat of a pattern."""
    return draft(Wish(pattern=pattern, name="Heron", length_m=length_m))


def count(boat: Boat, kind: type) -> int:
    """How many parts of a kind it has."""
    return sum(isinstance(part, kind) for part in boat.parts)


@pytest.mark.parametrize(
    "wish", WISHES, ids=lambda wish: f"{wish.pattern}-{wish.nominal_voltage_v}-{wish.length_m:g}"
)
def test_every_draft_is_a_document_that_reads_back_the_same(wish: Wish) -> None:
    boat = draft(wish)

    assert read_boat(boat_bytes(boat)) == boat
    assert not broken_caps(boat)
    assert boat.name == "Heron"
    assert boat.practice.profile == wish.profile


@pytest.mark.parametrize(
    "wish", WISHES, ids=lambda wish: f"{wish.pattern}-{wish.nominal_voltage_v}-{wish.length_m:g}"
)
def test_no_two_lugs_share_a_stud_and_no_end_is_loose(wish: Wish) -> None:
    boat = draft(wish)
    ends = [end for one in boat.conductors for end in (one.tail, one.head)]
    studs = Counter(f"{end.part}.{end.terminal}" for end in ends if end and end.terminal.startswith("stud"))

    assert None not in ends
    assert all(lugs == 1 for lugs in studs.values())
    assert {one.length_basis for one in boat.conductors if one.kind == "wire"} <= {"estimated"}


def test_a_blank_boat_has_nothing_but_its_answers() -> None:
    boat = draft(Wish(pattern="blank", name="Heron", nominal_voltage_v=24, length_m=7.5))

    assert (boat.parts, boat.conductors, boat.modes) == ((), (), ())
    assert (boat.nominal_voltage_v, boat.length_m) == (24.0, 7.5)


def test_each_pattern_has_what_its_name_says() -> None:
    assert {one.bank for one in drawn("one-bank").parts if isinstance(one, Battery)} == {"House"}
    selectors = [one for one in drawn("selector").parts if isinstance(one, Contact) and one.id == "selector"]
    assert [one.id for one in selectors[0].positions] == ["off", "one", "both", "two"]
    assert count(drawn("combining-relay"), Combiner) == 1
    twin = drawn("two-engines")
    assert (count(twin, Alternator), count(twin, Combiner), len(twin.events)) == (2, 2, 2)
    lithium = drawn("lithium-house")
    assert count(lithium, Converter) == 1
    assert {one.chemistry for one in lithium.parts if isinstance(one, Battery)} == {"lifepo4", "agm"}


def test_longer_boats_carry_more() -> None:
    short, long = drawn("one-bank", 5.0), drawn("one-bank", 12.0)

    assert count(short, Load) < count(long, Load)
    assert not any(part.id == "autopilot" for part in short.parts)


def test_a_24_v_bank_is_strings_of_two() -> None:
    boat = draft(Wish(pattern="one-bank", name="Heron", nominal_voltage_v=24))
    batteries = [part.name for part in boat.parts if isinstance(part, Battery)]

    assert batteries[:2] == ["House battery 1A", "House battery 1B"]
    assert any(one.id == "house-series-1-1" for one in boat.conductors)


def test_metric_practice_buys_metric_sizes_with_no_less_copper() -> None:
    labels = {
        one.size.label
        for one in draft(Wish(pattern="selector", name="Heron", profile="iso-metric")).conductors
        if one.size
    }

    assert all(label.endswith("mm²") for label in labels)
    chosen = bought(size("2/0 AWG"), Wish(pattern="blank", name="Heron", profile="iso-metric"))
    assert (chosen.label, chosen.area_mm2 >= size("2/0 AWG").area_mm2) == ("70 mm²", True)


def test_a_device_has_a_quarter_to_spare() -> None:
    """Common practice, no source: 125 % of the continuous current, then the next usual rating."""
    assert device_a(8.0) == 10.0
    assert device_a(8.1) == 15.0


def test_what_cannot_be_bought_is_refused() -> None:
    with pytest.raises(ValueError, match="no usual device"):
        device_a(1e5)
    with pytest.raises(ValueError, match="no gauge carries"):
        gauge_for(1e4, 10.0, 5.0, 0.3, hot=False)
    huge = replace(size("4/0 AWG"), area_mm2=1e4)
    with pytest.raises(ValueError, match="no metric size"):
        bought(huge, Wish(pattern="blank", name="Heron", profile="iso-metric"))


def test_a_part_without_a_place_has_no_distance() -> None:
    sheet = Sheet(Wish(pattern="blank", name="Heron"))
    part = next(one for one in drawn("one-bank").parts if isinstance(one, Battery))
    sheet.put(part.model_copy(update={"place": None}))

    with pytest.raises(ValueError, match="has no place"):
        sheet.metres(f"{part.id}.positive", f"{part.id}.negative")
