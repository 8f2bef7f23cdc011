"""The conditions of an event in words, and what of it is not computed."""

from collections.abc import Iterator

from server.boat.modes import Conditions
from server.engine.transient.model import BoatModel

NOT_COMPUTED = (
    "the heavy load's own coil beside it: what coils do when they are let go is solved by itself",
    "coupling between cables that share a run",
)


def conditions_in_words(conditions: tuple[Conditions, ...]) -> str:
    """What is stated; of several conditions the first that says something counts."""
    words = []
    for text, name in _WORDS:
        stated = next((v for c in conditions if (v := getattr(c, name)) is not None), None)
        if stated is not None:
            words.append(text.format(stated))
    return ", ".join(words) or "no conditions stated"


_WORDS = (
    ("charge {:.0%}", "state_of_charge"),
    ("battery at {:g} °C", "temperature_c"),
    ("age factor {:g}", "age_factor"),
    ("attempt {}", "attempt"),
    ("preheated with {:g} A", "preheat_before_a"),
    ("for {:g} s", "preheat_before_s"),
    ("{:g} A of preheating meanwhile", "preheat_during_a"),
    ("cranking {}", "cranking"),
)


def not_computed(model: BoatModel) -> Iterator[str]:
    """What the answer leaves out: for every event, and for this one."""
    names = model.solution.names
    yield from NOT_COMPUTED
    for element, why in sorted(set(model.net.unknown)):
        yield f"{names.element(element)}: {why}"
    for step, why in model.timed.left_out:
        yield f"{names.parts[step.part].name}: {step.action} at {step.at_s:g} s is left out: {why}"
    for part in model.unopened:
        yield f"{names.parts[part].name}: its contact is entered without any resistance, so it stays closed"
    if model.extent.late:
        *others, last = [names.input(*key) for key in model.extent.late]
        late = " and ".join([", ".join(others), last] if others else [last])
        yield f"{late}: without supply before the press, so not judged"
    for name in model.surges:
        yield f"{name}: its surge is taken as a resistance; how it begins and ends is its own affair"
    if model.preheat.remark:
        yield model.preheat.remark
    yield from model.drained.not_in_it
