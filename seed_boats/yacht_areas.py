"""The areas of the large yacht: a panel on its feeder, a junction box, and the cable of each load."""

from __future__ import annotations

from typing import Any

from yacht_draft import Draft, breaker, fuse, gauge_for
from yacht_tables import Area, Row, Spot

from server.practice.sizes import size

HOUSE_V = 24.0
CRITICAL_PERCENT, OTHER_PERCENT = 1.6, 6.0
"""Shares of the 3 % and 10 % that a load's own cable is sized for."""
FEEDER_PERCENT = 1.5
CRITICAL_ROLES = {
    "electronics", "autopilot", "radio", "backbone", "navigation-lights", "bilge-pump", "blower", "alarm",
    "engine-control",
}  # fmt: skip
COLOURS = {"navigation-lights": "dark grey", "lights": "dark blue", "pump": "brown", "bilge-pump": "brown"}
RATINGS_A = (5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0)


def area(draft: Draft, place: Area, stud: int) -> None:
    """An area's panel with its feeder, and the cables of its loads over the junction box."""
    zone = _zone(place)
    island = {"island": _island(place)}
    ways = [_way(row) for row in place.rows]
    spare = {
        "id": "spare",
        "name": "Spare",
        "device_kind": "breaker",
        "device": breaker(10.0),
        "normally": "off",
    }
    sections = [
        {
            "id": "dc",
            "name": place.name,
            "polarity": "positive",
            "bar_rating_a": 100.0,
            "ways": [*ways, spare],
        },
        {
            "id": "neg",
            "name": "Negative bar",
            "polarity": "negative",
            "bar_rating_a": 100.0,
            "studs": len(ways) + 3,
        },
    ]
    panel, box = f"panel-{place.slug}", f"box-{place.slug}"
    draft.part(
        "panel",
        (panel, f"Panel: {place.name}"),
        place.panel,
        zone,
        sections=sections,
        voltage_rating_v=65.0,
        **island,
    )
    draft.part(
        "connector", (box, f"Junction box: {place.name}"), place.box, zone, style="terminal-strip",
        pins=2 * len(ways), resistance_ohm=0.0005, rated_current_a=40.0, largest_mm2=10.0, **island,
    )  # fmt: skip
    feeder(draft, place, stud, panel)
    for n, row in enumerate(place.rows):
        branch(draft, place, n, row)


def _way(row: Row) -> dict[str, Any]:
    rating = next(rating for rating in RATINGS_A if rating >= 1.25 * row.design_a)
    return {"id": row.slug, "name": row.name, "device_kind": "breaker", "device": breaker(rating)}


def feeder(draft: Draft, place: Area, stud: int, panel: str) -> None:
    """The fused feeder of a panel from the main bar; a 12 V panel hangs behind its converter."""
    fuse_a = 100.0 if place.voltage_v == HOUSE_V else 50.0
    fuse(
        draft,
        (f"fuse-{place.slug}", f"Feeder fuse: {place.name}"),
        draft.spots["main-bar"],
        fuse_a,
        "battery-room",
    )
    draft.link(f"post-{place.slug}", f"main-bar.stud-{stud}", f"fuse-{place.slug}.line")
    plus, minus = f"{panel}.dc-feed", f"{panel}.neg-feed"
    if place.voltage_v != HOUSE_V:
        x, y, z = place.panel
        converter = f"converter-{place.slug}"
        draft.part(
            "converter", (converter, f"24 to 12 V converter: {place.name}"), (x, y, z - 0.6),
            f"{place.deck}-deck",
            output_v=13.6, rated_current_a=40.0, efficiency=0.88, minimum_input_v=18.0, role="supply",
            island=place.slug,
        )  # fmt: skip
        draft.wire(f"out-{place.slug}", (f"{converter}.output", plus), size("6 AWG"), colour="red")
        draft.wire(f"out-neg-{place.slug}", (minus, f"{converter}.negative"), size("6 AWG"), colour="black")
        plus, minus = f"{converter}.input", f"{converter}.negative"
    feed, back = (f"fuse-{place.slug}.load", plus), (minus, f"main-negative.stud-{stud + 15}")
    path = draft.way(*feed) + draft.way(*back)
    gauge = gauge_for(fuse_a, 0.5 * fuse_a, path, HOUSE_V * FEEDER_PERCENT / 100, hot=True)
    draft.wire(f"feed-{place.slug}", feed, gauge, colour="red")
    draft.wire(f"feed-neg-{place.slug}", back, gauge, colour="black")


def branch(draft: Draft, place: Area, n: int, row: Row) -> None:
    """One load and its twin cable, in two lengths that meet in the junction box."""
    x, y, z = place.box
    side = 1 if y >= 0 else -1
    load = place.load_id(row)
    spot = (round(x + 0.25 * (n % 10), 2), round(y + side * 0.2 * (n % 4), 2), round(z + 0.3 * (n % 3), 2))
    _load(draft, place, row, spot)
    panel, box = f"panel-{place.slug}", f"box-{place.slug}"
    plus, minus = 2 * n + 1, 2 * n + 2
    runs = (
        ("pos-a", f"{panel}.dc-{row.slug}", f"{box}.a-{plus}"),
        ("pos-b", f"{box}.b-{plus}", f"{load}.supply"),
        ("neg-b", f"{load}.negative", f"{box}.b-{minus}"),
        ("neg-a", f"{box}.a-{minus}", f"{panel}.neg-stud-{n + 1}"),
    )
    percent = CRITICAL_PERCENT if row.role in CRITICAL_ROLES else OTHER_PERCENT
    path = sum(draft.way(tail, head) for _, tail, head in runs)
    rating = _way(row)["device"]["rating_a"]
    gauge = gauge_for(
        rating, row.design_a, path, place.voltage_v * percent / 100, hot=_zone(place) == "engine-room"
    )
    cables = {half: draft.cable(f"c-{load}-{half}", "twin", 2) for half in "ab"}
    for name, tail, head in runs:
        colour = "black" if name.startswith("neg") else COLOURS.get(row.role, "red")
        draft.wire(
            f"{load}-{name}", (tail, head), gauge, cable=cables[name[-1]], colour=colour, sheathed="yes"
        )


def _load(draft: Draft, place: Area, row: Row, spot: Spot) -> None:
    demands: dict[str, dict[str, Any]] = {
        "power": {"kind": "constant-power", "power_w": row.amount},
        "resistive": {"kind": "resistive", "rated_power_w": row.amount, "rated_voltage_v": place.voltage_v},
        "motor": {"kind": "motor", "running_current_a": row.amount, "running_voltage_v": place.voltage_v},
    }
    supply: dict[str, Any] = {"id": "supply", "demand": demands[row.kind], "design_current_a": row.design_a}
    if row.minimum_v is not None:
        supply |= {"minimum_voltage_v": row.minimum_v, "limit_source": "Maker's data sheet"}
    name = f"{row.name}, {place.name.split()[-1]}" if place.slug.startswith("engine") else row.name
    title = name[0].upper() + name[1:]
    fields = {"role": row.role, "inputs": [supply], "island": _island(place)}
    draft.part("load", (place.load_id(row), title), spot, _zone(place), **fields)


def _zone(place: Area) -> str:
    return "engine-room" if place.slug.startswith("engine") else f"{place.deck}-deck"


def _island(place: Area) -> str:
    return "house" if place.voltage_v == HOUSE_V else place.slug
