"""What was typed about a part or a cable, as answers, or what is wrong with it."""

from collections.abc import Mapping

from server.actions.fitting import CableAnswers
from server.actions.survey_sizes import printed_size
from server.actions.survey_spots import Spots
from server.boat.boat import Boat
from server.boat.catalogue import Entry, Question
from server.boat.value import TerminalRef
from server.practice.sizes import UnknownSizeError
from server.web.forms import Wrong, number
from server.web.views.fitting_fields import LEADS, Errors, has_leads

LONGEST_M = 500.0
LARGEST_FUSE_A = 2000.0
LONGEST_NAME = 120
KEPT = ("size", "colour", "measured")
"""What stands in the fields of the next cable as it was given for the last."""
KEPT_OF_LEADS = ("head", "size")

Known = dict[str, str | float | None]


def part_answers(entry: Entry, typed: Mapping[str, str]) -> tuple[str, Known, Errors]:
    """Name and answers of a part as typed, and what is wrong with them by field."""
    errors: dict[str, str] = {}
    name = typed.get("name", "").strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        errors["name"] = f"Enter a name of 1 to {LONGEST_NAME} characters."
    answers: Known = {}
    for asked in entry.questions:
        answer = _answer(asked, typed.get(asked.key, ""))
        if isinstance(answer, Wrong):
            errors[asked.key] = answer.message
        else:
            answers[asked.key] = answer
    return name, answers, errors


def _answer(asked: Question, text: str) -> str | float | Wrong | None:
    if asked.kind == "lines":
        return text if text.strip() or not asked.needed else Wrong("Enter one a line.")
    if asked.kind == "choice":
        return text if text in dict(asked.choices) else Wrong("Choose one of the list.")
    if not text.strip() and not asked.needed:
        return None
    value = number(text, asked.unit, asked.usual or "10", at_most=asked.most)
    if asked.kind == "count" and isinstance(value, float) and value != round(value):
        return Wrong("Enter a whole number.")
    return value


def lead_answers(boat: Boat, entry: Entry, typed: Mapping[str, str]) -> tuple[CableAnswers | None, Errors]:
    """The leads of a load as typed; None where nothing was said of them."""
    if not has_leads(entry) or not any(typed.get(one.name, "").strip() for one in LEADS):
        return None, {}
    return cable_answers(boat, {one.name: typed.get(one.name, "") for one in LEADS})


def cable_answers(boat: Boat, typed: Mapping[str, str]) -> tuple[CableAnswers, Errors]:
    """A cable as typed, and what is wrong with it by field; ends, size, length and fuse may stay open."""
    errors: dict[str, str] = {}
    spots = Spots(boat)
    taken = {end for one in boat.conductors for end in (one.tail, one.head) if end is not None}

    def end(key: str) -> TerminalRef | None:
        text = typed.get(key, "").strip()
        found = spots.called(text, taken) if text else None
        if text and found is None:
            asked = spots.which(text) or "Choose one of the terminals in the list."
            errors[key] = f"{asked} Left empty it is a loose end."
        return found

    def figure(key: str, unit: str, most: float) -> float | None:
        text = typed.get(key, "")
        value = number(text, unit, "4.5", at_most=most) if text.strip() else None
        if isinstance(value, Wrong):
            errors[key] = value.message
            return None
        return value

    tail, head = end("tail"), end("head")
    if tail is not None and tail == head:
        errors["head"] = "Choose another terminal than at the first end."
    label = typed.get("size", "").strip()
    try:
        chosen = printed_size(label).label if label else None
    except UnknownSizeError as error:
        words = str(error)
        chosen, errors["size"] = None, f"{words[:1].upper()}{words[1:]}."
    fuse_a = figure("fuse", "A", LARGEST_FUSE_A)
    if fuse_a is not None and tail is None and "tail" not in errors:
        errors["tail"] = "A fuse needs a terminal to sit on: say where the cable begins."
    answers = CableAnswers(
        tail=tail,
        head=head,
        size=chosen,
        length_m=figure("length", "m", LONGEST_M),
        measured=typed.get("measured") != "no",
        number=typed.get("number", "").strip()[:LONGEST_NAME] or None,
        colour=typed.get("colour", "").strip()[:LONGEST_NAME] or None,
        fuse_a=fuse_a,
    )
    return answers, errors


def next_cable(typed: Mapping[str, str]) -> dict[str, str]:
    """What stands in the fields after a cable was put in: what usually stays, and the next number.

    Nothing after a part, which alone has a name.
    """
    if "name" in typed:
        return {}
    kept = {key: typed[key] for key in KEPT if key in typed}
    given = typed.get("number", "").strip()
    return kept | ({"number": str(int(given) + 1)} if given.isascii() and given.isdigit() else {})


def next_part(typed: Mapping[str, str]) -> dict[str, str]:
    """What stands in the fields after a part was put in: where loads return, and the size of their leads."""
    if "name" not in typed:
        return {}
    return {key: typed[key] for key in KEPT_OF_LEADS if key in typed}
