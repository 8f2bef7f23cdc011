"""When heavy loads are pressed and released: as an event's steps say, else once and for an assumed time."""

from collections.abc import Callable
from dataclasses import dataclass

from server.boat.modes import Event, EventStep
from server.engine.netlist_rows import Terminal
from server.units import Second


@dataclass(frozen=True, slots=True)
class Press:
    """A heavy load pressed and released; zero is the first press of the event."""

    key: Terminal
    press_s: Second
    release_s: Second


@dataclass(frozen=True, slots=True)
class Schedule:
    """All presses of an event, and its other steps, as stated, with zero at the first press.

    ``first_s`` is when that is by the event's own count.
    """

    presses: tuple[Press, ...]
    others: tuple[EventStep, ...]
    first_s: Second = 0.0

    def at_s(self, step: EventStep) -> Second:
        """When a step happens, counted from the first press."""
        return step.at_s - self.first_s


def schedule(event: Event, heavy: frozenset[Terminal], hold_s: Callable[[Terminal], Second]) -> Schedule:
    """The presses of an event.

    ``hold_s`` says for how long a heavy load is held where no release is stated. Steps without an input mean
    the one heavy input of their part.
    """
    main = (event.heavy.part, event.heavy.input)
    pressed: dict[Terminal, Second] = {}
    presses, others = list[Press](), list[EventStep]()
    for step in sorted(event.steps, key=lambda step: step.at_s):
        key = _meant(step, heavy, main)
        if key is None or step.action in {"switch", "start"}:
            others.append(step)
        elif step.action == "press":
            pressed.setdefault(key, step.at_s)
        elif key in pressed and step.at_s > pressed[key]:
            presses.append(Press(key, pressed.pop(key), step.at_s))
    presses += [Press(key, at_s, at_s + hold_s(key)) for key, at_s in pressed.items()]
    if not any(press.key == main for press in presses):
        presses.append(Press(main, 0.0, hold_s(main)))
    first_s = min(press.press_s for press in presses)
    moved = (Press(one.key, one.press_s - first_s, one.release_s - first_s) for one in presses)
    return Schedule(tuple(sorted(moved, key=lambda one: (one.press_s, one.key))), tuple(others), first_s)


def _meant(step: EventStep, heavy: frozenset[Terminal], main: Terminal) -> Terminal | None:
    """The heavy input that a step means; None where it means something else."""
    if step.input is not None:
        return (step.part, step.input) if (step.part, step.input) in heavy else None
    if step.part == main[0]:
        return main
    return next((key for key in sorted(heavy) if key[0] == step.part), None)
