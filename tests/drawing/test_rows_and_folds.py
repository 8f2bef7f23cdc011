"""Rows stay where they are when a lead moves; large boats open folded."""

import gzip

import pytest

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.leads import leads
from server.boat.value import TerminalRef
from server.drawing.card import card_picture
from server.drawing.diagram import diagram_of, picture_layout, wiring_diagram
from server.drawing.shapes import Portrait
from tests.drawing.answers import in_event, load_answer, mode_answer
from tests.drawing.pictures import BOATS, parsed, seed, texts

YACHT = "5-large-yacht"


def moved(boat: Boat, conductor: str, part: str, terminal: str, end: str) -> Boat:
    changed = tuple(
        c.model_copy(update={end: TerminalRef(part=part, terminal=terminal)}) if c.id == conductor else c
        for c in boat.conductors
    )
    return boat.model_copy(update={"conductors": changed})


@pytest.mark.parametrize(
    ("conductor", "part", "terminal", "end"),
    [
        ("autopilot-neg", "negative-bus", "stud-10", "head"),
        ("plotter-pos", "house-bus", "stud-7", "tail"),
        ("heater-pos", "selector", "common", "tail"),
        ("fridge-neg", "engine", "stud-4", "head"),
    ],
)
def test_moving_a_lead_leaves_every_row_and_battery_where_it_was(
    conductor: str, part: str, terminal: str, end: str
) -> None:
    sloop = seed("1-sloop")
    before = picture_layout(sloop, mode_id=None)
    after = picture_layout(moved(sloop, conductor, part, terminal, end), mode_id=None)

    assert [p.rung.key for p in after.plates] == [p.rung.key for p in before.plates]
    assert [b.key for b in after.batteries] == [b.key for b in before.batteries]


@pytest.mark.parametrize(
    ("name", "conductor", "part", "terminal", "end"),
    [
        ("1-sloop", "autopilot-neg", "negative-bus", "stud-10", "head"),
        ("1-sloop", "plotter-pos", "house-bus", "stud-1", "tail"),
        ("1-sloop", "heater-pos", "selector", "common", "tail"),
        ("1-sloop", "vhf-neg", "engine", "stud-4", "head"),
        ("2-trawler", "plotter-fly-neg", "main-panel", "neg-stud-15", "head"),
    ],
)
@pytest.mark.parametrize("portrait", [None, "negative", "positive"])
def test_moving_a_lead_leaves_every_bar_and_lane_where_it_was(  # noqa: PLR0913, PLR0917 - one case
    name: str, conductor: str, part: str, terminal: str, end: str, portrait: Portrait
) -> None:
    boat = seed(name)
    assert any(c.id == conductor for c in boat.conductors)
    before = picture_layout(boat, mode_id=None, portrait=portrait)
    after = picture_layout(moved(boat, conductor, part, terminal, end), mode_id=None, portrait=portrait)

    there = {up.place.key: up.x for up in before.uprights}
    now = {up.place.key: up.x for up in after.uprights}
    shared = there.keys() & now.keys()
    assert len(shared) >= min(len(there), len(now)) - 1
    assert {key: now[key] for key in shared} == {key: there[key] for key in shared}
    assert (after.plate_left, after.width) == (before.plate_left, before.width)


def test_a_boat_of_over_forty_loads_opens_folded_to_its_panels() -> None:
    yacht = seed(YACHT)
    loads = sum(p.kind == "load" for p in yacht.parts)

    layout = picture_layout(yacht, mode_id=None)

    assert loads > 40
    folds = [p.rung for p in layout.plates if p.rung.kind == "fold"]
    assert sum(len(rung.members) for rung in folds) > loads / 2
    assert len(layout.plates) < 60


def test_a_selected_load_unfolds_its_panel() -> None:
    yacht = seed(YACHT)
    fold = next(p.rung for p in picture_layout(yacht, mode_id=None).plates if p.rung.kind == "fold")

    layout = picture_layout(yacht, mode_id=None, selected=fold.members[0])

    shown = {p.rung.part for p in layout.plates if p.rung.kind == "load"}
    assert set(fold.members) <= shown


def test_a_conductor_or_fuse_that_shall_be_seen_unfolds_its_panel() -> None:
    yacht = seed(YACHT)
    folded = picture_layout(yacht, mode_id=None)
    hidden = [
        found
        for found in leads(yacht)
        if found.part in {part for plate in folded.plates for part in plate.rung.members}
    ]
    lead = hidden[0]

    layout = picture_layout(yacht, mode_id=None, unfolded=frozenset({lead.conductors[0]}))

    assert lead.part in {p.rung.part for p in layout.plates if p.rung.kind == "load"}


