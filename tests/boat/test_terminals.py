"""The terminals of each kind of part."""

from server.boat.devices import Pack, PanelSection, PanelWay
from server.boat.parts import Battery, Charger, Converter, Isolator, Load, Panel
from server.boat.references import broken_references
from server.boat.terminals import section_terminals, terminals
from server.boat.value import Span, bounds, nominal
from tests.boat.make_golden import golden
from tests.boat.small_boat import PARTS, PILOT


def test_every_kind_has_terminals_of_distinct_names() -> None:
    names = {part.id: terminals(part) for part in golden().parts}

    assert all(len(set(own)) == len(own) >= 1 for own in names.values())
    assert broken_references(golden()) == ()


def test_terminals_follow_what_the_part_says_of_itself() -> None:
    battery = Battery(kind="battery", id="b", name="B", chemistry="lifepo4", nominal_voltage_v=12.8)
    separate = battery.model_copy(update={"pack": Pack(ports="separate")})
    common = battery.model_copy(update={"pack": Pack()})
    converter = Converter(kind="converter", id="c", name="C", output_v=12.0, rated_current_a=30.0)

    assert terminals(battery) == terminals(common) == ("positive", "negative")
    assert terminals(separate) == ("positive", "negative", "charge")
    assert terminals(converter) == ("input", "output", "negative", "enable")
    assert terminals(converter.model_copy(update={"isolated": True}))[-1] == "output-negative"
    assert terminals(Isolator(kind="isolator", id="i", name="I")) == ("input", "output-1", "output-2")
    charger = Charger(kind="charger", id="h", name="H", rated_current_a=20.0)
    assert terminals(charger) == ("output-1", "negative")
    relay = next(part for part in PARTS if part.id == "relay")
    assert terminals(relay) == ("in", "out", "coil-positive", "coil-negative")
    assert isinstance(PILOT, Load)
    assert terminals(PILOT) == ("main", "wake", "negative")


def test_a_panel_lists_feed_ways_and_studs_of_each_section() -> None:
    section = PanelSection(
        id="main", name="Main", polarity="positive", ways=(PanelWay(id="w1", name="One"),), studs=2
    )
    panel = Panel(kind="panel", id="p", name="P", sections=(section, section.model_copy(update={"id": "b"})))

    assert section_terminals(section) == ("main-feed", "main-w1", "main-stud-1", "main-stud-2")
    assert terminals(panel)[4:] == ("b-feed", "b-w1", "b-stud-1", "b-stud-2")


def test_a_figure_known_as_a_range_has_a_nominal_value_and_bounds() -> None:
    assert nominal(2.0) == 2.0
    assert nominal(Span(low=1.0, high=3.0)) == 2.0
    assert nominal(Span(low=1.0, high=3.0, value=1.5)) == 1.5
    assert bounds(2.0) == (2.0, 2.0)
    assert bounds(Span(low=1.0, high=3.0)) == (1.0, 3.0)
