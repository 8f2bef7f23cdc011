"""Whatever is drawn or left half done by the pages: a valid boat, never an error page, and the way back."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from uuid import uuid4

from fastapi.testclient import TestClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from server.actions.banks import BankAnswers, How, bank_edit
from server.actions.fitting import CableAnswers, cable_edit, part_edit, take_out_conductor, take_out_part
from server.actions.panel_ways import way_lines, ways_edit
from server.actions.putting import CUT_IN, Cut, cut_in_edit, landed_edit
from server.boat.boat import Boat
from server.boat.catalogue import CATALOGUE, Entry
from server.boat.document import boat_bytes, read_boat
from server.boat.edits import AnyEdit, EditError, MoveConductorEnd, SetRowOrder, apply, edit_json
from server.boat.parts import Battery, Panel
from server.boat.references import broken_references
from server.boat.terminals import terminals
from server.boat.value import TerminalRef
from tests.boat.strategies import boats, edits

BLANK = Boat(format="tapchart.boat", version=1, name="Plover", nominal_voltage_v=12.0)
LAW = settings(
    max_examples=int(os.environ.get("TAPCHART_EXAMPLES", "40")),
    derandomize="TAPCHART_EXAMPLES" not in os.environ,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
FEW = settings(LAW, max_examples=LAW.max_examples // 5, phases=[Phase.explicit, Phase.generate])
"""Over HTTP every example is a dozen pages."""
HTMX = {"HX-Request": "true"}
JSON = {"Content-Type": "application/json"}
PAGES = ("", "/findings", "/lists", "/fitting", "/switching", "/events")


def answers_to(entry: Entry, draw: st.DrawFn) -> Mapping[str, str | float | None]:
    """Answers as a person may give them to a word of the catalogue; what need not be known often is not."""
    given_ = dict[str, str | float | None]()
    for asked in entry.questions:
        match asked.kind:
            case "choice":
                given_[asked.key] = draw(st.sampled_from([value for value, _ in asked.choices]))
            case "count":
                given_[asked.key] = float(draw(st.integers(1, 4)))
            case "lines":
                given_[asked.key] = draw(st.sampled_from(["Plotter, 5\nLights", "One"]))
            case _:
                figure = st.sampled_from([1.0, 12.0, 150.0])
                given_[asked.key] = draw(figure if asked.needed else st.none() | figure)
    return given_


def a_terminal(boat: Boat, draw: st.DrawFn) -> TerminalRef:
    """Any terminal aboard."""
    part = draw(st.sampled_from(boat.parts))
    return TerminalRef(part=part.id, terminal=draw(st.sampled_from(terminals(part))))


def a_cable(boat: Boat, draw: st.DrawFn) -> CableAnswers:
    """A cable as typed: loose at an end, without size, or with a fuse where it begins."""
    tail, head = (draw(st.none() | st.just(a_terminal(boat, draw))) for _ in "12")
    size = draw(st.sampled_from([None, "14 AWG", "2/0 AWG"]))
    fuse_a = draw(st.none() | st.just(30.0)) if tail is not None else None
    length = draw(st.none() | st.floats(0.1, 9.0))
    return CableAnswers(
        tail=tail, head=None if head == tail else head, size=size, length_m=length, fuse_a=fuse_a
    )


def page_edit(boat: Boat, draw: st.DrawFn) -> AnyEdit:  # noqa: PLR0911 - one a page's button
    """An edit as the pages make them, for a boat that has parts."""
    kinds = ["put", "land", "cable", "cut", "out", "loose", "rows"]
    kinds += ["bank"] * any(isinstance(part, Battery) for part in boat.parts)
    kinds += ["ways"] * any(isinstance(part, Panel) for part in boat.parts)
    kind = draw(st.sampled_from(kinds))
    entry = CATALOGUE[draw(st.sampled_from(list(CATALOGUE)))]
    conductor = draw(st.sampled_from(boat.conductors)) if boat.conductors else None
    match kind:
        case "land":
            bolted = draw(st.booleans())
            at, cable = a_terminal(boat, draw), a_cable(boat, draw)
            return landed_edit(boat, at, entry, "Landed", answers_to(entry, draw), cable, bolted=bolted)[0]
        case "cable":
            return cable_edit(a_cable(boat, draw))
        case "cut" if conductor is not None:
            cut_in = CATALOGUE[draw(st.sampled_from(CUT_IN))]
            cut = Cut(draw(st.sampled_from(["tail", "head"])), draw(st.none() | st.floats(0.05, 1.0)))
            return cut_in_edit(boat, conductor, cut_in, "Cut in", answers_to(cut_in, draw), cut)
        case "out":
            if conductor is not None and draw(st.booleans()):
                return take_out_conductor(boat, conductor.id)
            return take_out_part(draw(st.sampled_from(boat.parts)).id)
        case "loose" if conductor is not None:
            return MoveConductorEnd(conductor=conductor.id, end=draw(st.sampled_from(["tail", "head"])))
        case "rows":
            return SetRowOrder(parts=tuple(draw(st.permutations([part.id for part in boat.parts[:6]]))))
        case "bank":
            battery = draw(st.sampled_from([one for one in boat.parts if isinstance(one, Battery)]))
            how: How = "parallel" if draw(st.booleans()) else "series"
            return bank_edit(boat, battery, BankAnswers(draw(st.integers(1, 3)), how, CableAnswers()))
        case "ways":
            panel = draw(st.sampled_from([one for one in boat.parts if isinstance(one, Panel)]))
            section = draw(st.sampled_from(panel.sections))
            return ways_edit(boat, panel, section.id, f"{way_lines(section)}\nOne more, 10")
        case _:
            return part_edit(boat, entry, "Put in", answers_to(entry, draw))


@dataclass(frozen=True)
class Drawn:
    """A boat as it was begun, the edits that were made on it, and what came of them."""

    start: Boat
    edits: tuple[AnyEdit, ...]
    boat: Boat


@st.composite
def half_drawn(draw: st.DrawFn, most: int = 10) -> Drawn:
    """A boat begun with one post or with its wiring, after some edits of the pages."""
    begun = apply(BLANK, part_edit(BLANK, CATALOGUE["post"], "Post", {}))
    start = boat = draw(st.just(begun) | boats(2))
    made = list[AnyEdit]()
    for step in range(draw(st.integers(1, most))):
        try:
            edit = page_edit(boat, draw) if boat.parts else cable_edit(CableAnswers())
            edit = draw(edits(boat, f"more{step}")) if draw(st.integers(0, 4)) == 0 else edit
            boat = apply(boat, edit)
        except (EditError, ValueError):
            continue
        made.append(edit)
    return Drawn(start, tuple(made), boat)


@LAW
@given(half_drawn())
def test_any_sequence_of_edits_from_the_pages_leaves_a_valid_document(drawn: Drawn) -> None:
    body = boat_bytes(drawn.boat)

    assert broken_references(drawn.boat) == ()
    assert read_boat(body) == drawn.boat
    assert boat_bytes(read_boat(body)) == body


def imported(client: TestClient, boat: Boat) -> str:
    """The id of a boat put in from a file."""
    answer = client.post("/boats/import", files={"file": ("boat.json", boat_bytes(boat))})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].partition("?")[0].split("/")[2]


def exported(client: TestClient, boat: str) -> bytes:
    """A boat's file."""
    return client.get(f"/boats/{boat}/export").content


