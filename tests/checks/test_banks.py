"""Banks that switches and relays join, and packs that open: common practice, no source; currents by hand."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.checks.banks import packs_that_open, sources_alone, unlike_banks_now
from server.checks.turns import banks_joined, turns_that_lose
from server.engine.analysis import analyse_mode
from tests.checks.small import part, read, small, wire


def two_banks(second: str = "agm", **more: object) -> dict[str, Any]:
    """The small boat, and a second bank that a parallel switch joins to the positive bus."""
    body = small()
    body["parts"] += [
        dict(part(body, "house"))
        | {"id": "start", "name": "Start battery", "chemistry": second, "use": "start", "bank": "start"}
        | more,
        {"kind": "fuse", "id": "start-fuse", "name": "Start fuse", "rating_a": 300.0},
        dict(part(body, "switch")) | {"id": "join", "name": "Parallel switch", "normal": "off"},
    ]
    body["conductors"] += [
        wire("p0", "start/positive", "start-fuse/line"),
        wire("p1", "start-fuse/load", "join/in"),
        wire("p2", "join/out", "plus/stud-4"),
        wire("p3", "start/negative", "minus/stud-4"),
    ]
    part(body, "fuse")["rating_a"] = 300.0
    return body


def joined(body: dict[str, Any]) -> dict[str, Finding]:
    return {one.code: one for one in banks_joined(read(body))}


def now(boat: Boat) -> list[Finding]:
    return list(unlike_banks_now(boat, analyse_mode(boat, boat.modes[0].id)))


def test_like_banks_of_like_charge_are_not_spoken_of() -> None:
    assert joined(two_banks()) == {}


def test_a_switch_that_can_put_lithium_beside_lead_is_told_before_it_is_turned() -> None:
    found = joined(two_banks("lifepo4"))["unlike-banks-joined"]

    assert found.severity == "advice"
    assert found.subjects == ("join", "house", "start")
    assert found.message.startswith("Parallel switch can put the house and the start side by side")


def test_the_current_between_them_is_held_to_what_stands_in_the_loop() -> None:
    """12.9 V against 12.1 V over two batteries of 5 mΩ, a fuse and nine metres of 10 AWG: about 13 A."""
    body = two_banks(rest_voltage_v=12.1)
    part(body, "house")["rest_voltage_v"] = 12.9
    part(body, "fuse")["rating_a"] = 10.0

    found = joined(body)["paralleling-current"]

    assert found.severity == "fault"
    assert found.subjects[:2] == ("join", "fuse")
    assert found.limit is not None
    assert found.limit.value == 10.0
    assert "as the batteries are stated" in found.message


def test_where_only_an_unlucky_charge_would_be_too_much_it_is_advice() -> None:
    body = two_banks()
    part(body, "join")["continuous_a"] = 8.0

    found = joined(body)["paralleling-current"]

    assert (found.severity, found.subjects[1]) == ("advice", "join")
    assert "at worst, one full and the other low" in found.message


def test_a_lithium_packs_own_limit_counts() -> None:
    body = two_banks("lifepo4", rest_voltage_v=12.0, pack={"charge_limit_a": 5.0})

    assert joined(body)["paralleling-current"].subjects[1] == "start"


def test_boats_without_modes_or_with_too_many_switches_are_left_out() -> None:
    body = two_banks("lifepo4")
    assert list(banks_joined(read(body | {"modes": []}))) == []
    body["parts"] += [dict(part(body, "join")) | {"id": f"more-{n}", "name": f"More {n}"} for n in range(14)]

    assert list(banks_joined(read(body))) == []


def test_of_many_switches_the_turns_next_to_the_modes_are_asked_for() -> None:
    body = two_banks("lifepo4")
    body["parts"] += [dict(part(body, "join")) | {"id": f"more-{n}", "name": f"More {n}"} for n in range(6)]

    assert joined(body)["unlike-banks-joined"].subjects[0] == "join"


def test_lithium_beside_lead_as_a_mode_stands_is_a_fault() -> None:
    body = two_banks("lifepo4")
    body["modes"][0]["positions"] = [{"part": "join", "position": "on"}]

    (one,) = now(read(body))

    assert (one.severity, one.mode, one.subjects) == ("fault", "sailing", ("house", "start"))
    assert now(read(two_banks("lifepo4"))) == []
    assert now(read(two_banks())) == []


def test_a_combining_relay_between_the_two_is_told_whichever_side_is_which() -> None:
    for sides in (("a", "b"), ("b", "a")):
        body = two_banks("lifepo4")
        body["parts"].append({"kind": "combiner", "id": "relay", "name": "Combining relay"})
        body["conductors"] += [
            wire("r1", f"relay/{sides[0]}", "plus/stud-5"),
            wire("r2", f"relay/{sides[1]}", "start-fuse/load"),
        ]

        (one,) = now(read(body))

        assert (one.severity, one.mode, one.subjects) == ("advice", None, ("relay", "house", "start"))
        assert "Use a DC-DC charger." in one.message


def charged_pack(**alternator: object) -> dict[str, Any]:
    """A lithium house bank with an alternator on the positive bus."""
    body = small()
    part(body, "house")["chemistry"] = "lifepo4"
    body["parts"].append(
        {"kind": "alternator", "id": "alt", "name": "Alternator", "rated_current_a": 60.0} | alternator
    )
    body["conductors"] += [
        wire("a1", "alt/positive", "plus/stud-4"),
        wire("a2", "alt/negative", "engine/stud-2"),
    ]
    body["modes"][0]["on"].append({"part": "alt"})
    return body


def opens(body: dict[str, Any]) -> list[Finding]:
    boat = read(body)
    return list(packs_that_open(boat, analyse_mode(boat, "sailing")))


@pytest.mark.parametrize(
    ("alternator", "severity", "words"),
    [
        ({"open_circuit_harms": "yes"}, "fault", "it is harmed by that"),
        ({"open_circuit_harms": "yes", "suppressor": "yes"}, "advice", "goes dark or follows its voltage"),
        ({"open_circuit_harms": "no"}, "advice", "goes dark or follows its voltage"),
        ({}, "cannot-tell", "ask its maker whether that harms it, and look for a suppressor"),
    ],
)
def test_a_pack_that_opens_leaves_the_alternator_alone(
    alternator: dict[str, Any], severity: str, words: str
) -> None:
    (one,) = opens(charged_pack(**alternator))

    assert (one.code, one.severity, one.subjects) == ("pack-opens", severity, ("house", "alt"))
    assert words in one.message


def test_another_battery_on_the_bus_keeps_it() -> None:
    body = charged_pack(open_circuit_harms="yes")
    body["parts"].append(
        dict(part(body, "house")) | {"id": "lead", "name": "Lead battery", "chemistry": "agm", "bank": "lead"}
    )
    body["conductors"] += [
        wire("b1", "lead/positive", "plus/stud-5"),
        wire("b2", "lead/negative", "minus/stud-5"),
    ]

    assert opens(body) == []


def test_a_source_that_does_not_run_is_not_told() -> None:
    body = charged_pack(open_circuit_harms="yes")
    body["modes"][0]["on"].pop()

    assert opens(body) == []


def test_a_boat_without_lithium_has_nothing_that_opens() -> None:
    body = charged_pack()
    part(body, "house")["chemistry"] = "agm"

    assert opens(body) == []


@pytest.mark.parametrize(
    ("harms", "severity", "words"),
    [
        ("no", "advice", "it charges nothing"),
        ("yes", "fault", "its voltage rises"),
        (None, "fault", "its voltage rises"),
    ],
)
def test_a_source_that_runs_with_no_battery_is_told(harms: str | None, severity: str, words: str) -> None:
    body = charged_pack(open_circuit_harms=harms)
    assert alone(body) == []
    body["modes"][0]["positions"] = [{"part": "switch", "position": "off"}]

    (one,) = alone(body)

    assert (one.code, one.severity, one.subjects, one.mode) == ("source-alone", severity, ("alt",), "sailing")
    assert words in one.message
    body["modes"][0]["on"].pop()
    assert alone(body) == []


def alone(body: dict[str, Any]) -> list[Finding]:
    boat = read(body)
    return list(sources_alone(boat, analyse_mode(boat, "sailing")))


def changeover(order: str | None, boat: dict[str, Any] | None = None) -> dict[str, Any]:
    """The alternator and the bus on a switch between two banks, 1 and 2, with OFF beside them."""
    body = boat or two_banks()
    body["parts"] += [
        {"kind": "alternator", "id": "alt", "name": "Alternator", "rated_current_a": 60.0},
        {"kind": "contact", "id": "dial", "name": "Changeover", "terminals": ["a", "b", "common"],
         "positions": [{"id": "off", "name": "OFF"},
                       {"id": "one", "name": "1", "closed": [["a", "common"]]},
                       {"id": "two", "name": "2", "closed": [["b", "common"]]}],
         "normal": "one", "is_battery_switch": True} | ({} if order is None else {"order": order}),
    ]  # fmt: skip
    body["conductors"] += [
        wire("d1", "plus/stud-5", "dial/a"),
        wire("d2", "start-fuse/load", "dial/b"),
        wire("d3", "dial/common", "alt/positive"),
        wire("d4", "alt/negative", "minus/stud-5"),
    ]
    return body


def test_a_switch_that_breaks_first_between_two_banks_takes_the_battery_off() -> None:
    (one,) = turns_that_lose(read(changeover("break-before-make")))

    assert (one.code, one.severity, one.subjects) == ("turn-loses-battery", "fault", ("dial", "alt"))
    assert "takes the battery off the alternator for an instant" in one.message
    assert list(turns_that_lose(read(changeover("make-before-break")))) == []


def test_of_a_switch_of_unknown_order_it_is_to_be_looked_up() -> None:
    (one,) = turns_that_lose(read(changeover(None)))

    assert one.severity == "cannot-tell"
    assert "look on it or in its maker's sheet" in one.message


def test_a_turn_to_off_is_no_such_turn() -> None:
    assert list(turns_that_lose(read(charged_pack()))) == []
    assert list(turns_that_lose(read(changeover(None) | {"modes": []}))) == []
    body = changeover(None)
    body["parts"] += [dict(part(body, "join")) | {"id": f"more-{n}", "name": f"More {n}"} for n in range(14)]
    assert list(turns_that_lose(read(body))) == []
