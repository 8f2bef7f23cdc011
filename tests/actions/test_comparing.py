"""Two boats side by side: words, loads, copper, work and steps, against sums made by hand."""

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import JsonValue

from server.actions import in_time, options
from server.actions.answers import answer
from server.actions.changes import apply_edit
from server.actions.choices import UnknownChoiceError
from server.actions.comparing import (
    choose_shared,
    compared,
    default_sides,
    findings_between,
    shared_events,
)
from server.actions.comparing_copper import SIZE_UNKNOWN, copper, copper_kg, laid
from server.actions.comparing_steps import steps
from server.actions.comparing_words import differences, moved_ends, moved_leads
from server.actions.comparing_work import cost, part_names
from server.actions.part_words import called_before
from server.actions.prices import Prices, read_prices
from server.actions.yard import OpenBoat, Yard, open_boat, open_yard
from server.boat.acceptance import Acceptance
from server.boat.boat import Boat
from server.boat.edits import (
    AcceptFinding,
    AnyEdit,
    ChangeValue,
    MoveConductorEnd,
    MoveLead,
    RemoveCable,
    RemoveConductor,
    RemoveMode,
    RemovePart,
    Rename,
    SetAssumption,
    SetLength,
    SetOn,
    SetPosition,
    SetSize,
    Splice,
    WithdrawAcceptance,
    apply,
)
from server.boat.parts import Fuse, Panel
from server.boat.value import TerminalRef
from server.practice.sizes import size
from server.web.views.compare_copper import copper_view

BUS = TerminalRef(part="negative-bus", terminal="stud-3")
ACCEPTED = Acceptance(code="drop-over-limit", subjects=("vhf",), severity="fault", by="Ida", reason="old")
MOVE = MoveLead(part="autopilot", terminal="negative", to=BUS, length_m=5.0)
SIZES = {label: size(label) for label in ("6 AWG", "8 AWG")}
_KEYS = itertools.count()


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Yard]:
    """A yard with the demo boats; tests change only options of their own."""
    opened = open_yard(tmp_path_factory.mktemp("yard") / "data", demo=True)
    yield opened
    opened.store.close()


@pytest.fixture
def sloop(yard: Yard) -> Boat:
    return open_boat(yard, "sloop").boat


def option(yard: Yard, *edits: AnyEdit) -> OpenBoat:
    """An option of the sloop after some edits, each a revision."""
    row = options.branch(yard, "sloop", 1, "Plan", "", f"branch-{next(_KEYS)}")
    for edit in edits:
        apply_edit(yard, row.id, open_boat(yard, row.id).rev, edit, f"edit-{next(_KEYS)}")
    return open_boat(yard, row.id)


def told(before: Boat, *edits: AnyEdit) -> list[str]:
    after = before
    for edit in edits:
        after = apply(after, edit)
    return [one.words for one in differences(before, after)]


def sized(label: str, conductor: str) -> SetSize:
    found = SIZES[label]
    return SetSize.model_validate_json(
        f'{{"conductor": "{conductor}", "size": {{"label": "{label}", "area_mm2": {found.area_mm2},'
        f' "resistance_ohm_per_m": {found.ohm_per_m}}}}}'
    )


def test_a_boat_compared_with_itself_differs_in_nothing(yard: Yard) -> None:
    """Law, for every demo boat; the bill of what to buy and of work is empty too."""
    for row in yard.store.boats():
        boat = open_boat(yard, row.id).boat
        of = copper(boat, boat)

        assert differences(boat, boat) == ()
        assert (of.bought, of.added, of.removed) == ((), (), ())
        assert of.before == of.after
        assert cost(boat, boat, of, Prices()).jobs == ()


def test_a_moved_lead_is_told_by_both_of_its_places_and_only_once(sloop: Boat) -> None:
    assert told(sloop, MOVE) == [
        "Autopilot negative: Engine → Main negative bus",
        "Cable 29: length 3.3 m (measured) → 5 m (estimated)",
    ]
    along = told(sloop, MoveLead(part="plotter", terminal="negative", to=BUS, keep_length=True))
    assert along == ["Chart plotter negative: Main panel, Negative bar → Main negative bus"]