def test_a_half_drawn_boat_is_never_an_error_page_and_comes_out_as_it_went_in(bystander: TestClient) -> None:
    @FEW
    @given(half_drawn(6))
    def each(drawn: Drawn) -> None:
        boat = imported(bystander, drawn.boat)

        assert exported(bystander, boat) == boat_bytes(drawn.boat)
        for below in PAGES:
            assert bystander.get(f"/boats/{boat}{below}").status_code == 200, below
        things = [*(part.id for part in drawn.boat.parts[:2]), *(one.id for one in drawn.boat.conductors[:2])]
        for thing in things:
            for do in ("", "put", "wire", "out"):
                asked = {"selected": thing, "do": do}
                assert bystander.get(f"/boats/{boat}/here", params=asked, headers=HTMX).status_code == 200

    each()


def test_undo_returns_the_very_same_bytes_edit_by_edit(bystander: TestClient) -> None:
    @FEW
    @given(half_drawn(5))
    def each(drawn: Drawn) -> None:
        boat = imported(bystander, drawn.start)
        stack = []
        for edit in drawn.edits:
            before = exported(bystander, boat)
            answer = bystander.post(
                f"/api/boats/{boat}/edits",
                content=edit_json(edit),
                headers={
                    "Content-Type": "application/json",
                    "Idempotency-Key": uuid4().hex,
                    **_at(bystander, boat),
                },
            )
            if answer.status_code == 422:  # a lead put where something would break, on a boat that was undone
                continue
            boat = answer.json()["boat"]
            stack.append((boat, before))
        for changed, before in reversed(stack):
            stamp = {"revision": _at(bystander, changed)["If-Match"].strip('"'), "request_id": uuid4().hex}
            assert bystander.post(f"/boats/{changed}/undo", data=stamp).status_code == 303
            assert exported(bystander, changed) == before

    each()


def _at(client: TestClient, boat: str) -> dict[str, str]:
    """The revision that a change is made on."""
    return {"If-Match": client.get(f"/api/boats/{boat}").headers["ETag"]}