def test_a_small_boat_folds_only_the_panels_that_were_shut() -> None:
    sloop = seed("1-sloop")

    layout = picture_layout(sloop, mode_id=None, shut=frozenset({"panel"}))

    (fold,) = [p.rung for p in layout.plates if p.rung.kind == "fold"]
    assert fold.part == "panel"
    assert len(layout.plates) < len(picture_layout(sloop, mode_id=None).plates)


def test_what_was_touched_is_marked_in_the_picture() -> None:
    sloop = seed("1-sloop")
    layout = picture_layout(sloop, mode_id=None)

    def chosen(thing: str) -> set[str]:
        drawn = parsed(diagram_of(sloop, layout, chosen=thing))
        return {n.get("id", "") for n in drawn.iter() if "chosen" in n.get("class", "").split()}

    assert chosen("panel-feed") == {"conductor-panel-feed"}
    assert chosen("negative-bus.stud-1") == {"part-negative-bus"}
    assert chosen("panel.dc-vhf") == {"part-panel--dc-vhf"}
    assert chosen("panel.dc-spare-1") == {"part-panel--dc", "part-panel--neg"}
    assert chosen("nothing") == set()


def test_a_fold_tells_what_it_holds() -> None:
    yacht = seed(YACHT)

    drawing = parsed(wiring_diagram(yacht, mode_id=None))

    held = [
        node.get("data-members", "").split()
        for node in drawing.iter()
        if "fold" in node.get("class", "").split()
    ]
    assert all(len(members) > 1 for members in held)
    assert held


@pytest.mark.parametrize("name", BOATS)
def test_a_picture_leaves_most_of_a_page_of_200_kb_to_the_rest(name: str) -> None:
    drawn = wiring_diagram(seed(name), mode_id=None)

    assert len(gzip.compress(drawn.markup.encode())) < 40_000


@pytest.mark.parametrize("name", BOATS)
def test_the_same_boat_gives_the_same_picture(name: str) -> None:
    assert wiring_diagram(seed(name), mode_id=None).markup == wiring_diagram(seed(name), mode_id=None).markup


@pytest.mark.parametrize("name", BOATS)
def test_the_card_shows_the_wiring_without_words(name: str) -> None:
    card = card_picture(seed(name))

    assert (card.width, card.height) == (320, 180)
    assert texts(card) == []
    assert len(card.markup) < 30_000
    assert {"positive", "negative", "plates"} == {p.get("class") for p in parsed(card).iter("path")}


def test_a_fold_says_its_worst_verdict_and_how_many_share_it() -> None:
    yacht = seed(YACHT)
    fold = next(p.rung for p in picture_layout(yacht, mode_id=None).plates if p.rung.kind == "fold")
    first, second, *rest = fold.members
    answer = mode_answer(
        (
            load_answer(first, in_event("restarts", 7.4)),
            load_answer(second, in_event("restarts", 8.4)),
            *(load_answer(part, in_event("keeps-running", 11.0)) for part in rest),
        )
    )

    drawing = parsed(wiring_diagram(yacht, mode_id=None, answer=answer, event_id="start"))

    plate = next(node for node in drawing.iter() if node.get("data-members", "").split()[:1] == [first])
    said = ["".join(text.itertext()) for text in plate.iter("text")]
    assert said[1:] == ["7.4 V low", "2 restarts", f"{len(fold.members)} loads"]


def test_a_fold_whose_loads_all_keep_running_says_so() -> None:
    yacht = seed(YACHT)
    fold = next(p.rung for p in picture_layout(yacht, mode_id=None).plates if p.rung.kind == "fold")
    answer = mode_answer(tuple(load_answer(part, in_event("keeps-running", 11.0)) for part in fold.members))

    drawing = parsed(wiring_diagram(yacht, mode_id=None, answer=answer, event_id="start"))

    assert any(
        node.get("class") == "word" and node.text == "all keep running" for node in drawing.iter("text")
    )


def test_a_fold_counts_the_findings_about_what_it_holds() -> None:
    yacht = seed(YACHT)
    fold = next(p.rung for p in picture_layout(yacht, mode_id=None).plates if p.rung.kind == "fold")
    first, second = fold.members[:2]
    findings = [
        Finding(
            code="drop",
            severity="fault",
            subjects=(part,),
            message="m",
            source="s",
            source_status="common-practice",
        )
        for part in (first, second, "elsewhere")
    ]
    answer = mode_answer(tuple(load_answer(part, in_event("keeps-running", 11.0)) for part in fold.members))

    drawing = parsed(wiring_diagram(yacht, mode_id=None, answer=answer, event_id="start", findings=findings))

    plate = next(node for node in drawing.iter() if node.get("data-members", "").split()[:1] == [first])
    said = ["".join(text.itertext()) for text in plate.iter("text")]
    assert f"{len(fold.members)} loads · ▲ 2" in said
    assert "2 findings" in plate.attrib["aria-label"]