def test_a_stud_is_named_where_the_part_stays_the_same(sloop: Boat) -> None:
    other = MoveLead(
        part="autopilot",
        terminal="negative",
        to=TerminalRef(part="engine", terminal="stud-4"),
        keep_length=True,
    )

    assert told(sloop, other) == ["Autopilot negative: Engine stud 3 → stud 4"]


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (sized("6 AWG", "plotter-neg"), "Cable 25: size 14 AWG → 6 AWG"),
        (SetLength(conductor="plotter-neg"), "Cable 25: length 3.1 m (measured) → not known"),
        (RemoveConductor(id="plotter-neg"),
         "Taken out: cable 25 (Chart plotter negative – Main panel, Negative bar, 14 AWG, 3.1 m (measured))"),
        (MoveConductorEnd(conductor="plotter-neg", end="head"),
         "Chart plotter negative: Main panel, Negative bar → loose"),
        (RemovePart(id="vhf"), "Taken out: VHF radio (radio)"),
        (Rename(id="vhf", name="Radio"), "Radio: name “VHF radio” → “Radio”"),
        (SetOn(mode="starting", part="vhf", on=False), "Starting the engine: VHF radio on → off"),
        (RemoveMode(id="sailing"), "Mode taken out: Under sail"),
        (SetAssumption(key="conductor_temperature", subject="plotter-neg", low=20, value=30, high=40,
                       source="thermometer"),
         "Conductor temperature of cable 25: the built-in value → 30"),
        (ChangeValue(field="practice.use", value="commercial"), "Practice, use recreational → commercial"),
        (ChangeValue(field="notes", value="Looked at twice."), "Notes changed"),
        (ChangeValue(id="house-fuse", field="rating_a", value=250.0),
         "House bank fuse: rating 300 A → 250 A"),
        (ChangeValue(id="panel", field="sections.0.ways.0.name", value="Lamp"),
         "Main panel: Main section: Lamp: name “Plotter” → “Lamp”"),
        (AcceptFinding(acceptance=ACCEPTED), "Accepted: a finding on VHF radio (Ida)"),
        (SetAssumption(key="conductor_temperature", low=20, value=30, high=40, source="thermometer"),
         "Conductor temperature: the built-in value → 30"),
    ],
)  # fmt: skip
def test_each_kind_of_change_has_its_words(sloop: Boat, edit: AnyEdit, words: str) -> None:
    assert words in told(sloop, edit)


def test_a_cable_that_goes_or_comes_with_its_conductors_is_told_once(sloop: Boat) -> None:
    bare = apply(sloop, RemoveCable(id="c-strap"))
    without = apply(bare, RemoveConductor(id="strap"))
    gone = [one.words for one in differences(sloop, without)]
    new = [one.words for one in differences(without, sloop)]

    assert len([words for words in gone if words.startswith("Taken out: cable 11 (")]) == 1
    assert "Taken out: cable 11" not in gone
    assert len([words for words in new if words.startswith("New: cable 11 (")]) == 1
    assert "New: cable 11" not in new
    assert "Taken out: cable 11" in [one.words for one in differences(sloop, bare)]


def test_an_acceptance_that_is_withdrawn_is_told_too(sloop: Boat) -> None:
    accepted = apply(sloop, AcceptFinding(acceptance=ACCEPTED))
    withdrawn = apply(accepted, WithdrawAcceptance(finding=ACCEPTED.finding))

    words = [one.words for one in differences(accepted, withdrawn)]
    assert words == ["No longer accepted: a finding on VHF radio (Ida)"]


def test_ranges_lists_and_nested_figures_have_words(sloop: Boat) -> None:
    ranged: JsonValue = {"low": 9.0, "high": 10.0}

    assert told(sloop, ChangeValue(id="vhf", field="inputs.0.minimum_voltage_v", value=ranged)) == [
        "VHF radio: supply: minimum voltage 9.6 V → 9 to 10 V"
    ]
    ways: list[JsonValue] = [
        way.model_dump(mode="json", exclude_none=True) for way in panel_of(sloop).sections[0].ways
    ]
    turned = told(sloop, ChangeValue(id="panel", field="sections.0.ways", value=ways[::-1]))
    assert turned == ["Main panel: Main section: ways in another order"]
    assert told(sloop, ChangeValue(id="panel", field="sections.0.ways.0.device.rating_a", value=7.0)) == [
        "Main panel: Main section: Plotter: device, rating 5 A → 7 A"
    ]


