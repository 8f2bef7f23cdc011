"""The ways of a panel section as a list: one a line with its amperes, from the top down."""

from pydantic import JsonValue

from server.boat.boat import Boat
from server.boat.catalogue.ways import way_of
from server.boat.devices import Overcurrent, PanelSection, PanelWay
from server.boat.edits import ChangeValue, EditError
from server.boat.ids import new_id
from server.boat.leads import Landings
from server.boat.parts import Panel

MOST_WAYS = 100


def way_lines(section: PanelSection) -> str:
    """The list as it stands."""
    return "\n".join(_line(way) for way in section.ways)


def _line(way: PanelWay) -> str:
    rating = None if way.device is None else way.device.rating_a
    return way.name if rating is None else f"{way.name}, {rating:g}"


def ways_edit(boat: Boat, panel: Panel, section_id: str, text: str) -> ChangeValue:
    """Give a section these ways, as one edit; what is wired to a way stays on it.

    A line goes to the way of that name; a way in use whose name is not there any more takes the next line
    that names no way, as its new name. A new way gets a device like its neighbours'.

    Raises:
        EditError: there is no such section, too many lines, or no line left for a way that is in use.
    """
    place, section = _section(panel, section_id)
    lines = [way_of(line.strip()) for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_WAYS:
        raise EditError(
            "ways", f"a section has at most {MOST_WAYS} ways.", "Give the rest to another section."
        )
    old = _matched(boat, panel, section, [name for name, _ in lines])
    ways = [
        _way(section, old.get(n), name or f"Way {n + 1}", rating) for n, (name, rating) in enumerate(lines)
    ]
    value: list[JsonValue] = [way.model_dump(mode="json", exclude_none=True) for way in ways]
    return ChangeValue(id=panel.id, field=f"sections.{place}.ways", value=value)


def _section(panel: Panel, section_id: str) -> tuple[int, PanelSection]:
    for place, section in enumerate(panel.sections):
        if section.id == section_id:
            return place, section
    raise EditError("section", "this panel has no such section.", "Load the page again.")


def _matched(boat: Boat, panel: Panel, section: PanelSection, names: list[str]) -> dict[int, PanelWay]:
    """Which line keeps which way."""
    by_name: dict[str, list[PanelWay]] = {}
    for way in section.ways:
        by_name.setdefault(way.name.casefold(), []).append(way)
    kept: dict[int, PanelWay] = {}
    for n, name in enumerate(names):
        if same := by_name.get(name.casefold()):
            kept[n] = same.pop(0)
    landings = Landings.of(boat)
    left = [way for way in section.ways if way not in kept.values()]
    in_use = [way for way in left if landings.at(panel.id, f"{section.id}-{way.id}")]
    free = [n for n in range(len(names)) if n not in kept]
    if len(free) < len(in_use):
        way = in_use[len(free)]
        raise EditError(
            "ways", f"a cable lies on way “{way.name}”.", "Keep its line, or move the cable first."
        )
    return kept | dict(zip(free, in_use, strict=False))


def _way(section: PanelSection, old: PanelWay | None, name: str, rating_a: float | None) -> PanelWay:
    """A way as its line says; a device of another rating is another device, known by its class alone."""
    like = next((way for way in section.ways if way.device_kind is not None), None)
    if old is None:
        old = PanelWay(id=new_id("way"), name=name[:120])
        kind = "breaker" if like is None else like.device_kind
        device = None if like is None else like.device
    else:
        kind, device = old.device_kind or ("breaker" if rating_a is not None else None), old.device
        if rating_a == (None if device is None else device.rating_a):
            return old.model_copy(update={"name": name[:120]})
    named_class = None if device is None else device.device_class
    new = Overcurrent(rating_a=rating_a, device_class=named_class)
    return old.model_copy(update={"name": name[:120], "device_kind": kind, "device": new})
