"""A boat drawn up from a pattern is wired as a careful yard would: the checks find no danger and no fault."""

import pytest

from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.drafts import PATTERNS, Wish, draft
from server.boat.finding import Finding

SHARES_ITS_BATTERY = frozenset({"too-close", "dips-low", "feeder-shared"})
"""What is told of patterns in which electronics share a battery with the starter: that is their nature."""
WISHES = (
    Wish(pattern="one-bank", name="Heron", length_m=6.0),
    Wish(pattern="one-bank", name="Heron", length_m=12.0, nominal_voltage_v=24, engine="medium"),
    Wish(pattern="selector", name="Heron", length_m=10.0),
    Wish(pattern="selector", name="Heron", length_m=10.0, profile="iso-metric"),
    Wish(pattern="combining-relay", name="Heron", length_m=9.0),
    Wish(pattern="combining-relay", name="Heron", length_m=18.0, nominal_voltage_v=24, engine="large"),
    Wish(pattern="two-engines", name="Heron", length_m=13.0, engine="medium"),
    Wish(pattern="lithium-house", name="Heron", length_m=11.0),
)


def judged(wish: Wish) -> tuple[Finding, ...]:
    """All findings of the boat of a wish."""
    return all_findings(Results(), wish.model_dump_json(), draft(wish))


def told(wish: Wish) -> str:
    """A wish in a few words."""
    return f"{wish.pattern}-{wish.nominal_voltage_v}-{wish.length_m:g}-{wish.profile}"


def test_every_pattern_but_the_blank_one_is_judged() -> None:
    assert {wish.pattern for wish in WISHES} == set(PATTERNS) - {"blank"}


@pytest.mark.parametrize("wish", WISHES, ids=told)
def test_a_drawn_up_boat_has_no_danger_and_no_fault(wish: Wish) -> None:
    assert [one.message for one in judged(wish) if one.severity in {"danger", "fault"}] == []


@pytest.mark.parametrize(
    "wish", [one for one in WISHES if one.pattern in {"combining-relay", "lithium-house"}], ids=told
)
def test_with_a_start_battery_of_its_own_nothing_dips(wish: Wish) -> None:
    assert not {one.code for one in judged(wish)} & SHARES_ITS_BATTERY