def panel_of(boat: Boat) -> Panel:
    return next(one for one in boat.parts if isinstance(one, Panel))


def test_positions_and_what_comes_back_are_told_too(sloop: Boat) -> None:
    switched = apply(sloop, SetPosition(mode="starting", part="selector", position="both"))
    without = apply(sloop, RemovePart(id="vhf"))
    back = [one.words for one in differences(without, sloop)]

    assert [one.words for one in differences(sloop, switched)] == [
        "Starting the engine: Battery selector 1 → BOTH"
    ]
    assert "New: VHF radio (radio)" in back
    assert "Starting the engine: VHF radio off → on" in back


def test_boats_of_different_kinds_can_be_compared_both_ways(yard: Yard) -> None:
    sloop, trawler = (open_boat(yard, name).boat for name in ("sloop", "trawler"))

    for one, other in ((sloop, trawler), (trawler, sloop)):
        found = differences(one, other)
        assert len(found) > 100
        assert all(line.words and "  " not in line.words for line in found)


def test_the_loads_have_the_very_figures_of_the_workbench(yard: Yard) -> None:
    """One figure everywhere: what the comparison says is what the page of each boat shows."""
    first, second = open_boat(yard, "sloop"), option(yard, MOVE)
    of = compared(yard, first, second)

    assert of.chosen is not None
    assert (of.chosen.mode, of.chosen.event, of.standing.basis) == ("starting", "engine-start", "in-time")
    for opened, side in ((first, "before"), (second, "after")):
        shown = in_time.shown(yard, opened, of.chosen)
        lowest = {
            load.id: seen.lowest.value
            for load in shown.loads
            for seen in load.events
            if seen.event == "engine-start"
        }
        found = {f"{one.part}.{one.input}": getattr(one, f"{side}_v") for one in of.pairs}
        assert {key: lowest[key] for key in found} == found
    pilot = next(one for one in of.pairs if one.part == "autopilot")
    assert (pilot.before_verdict, pilot.after_verdict, pilot.direction) == (
        "restarts",
        "keeps-running",
        "better",
    )


def test_a_load_that_no_longer_runs_is_named(yard: Yard) -> None:
    off = option(yard, SetOn(mode="starting", part="vhf", on=False))

    assert compared(yard, open_boat(yard, "sloop"), off).lost == ("VHF radio",)


def test_a_mode_or_event_that_only_one_has_is_refused_and_never_chosen(yard: Yard) -> None:
    first = open_boat(yard, "sloop")
    less = option(yard, RemoveMode(id="starting"))

    assert ("starting", "engine-start") in shared_events(first.boat, first.boat)
    assert shared_events(first.boat, less.boat) == ()
    assert choose_shared(yard, first, less, None, None) is not None
    for mode, event in (("starting", None), (None, "engine-start"), ("ghost", None)):
        with pytest.raises(UnknownChoiceError):
            choose_shared(yard, first, less, mode, event)
    of = compared(yard, first, less, "moored")
    assert (of.chosen.event if of.chosen else "", of.standing.basis) == (None, "none")


def test_findings_go_with_what_caused_them(yard: Yard) -> None:
    of = findings_between(yard, open_boat(yard, "sloop"), option(yard, MOVE))

    assert "restarts" in {one.code for one in of.gone}
    assert "restarts" not in {one.code for one in of.come}


def test_what_is_compared_by_itself(yard: Yard, tmp_path: Path) -> None:
    fresh = open_yard(tmp_path / "fresh", demo=True)
    made = option(fresh)

    assert default_sides(fresh, made.id) == (("sloop", None), (made.id, None))
    assert default_sides(fresh, "sloop") == (("sloop", None), (made.id, None))
    assert default_sides(fresh, "trawler") == (("trawler", 1), ("trawler", None))
    fresh.store.close()


@pytest.mark.parametrize(
    ("area_mm2", "feet", "pounds"),
    [(107.2193, 1000, 640.5), (53.4751, 1000, 319.5), (5.2612, 1000, 31.43), (0.8231, 1000, 4.917)],
)
def test_copper_weighs_what_the_wire_tables_say(area_mm2: float, feet: float, pounds: float) -> None:
    """Weights of 4/0, 1/0, 10 and 18 AWG in pounds per 1,000 ft: NBS Handbook 100, Copper Wire Tables.

    From memory. The tables take 8.89 g/cm³ at 20 °C, the density of the annealed copper standard, IEC 60028.
    """
    assert copper_kg(area_mm2, feet * 0.3048) == pytest.approx(pounds * 0.45359237, rel=5e-4)


