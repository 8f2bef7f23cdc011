"""The picture of the turns between the combinations of battery switches, where it can be read."""

from typing import TYPE_CHECKING

from server.drawing.svg import Svg
from server.drawing.transitions import Box, Line, can_be_drawn, transitions

if TYPE_CHECKING:
    from collections.abc import Mapping

    from server.actions.switching import CombinationFact, SwitchingFacts, TurnFact

TITLE = "Combinations of the battery switches and the turns between them"


def switching_map(facts: "SwitchingFacts", urls: "Mapping[tuple[str, ...], str]") -> Svg | None:
    """The picture, each box leading to its turns; None where there are more switches than it holds."""
    dials = tuple(
        tuple(dict.fromkeys(one.at[number] for one in facts.combinations))
        for number in range(len(facts.switches))
    )
    if not can_be_drawn(dials) or not facts.every_turn:
        return None
    both_ways: dict[frozenset[tuple[str, ...]], list[TurnFact]] = {}
    for turn in facts.every_turn:
        both_ways.setdefault(frozenset({turn.at, turn.to}), []).append(turn)
    names = {one.at: " · ".join(one.positions) for one in facts.combinations}
    lines = tuple(_line(turns, names) for turns in both_ways.values())
    boxes = tuple(_box(one, names[one.at], urls[one.at]) for one in facts.combinations)
    return transitions(dials, boxes, lines, TITLE)


def _box(fact: "CombinationFact", words: str, url: str) -> Box:
    told = words + (", now" if fact.is_now else "") + (", shown" if fact.is_shown else "")
    if fact.alone:
        told += f": no battery for {', '.join(fact.alone)}"
    if fact.mixed:
        told += ": lithium beside lead"
    mark = "▲" if fact.alone or fact.mixed else ""
    return Box(fact.at, words, fact.is_now, mark, told, fact.is_shown, url)


def _line(turns: "list[TurnFact]", names: dict[tuple[str, ...], str]) -> Line:
    first = turns[0]
    told = f"{names[first.at]} to {names[first.to]} and back"
    lost = [turn for turn in turns if turn.lost_between]
    if lost:
        sure = "" if all(turn.certain for turn in lost) else ", if the switch breaks before it makes"
        told += f": {' and '.join(lost[0].lost_between)} loses its battery on the way{sure}"
        return Line(first.at, first.to, "▲", "danger", told)
    if any(turn.mixed for turn in turns):
        return Line(first.at, first.to, "▲", "danger", f"{told}: joins lithium and lead")
    after = next((turn.lost_after for turn in turns if turn.lost_after), ())
    if after:
        return Line(first.at, first.to, "", "danger", f"{told}: one way leaves {' and '.join(after)} alone")
    return Line(first.at, first.to, "", "sound", f"{told}: no charging source loses its battery")
