"""Parts go by what the trade calls them (common practice, no source), never by the program's own kinds."""

import pytest

from server.actions.part_words import trade_name
from server.boat.presets import PRESETS
from tests.engine.demo import DEMO_BOATS, demo_boat

OWN_WORDS = {
    "contact",
    "load",
    "solar",
    "bonding",
    "combiner",
    "isolator",
    "converter",
    "post",
    "engine-block",
}


@pytest.mark.parametrize("boat", DEMO_BOATS)
def test_no_part_of_any_boat_goes_by_a_word_of_the_program(boat: str) -> None:
    for part in demo_boat(boat).parts:
        assert trade_name(part) not in OWN_WORDS
        assert "-" not in trade_name(part)


def test_switches_go_by_their_pattern_and_by_what_turns_them() -> None:
    named = {preset: trade_name(make("one", "One")) for preset, make in PRESETS.items()}

    assert named == {
        "on–off": "switch",
        "on/off/combine": "battery switch for two banks",
        "1/2/BOTH/OFF": "battery selector",
        "two-pole": "switch",
        "remote": "remote battery switch",
        "latching relay": "latching relay",
        "emergency parallel": "paralleling switch",
        "relay": "relay",
        "reversing contactor": "reversing contactor",
    }


def test_what_stands_on_the_sloop_has_its_trade_name() -> None:
    named = {trade_name(part) for part in demo_boat("1-sloop").parts}

    assert {"battery selector", "solar controller", "combining relay", "bonding bar", "radio"} <= named