def test_copper_by_hand(sloop: Boat) -> None:
    """The autopilot's negative, 3.3 m of 8 AWG (8.366 mm², ASTM B258), gets 5 m long and 6 AWG (13.302 mm²).

    By hand: 8.366 × 3.3 × 8.89 / 1000 = 0.2454 kg less of one, 13.302 × 5 × 8.89 / 1000 = 0.5913 kg more of
    the other.
    """
    after = apply(apply(sloop, MOVE), sized("6 AWG", "autopilot-neg"))
    of = {one.label: one for one in copper(sloop, after).sizes}

    assert of["8 AWG"].after.length_m - of["8 AWG"].before.length_m == pytest.approx(-3.3)
    assert of["8 AWG"].after.copper_kg - of["8 AWG"].before.copper_kg == pytest.approx(-0.2454, abs=5e-4)
    assert of["6 AWG"].after.length_m - of["6 AWG"].before.length_m == pytest.approx(5.0)
    assert of["6 AWG"].after.copper_kg - of["6 AWG"].before.copper_kg == pytest.approx(0.5913, abs=5e-4)
    assert [(one.label, one.length_m) for one in copper(sloop, after).bought] == [("6 AWG", 5.0)]


def test_lengths_and_sizes_that_nobody_knows_are_counted(sloop: Boat) -> None:
    after = apply(apply(sloop, SetLength(conductor="plotter-neg")), SetSize(conductor="vhf-neg"))
    found = laid(after)

    assert found["14 AWG"].unknown == 1
    assert found[SIZE_UNKNOWN].copper_kg == 0
    assert found["16 AWG"].unweighed == 0
    assert found[SIZE_UNKNOWN].unweighed == 1
    told = copper_view(copper(sloop, after))
    assert {row.size: row.kg for row in told.rows}[SIZE_UNKNOWN].startswith("not known")
    assert told.total.kg.startswith("at least ")
    assert copper(sloop, after).sizes[-1].label == SIZE_UNKNOWN


def test_work_and_money_by_hand(sloop: Boat) -> None:
    """A lead moved on a longer cable, and a fuse cut into another cable.

    By hand: one lead moved 0.5 h; the longer cable's two ends, the piece behind the fuse's two, and the end
    of the piece before it, 5 × 0.2 h = 1 h; the fuse fitted 1 h: 2.5 h at 80 = 200. 5 m of 8 AWG at 4 and
    the fuse at 30 make 50.
    """
    fuse = Fuse(kind="fuse", id="new-fuse", name="Plotter fuse", rating_a=5.0)
    cut = Splice(conductor="plotter-pos", part=fuse, new_conductor="plotter-pos-2", distance_m=1.0)
    after = apply(apply(sloop, MOVE), cut)
    listed = read_prices(
        "currency;;EUR\nhour;;80\ncable;8 AWG;4\npart;fuse;25\npart;fuse 5 A;30\n"
        "hours;lead moved;0.5\nhours;end made;0,2\nhours;part fitted;1\n"
    )
    of = cost(sloop, after, copper(sloop, after), listed)

    assert {job.what: (job.count, job.hours) for job in of.jobs} == {
        "lead moved": (1, 0.5), "end made": (5, pytest.approx(1.0)), "part fitted": (1, 1.0),
    }  # fmt: skip
    assert of.hours == pytest.approx(2.5)
    assert of.material == pytest.approx(5 * 4 + 30)
    assert of.total == pytest.approx(50 + 2.5 * 80)
    assert of.is_known
    assert of.labour == 200


def test_sums_are_of_the_metres_and_prices_that_are_shown(sloop: Boat) -> None:
    """By hand: 4.523 m are bought as 4.52 m; 4.52 × 4.19 = 18.9388, shown and summed as 18.94."""
    after = apply(sloop, MOVE.model_copy(update={"length_m": 4.523}))
    of = cost(sloop, after, copper(sloop, after), read_prices("cable;8 AWG;4.19\n"))

    assert [(one.quantity, one.cost) for one in of.things] == [("4.52 m", 18.94)]
    assert (of.material, of.labour) == (18.94, None)


