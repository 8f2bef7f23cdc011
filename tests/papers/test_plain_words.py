"""What findings mean is told to an owner in plain words, whatever the finding."""

import re
from string import Formatter

import pytest

from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.finding import Finding
from server.papers.plain_words import SENTENCES, TOLD_AS_STARTS, plainly, too_big
from server.web.views.finding_kinds import KIND_OF
from tests.engine.demo import demo_boat
from tests.web.test_finding_kinds import codes

YARDS_TALK = re.compile(
    r"ABYC|ISO|CFR|E-11|AWG|mm²|ohm|Ω|µs|\bms\b|%|ampacity|interrupt|conductor\b|sag|transient|fault\b|"
    r"impedance|inrush|\d+\.\d+\.\d+",
    re.IGNORECASE,
)
"""Words and units that belong to a standard or to the trade, and not on an owner's sheet."""


def finding(code: str, *subjects: str, event: str | None = None) -> Finding:
    return Finding(
        code=code,
        severity="danger",
        subjects=subjects,
        event=event,
        message="By ABYC E-11.",
        source="ABYC E-11",
        source_status="verified",
    )


@pytest.fixture(scope="module")
def sloop() -> Boat:
    return demo_boat("1-sloop")


def test_every_code_has_a_sentence_of_its_own_and_no_sentence_is_of_no_code() -> None:
    assert set(SENTENCES) == codes() | set(KIND_OF)
    assert set(SENTENCES) >= TOLD_AS_STARTS


@pytest.mark.parametrize("code", sorted(SENTENCES))
def test_no_sentence_talks_as_a_standard_does(sloop: Boat, code: str) -> None:
    named = {name for _, name, _, _ in Formatter().parse(SENTENCES[code]) if name}
    told = plainly(sloop, finding(code, "autopilot", "supply", event="engine-start"))

    assert not YARDS_TALK.search(told)
    assert told[0].isupper()
    assert told.endswith(".")
    assert ("autopilot" in told) == ("it" in named)
    assert ("hen the engine starts, " in told) == ("when" in named)


def test_verbs_go_with_the_name(sloop: Boat) -> None:
    lights = next(part for part in sloop.parts if part.name.endswith("lights"))

    assert plainly(sloop, finding("drop-over-limit", lights.id)).startswith(f"The {lights.name[:1].lower()}")
    assert " lose too much voltage" in plainly(sloop, finding("drop-over-limit", lights.id))
    assert "autopilot loses too much voltage" in plainly(sloop, finding("drop-over-limit", "autopilot"))


def test_what_has_no_name_is_told_without_one(sloop: Boat) -> None:
    assert (
        plainly(sloop, finding("loose-end", "nowhere"))
        == "An end of something on this boat lands on nothing."
    )


@pytest.mark.parametrize("boat_id", ["1-sloop", "3-workboat"])
def test_each_finding_of_a_demo_boat_names_what_it_is_about(boat_id: str) -> None:
    boat = demo_boat(boat_id)
    found = [one for one in all_findings(Results(), boat_id, boat) if one.severity in {"danger", "fault"}]

    assert found
    for one in found:
        assert "something on this boat" not in plainly(boat, one)
        assert not YARDS_TALK.search(plainly(boat, one))


@pytest.mark.parametrize(
    ("device_a", "says"), [(100.0, "is too big: 100 A"), (140.0, "is far too big: 140 A")]
)
def test_how_much_too_big_a_fuse_is_stands_in_plain_words(device_a: float, says: str) -> None:
    told = too_big("cable 38", device_a, 70.0)

    assert told.startswith(f"The fuse or breaker of cable 38 {says} where 70 A protects it. ")
    assert told.endswith("The cable can burn before it opens.")
