"""Practice profiles: which law, standard and habits a boat is judged by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from server.practice.sizes import GaugeSystem
from server.practice.sourced import Status

RuleSet = Literal["33-cfr-183", "abyc-e11", "iso-10133"]
ProfileKey = Literal["us-recreational", "iso-metric"]
DropOrigin = Literal["battery", "panelboard"]
HandbookFormula = Literal["circular-mil", "metric"]

RULE_SET_TITLES: dict[RuleSet, str] = {
    "33-cfr-183": "33 CFR Part 183 Subpart I (law for boats with petrol inboard engines, else a yardstick)",
    "abyc-e11": "ABYC E-11 (voluntary standard)",
    "iso-10133": "ISO 10133 and ISO 13297 (standard)",
}


RULE_SET_NAMES: dict[RuleSet, str] = {
    "33-cfr-183": "33 CFR 183",
    "abyc-e11": "ABYC E-11",
    "iso-10133": "ISO 10133",
}
"""What a finding calls the rule that spoke."""


@dataclass(frozen=True, slots=True)
class Profile:
    """One way of judging: the standard that speaks, the law beside it, and where drop is counted from."""

    key: ProfileKey
    title: str
    standard: RuleSet
    law: RuleSet | None
    drop_counted_from: DropOrigin
    drop_origin_source: str
    drop_origin_status: Status
    handbook_formula: HandbookFormula
    gauge_systems: tuple[GaugeSystem, ...]


PROFILES: tuple[Profile, ...] = (
    Profile(
        key="us-recreational",
        title="US recreational practice",
        standard="abyc-e11",
        law="33-cfr-183",
        drop_counted_from="panelboard",
        drop_origin_source="ABYC E-11 sizing formula: from the circuit's source, which may be a panelboard",
        drop_origin_status="verified",
        handbook_formula="circular-mil",
        gauge_systems=("awg", "sae"),
    ),
    Profile(
        key="iso-metric",
        title="ISO small craft practice, metric",
        standard="iso-10133",
        law=None,
        drop_counted_from="battery",
        drop_origin_source="ISO 10133, drop counted from the battery",
        drop_origin_status="memory",
        handbook_formula="metric",
        gauge_systems=("metric",),
    ),
)


def profile(key: ProfileKey) -> Profile:
    """The profile with this key."""
    return next(candidate for candidate in PROFILES if candidate.key == key)
