"""The history says in the trade's words which value was set, of which input or way, and what it is now."""

import pytest
from pydantic import JsonValue

from server.boat.edit_labels import label
from server.boat.edits import ChangeValue
from tests.engine.demo import demo_boat

SAID: list[tuple[str, str | None, str, JsonValue, str]] = [
    ("1-sloop", "autopilot", "inputs.0.minimum_voltage_v", 9.5, "lowest voltage it needs: 9.5 V"),
    ("1-sloop", "autopilot", "inputs.0.hold_up_s", {"low": 0.01, "high": 0.1},
     "time it rides through a dip: 0.01 to 0.1 s"),
    ("1-sloop", "autopilot", "inputs.0.demand.current_a", 8, "current: 8 A"),
    ("1-sloop", "selector", "order", "break-before-make", "make and break: break before make"),
    ("1-sloop", "alternator", "setpoint_v", None, "set voltage no longer stated"),
    ("2-trawler", "windlass-contactor", "coil.suppression", {"kind": "diode-and-zener", "clamp_v": 24.0},
     "coil, suppression: diode and zener"),
    ("1-sloop", "fridge", "bypasses_switch", "It keeps the food cold.",
     "why it stays alive with the battery switch off: It keeps the food cold."),
    ("1-sloop", "fridge", "heavy", True, "heavy: yes"),
    ("1-sloop", "fridge", "notes", "x" * 100, "notes changed"),
    ("1-sloop", None, "practice.ampacity_table", {"standard": "s"}, "ampacity table changed"),
    ("1-sloop", "gone", "inputs.0.power_w", 5, "power: 5 W"),
    ("1-sloop", None, "0", 1.0, "0: 1"),
]  # fmt: skip


@pytest.mark.parametrize(("boat", "subject", "field", "value", "said"), SAID)
def test_a_value_is_said_in_the_trades_words(
    boat: str, subject: str | None, field: str, value: JsonValue, said: str
) -> None:
    assert label(demo_boat(boat), ChangeValue(id=subject, field=field, value=value)).endswith(f": {said}")


def test_of_several_inputs_ways_and_sections_it_is_said_which() -> None:
    boat = demo_boat("1-sloop")
    two = next(part for part in boat.parts if part.kind == "load" and len(part.inputs) > 1)
    panel = next(part for part in boat.parts if part.kind == "panel" and part.sections[0].ways)
    section = panel.sections[0]
    of_input = label(boat, ChangeValue(id=two.id, field="inputs.1.minimum_voltage_v", value=9))
    of_way = label(boat, ChangeValue(id=panel.id, field="sections.0.ways.0.device.rating_a", value=15))
    of_main = label(boat, ChangeValue(id=panel.id, field="sections.0.main.rating_a", value=60))

    assert of_input == f"{two.name}: {two.inputs[1].name or two.inputs[1].id}, lowest voltage it needs: 9 V"
    assert of_way == f"{panel.name}: way {section.ways[0].name}, rating: 15 A"
    assert of_main == f"{panel.name}: {section.name}, main device, rating: 60 A"
