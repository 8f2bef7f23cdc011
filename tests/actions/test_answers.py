"""Answers: the worst event by default, everything kept by the document's hash, before and after in pairs."""

from pathlib import Path

import pytest

from server.actions import answers, changes, pick_ups
from server.actions.cards import known_summaries, summary
from server.actions.check import check, report
from server.actions.choices import Chosen, UnknownChoiceError, choose
from server.actions.compare import compare, comparison
from server.actions.kept import Kept
from server.actions.results import Results
from server.actions.yard import open_boat, open_yard
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.edits import MoveLead, apply
from server.boat.value import TerminalRef
from server.bundled import bundled

BODY = (bundled("seed_boats") / "1-sloop.json").read_bytes()
SLOOP = read_boat(BODY)
STARTING = Chosen("starting", "engine-start")


@pytest.mark.parametrize(
    ("mode", "event", "chosen"),
    [
        (None, None, STARTING),
        ("starting", None, STARTING),
        (None, "engine-start", STARTING),
        ("moored", None, Chosen("moored", None)),
        ("moored", "engine-start", Chosen("moored", None)),
    ],
)
def test_what_is_left_out_is_the_worst(mode: str | None, event: str | None, chosen: Chosen) -> None:
    assert choose(Results(), "s", SLOOP, mode, event) == chosen


@pytest.mark.parametrize(("mode", "event"), [("flying", None), (None, "flood")])
def test_what_the_boat_lacks_is_refused_in_words(mode: str | None, event: str | None) -> None:
    with pytest.raises(UnknownChoiceError, match="Choose one from the list"):
        choose(Results(), "s", SLOOP, mode, event)


def test_a_boat_without_modes_has_nothing_to_choose() -> None:
    boat = Boat(format="tapchart.boat", version=1, name="Empty", nominal_voltage_v=12.0)

    assert choose(Results(), "s", boat, None, None) is None


def test_an_answer_is_worked_out_once_for_a_document() -> None:
    results = Results()
    first = answers.answer(results, "s", SLOOP, "starting", "engine-start")

    assert answers.answer(results, "s", SLOOP, "starting", "engine-start") is first
    assert answers.answer(results, "other", SLOOP, "starting", "engine-start") is not first


def test_the_last_results_are_kept_and_older_ones_let_go() -> None:
    kept: Kept[int, str] = Kept(2)
    for key in (1, 2, 1, 3):
        kept.get(key, lambda key=key: f"made {key}")  # type: ignore[misc]

    assert [kept.peek(key) for key in (1, 2, 3)] == ["made 1", None, "made 3"]


def test_moving_the_autopilot_makes_one_load_better_and_none_worse(tmp_path: Path) -> None:
    """Figures from the boat's key: 7.50 V as found, 10.85 V with the lead moved."""
    yard = open_yard(tmp_path, demo=True)
    move = MoveLead(
        part="autopilot", terminal="negative", to=TerminalRef(part="negative-bus", terminal="stud-10")
    )
    after = changes.apply_edit(yard, "sloop", 1, move, "request-1").after
    made = comparison(yard, yard.store.revision(after.id, 1), after, STARTING)
    pilot = made.pairs[0]
    yard.store.close()

    assert (made.count("better"), made.count("worse"), made.count("unchanged")) == (1, 0, 5)
    assert (pilot.part, pilot.before_verdict, pilot.after_verdict) == (
        "autopilot",
        "restarts",
        "keeps-running",
    )
    assert pilot.before_v == pytest.approx(7.50, abs=0.05)
    assert pilot.after_v == pytest.approx(10.85, abs=0.05)
    assert any("autopilot restarts" in message for message in made.removed)


def test_the_worse_off_come_first() -> None:
    results = Results()
    before = answers.answer(results, "s", SLOOP, "starting")
    moved = apply(
        SLOOP,
        MoveLead(part="plotter", terminal="negative", to=TerminalRef(part="engine", terminal="stud-3")),
    )
    after = answers.answer(results, "moved", moved, "starting")
    pairs = compare(before, after, "engine-start")

    assert (pairs[0].part, pairs[0].direction) == ("plotter", "worse")
    assert pairs[0].gain_v < 0


def test_a_card_is_worked_out_once_and_kept_in_the_store(tmp_path: Path) -> None:
    yard = open_yard(tmp_path, demo=True)
    row = yard.store.boat("outboard")
    before = known_summaries(yard, [row])
    made = summary(yard, "outboard")
    after = known_summaries(yard, [row])
    yard.store.close()

    assert before == {}
    assert after == {"outboard": made}
    assert made.picture.startswith("<svg")


def test_pick_up_of_what_is_no_lead_says_why(tmp_path: Path) -> None:
    yard = open_yard(tmp_path, demo=True)
    opened = open_boat(yard, "sloop")
    with pytest.raises(UnknownChoiceError):
        pick_ups.pick_up(yard, opened, "house-bus", "stud-1", STARTING)
    yard.store.close()


def test_the_report_for_a_terminal_says_it_all() -> None:
    checked = check(BODY)
    text = report(checked)

    assert not checked.is_clean
    for words in (
        "Starting the engine",
        "restarts",
        "Findings (10)",
        "mend: Move its negative",
        "Assumed (",
        "Cable inside the mast",
    ):
        assert words in text
    assert "licensed practice" in text


def test_a_clean_boat_is_clean() -> None:
    body = (bundled("seed_boats") / "4-outboard.json").read_bytes()

    assert check(body).is_clean
    assert "Nothing was found in what was entered." in report(check(body))


def test_a_boat_without_modes_is_reported_as_such() -> None:
    body = b'{"format": "tapchart.boat", "version": 1, "name": "Empty", "nominal_voltage_v": 12.0}'

    assert "nothing was worked out" in report(check(body))
