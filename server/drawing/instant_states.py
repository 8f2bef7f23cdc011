"""What the picture says at one instant of an event instead of what it says of the whole event."""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from server.drawing.circuit import Circuit, Rung
from server.drawing.states import RungState, States
from server.engine.answer import ModeAnswer

if TYPE_CHECKING:
    from server.engine.transient.instant import InstantAnswer


def at_instant(
    told: States, c: Circuit, answer: ModeAnswer | None, event_id: str | None, instant: "InstantAnswer"
) -> States:
    """The same picture with the currents and voltages of an instant, nothing of lowest or steady ones."""
    needs = _needs(answer, event_id)
    rungs = {
        rung.key: _state(rung, told.rungs.get(rung.key, RungState()), needs, instant) for rung in c.rungs
    }
    return replace(told, currents_a=instant.current_a, rungs=rungs)


def _needs(answer: ModeAnswer | None, event_id: str | None) -> dict[str, float]:
    """What each input needs in the event, where that is known."""
    if answer is None:
        return {}
    return {
        load.id: hit.need_v
        for load in answer.loads
        for hit in load.events
        if hit.event == event_id and hit.need_v is not None
    }


def _state(rung: Rung, told: RungState, needs: Mapping[str, float], instant: "InstantAnswer") -> RungState:
    amps = sum(amount for key, amount in instant.heavy_a.items() if _part(key) == rung.part)
    if any(_part(key) == rung.part for key in instant.heavy_a):
        return RungState(f"{amps:.0f} A", None, "draws now", "", f"draws {amps:.0f} A now")
    if rung.kind == "source":
        return _source(rung, instant)
    parts = rung.members or (rung.part,)
    stands = {key: volts for key, volts in instant.input_v.items() if _part(key) in parts}
    if not stands:
        return RungState("", None, told.word if told.verdict is None else "", "", told.word)
    key = min(stands, key=lambda one: (stands[one] - needs.get(one, 0.0), stands[one]))
    volts, need = stands[key], needs.get(key)
    word = "" if need is None or volts >= need else f"below its {need:.1f} V"
    count = f"{len(rung.members)} loads" if rung.members else ""
    figure = f"{volts:.1f} V now"
    return RungState(figure, None, word, count, ", ".join(text for text in (figure, word) if text))


def _source(rung: Rung, instant: "InstantAnswer") -> RungState:
    """What a charging source of one output gives."""
    if rung.part not in instant.current_a or len(rung.left) > 1:
        return RungState()
    figure = f"{abs(instant.current_a[rung.part]):.0f} A"
    return RungState(figure, None, "gives now", "", f"gives {figure} now")


def _part(key: str) -> str:
    """The part of ``part.input``."""
    return key.partition(".")[0]