def test_what_the_yard_has_not_priced_is_missing_and_never_guessed(sloop: Boat) -> None:
    after = apply(sloop, MOVE)
    of = cost(sloop, after, copper(sloop, after), Prices())

    assert (of.total, of.material, of.hours) == (0, 0, 0)
    assert of.missing == (
        "hours for “lead moved”", "hours for “end made”", "a price for cable 8 AWG", "the price of an hour",
    )  # fmt: skip


def test_counts_of_leads_and_ends(sloop: Boat) -> None:
    strap = MoveConductorEnd(conductor="vhf-neg", end="tail", keep_length=True)
    after = apply(apply(sloop, MOVE), strap)

    assert (moved_leads(sloop, after), moved_ends(sloop, after)) == (1, 1)


def test_a_part_goes_by_kind_and_rating(sloop: Boat) -> None:
    named = {part.id: part_names(part) for part in sloop.parts}

    assert named["house-fuse"] == ("fuse 300 A", "fuse")
    assert named["selector"] == ("battery selector",)


def test_a_price_list_of_before_that_calls_parts_by_their_kinds_still_prices_them(sloop: Boat) -> None:
    """“solar” goes by one name now; a “contact” by several, of which each finds the price by the old word."""
    added = [
        one.model_copy(update={"id": f"new-{one.id}"})
        for kind in ("contact", "measuring-shunt", "alternator")
        for one in sloop.parts
        if one.kind == kind
    ][:3]
    after = sloop.model_copy(update={"parts": (*sloop.parts, *added)})
    old = read_prices("part;contact;90\npart;measuring shunt;60\npart;alternator;400\npart;solar;7\n")
    of = cost(sloop, after, copper(sloop, after), old)

    assert [one.each for one in of.things] == [old.part[called_before(one)] for one in added]
    assert "contact" not in {one.what for one in of.things}
    assert old.part["solar controller"] == 7


def test_a_price_by_todays_name_goes_before_one_by_the_name_of_before() -> None:
    for text in (
        "part;solar 20 A;7\npart;solar controller 20 A;8\n",
        "part;solar controller;8\npart;solar;7\n",
    ):
        assert list(read_prices(text).part.values()) == [8]


def test_the_steps_come_in_order_with_what_stands_after_each(yard: Yard) -> None:
    thicker = sized("6 AWG", "autopilot-neg")
    second = option(yard, SetLength(conductor="plotter-neg", length_m=3.2, basis="measured"), MOVE, thicker)
    of = compared(yard, open_boat(yard, "sloop"), second)
    found = steps(yard, of)

    assert [None if one.entry is None else one.entry.rev for one in found.results] == [None, 2, 3, 4]
    assert [one.info.restarts for one in found.results if one.info] == [1, 1, 0, 0]
    assert found.results[0].worst is not None
    assert found.results[0].worst.name == "Autopilot"
    last = found.results[-1].worst
    shown = of.answers[1] if of.answers else answer(yard, second.sha, second.boat, "starting")
    assert last is not None
    assert last.seen.lowest.value in {seen.lowest.value for load in shown.loads for seen in load.events}


def test_steps_of_two_options_go_back_to_where_they_parted(yard: Yard) -> None:
    first, second = option(yard, MOVE), option(yard, sized("6 AWG", "autopilot-neg"))
    found = steps(yard, compared(yard, first, second))

    assert [one.label for one in found.way.back] == ["Autopilot negative: Engine → Main negative bus"]
    assert [one.info.restarts for one in found.results if one.info] == [0, 1, 1]


def test_a_step_without_the_event_says_nothing_and_long_ways_are_cut(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.actions.comparing_steps.MOST_WORKED", 1)
    less = option(yard, RemoveMode(id="starting"), MOVE)
    found = steps(yard, compared(yard, open_boat(yard, "sloop"), less))

    assert [one.is_worked for one in found.results] == [True, True, False]
    assert [one.worst for one in found.results] == [None, None, None]
    assert steps(yard, compared(yard, open_boat(yard, "sloop"), open_boat(yard, "trawler"))).way.base is None
