"""Whether a rule binds a boat as law or standard, or is a yardstick for it."""

from server.boat.boat import Boat
from server.boat.finding import RuleKind
from server.practice.profiles import profile
from server.practice.rules import Rule


def rule_kind(boat: Boat, spoken: Rule) -> RuleKind:
    """How a rule speaks to a boat.

    33 CFR 183 Subpart I is law for boats with petrol inboard engines alone (183.405); a standard speaks to
    boats whose practice is built on it; to all others either is a yardstick.
    """
    if spoken.rule_set == "33-cfr-183":
        practice = boat.practice
        is_law = practice.propulsion_fuel == "petrol" and practice.propulsion in {"inboard", "sail-drive"}
        return "law" if is_law else "yardstick"
    return "standard" if spoken.rule_set == profile(boat.practice.profile).standard else "yardstick"
