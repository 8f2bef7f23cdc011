"""The owner's sheet says yes and no only where that is known, and otherwise what to look at."""

from dataclasses import replace

import pytest

from server.papers.owner_sheet import MOST_LINES, Danger, Moment, OwnerFacts, owner_sheet

START = Moment(
    when="When the engine starts",
    heavy="Engine starter",
    conditions="battery charged 50 %, at 0 °C, aged",
    is_engine=True,
    inrush_a=381.2,
    motor_v=10.04,
    motor_a=161.4,
    keeps=("Chart plotter",),
)
FACTS = OwnerFacts(
    moments=(START,), until_then=(START,), work=(), cost="", dangers=(), not_measured=0, not_seen=0
)


def said(of: OwnerFacts) -> dict[str, tuple[str, ...]]:
    return {one.id: one.lines for one in owner_sheet(of)}


def start_of(**changed: object) -> tuple[str, ...]:
    moment = replace(START, **changed)  # type: ignore[arg-type]
    return said(replace(FACTS, moments=(moment,)))["start"]


def test_without_a_stated_need_nothing_is_promised_and_it_says_what_to_look_up() -> None:
    figures, look = start_of()

    assert figures == (
        "The engine starter draws up to 381 A for an instant, then about 161 A at 10.0 V while it turns, in "
        "the worst state that is described (battery charged 50 %, at 0 °C, aged)."
    )
    assert "cannot be told from the wiring" in look
    assert "lowest cranking voltage that the maker of the engine starter states" in look


def test_two_engines_are_looked_up_in_one_sentence() -> None:
    other = replace(START, heavy="Engine starter starboard")
    *_, look = said(replace(FACTS, moments=(START, other)))["start"]

    assert len(said(replace(FACTS, moments=(START, other)))["start"]) == 3
    assert look == (
        "Whether they fire at that cannot be told from the wiring: look up the lowest cranking voltage that "
        "the makers of the engine starter and the engine starter starboard state."
    )


@pytest.mark.parametrize(
    ("need_v", "begins"),
    [(9.6, "Yes, as far as the wiring goes: "), (10.0, "Yes, as far"), (10.4, "No: ")],
)
def test_a_stated_need_decides_as_the_figures_are_shown(need_v: float, begins: str) -> None:
    (line,) = start_of(motor_need_v=need_v)

    assert line.startswith(begins)
    assert line.endswith(f"It needs {need_v:.1f} V.")


def test_no_power_no_figure_and_no_starter_are_told_apart() -> None:
    assert start_of(inrush_a=None) == ("No: the engine starter gets no power in this mode.",)
    (unsolved,) = start_of(why_not="the motor is not known", motor_v=None)
    assert unsolved.startswith("Cannot tell: the motor is not known. Measure the volts at the engine starter")
    assert said(replace(FACTS, moments=()))["start"][0].startswith("Cannot tell: no engine start")


def test_who_restarts_is_named_and_is_to_be_left_off_until_then() -> None:
    hit = replace(START, restarts=("Autopilot", "VHF radio"), close=("Sounder",), relied_on=("VHF radio",))
    found = said(replace(FACTS, moments=(START,), until_then=(hit,), work=("Autopilot negative: A → B",)))

    assert found["keeps"] == ("When the engine starts, everything that is on keeps running: Chart plotter.",)
    assert found["until"] == (
        "Switch the autopilot, the VHF radio and the sounder off before the engine starts, "
        "and on again after it.",
        "Do not rely on the VHF radio at that moment: somebody's safety may hang on it.",
    )
    assert [one.title for one in owner_sheet(replace(FACTS, until_then=(hit,)))][2] == (
        "What to leave off as the boat is now"
    )


def test_volts_stand_beside_what_restarts_and_beside_what_has_the_least_to_spare() -> None:
    volts = {"Autopilot": (7.28, 9.0), "Chart plotter": (10.8, 9.0), "VHF radio": (10.9, 9.6)}
    hit = replace(START, restarts=("Autopilot",), close=("Sounder",), volts=volts)
    well = replace(START, keeps=("Chart plotter", "VHF radio", "Radar"), volts=volts)

    assert said(replace(FACTS, moments=(hit,)))["keeps"][2] == "At the lowest: Autopilot 7.3 V, needs 9.0 V."
    assert said(replace(FACTS, moments=(well,)))["keeps"][1] == (
        "Nearest to its limit is the VHF radio: at the lowest 10.9 V, needs 9.6 V."
    )


def test_each_verdict_has_its_sentence() -> None:
    hit = replace(START, restarts=("Autopilot",), close=("Sounder",), unknown=("Radar",))

    assert said(replace(FACTS, moments=(hit,)))["keeps"] == (
        "When the engine starts, the autopilot restarts.",
        "When the engine starts, too close to call: Sounder.",
        "When the engine starts, nobody has said what the radar needs.",
        "When the engine starts, these keep running: Chart plotter.",
    )
    alone = replace(START, close=("Sounder",), keeps=())
    assert said(replace(FACTS, moments=(alone,)))["keeps"] == (
        "When the engine starts, too close to call: Sounder.",
    )
    unsolved = replace(START, why_not="the pump is not known")
    assert said(replace(FACTS, moments=(unsolved,)))["keeps"] == (
        "When the engine starts: cannot tell, for the pump is not known.",
    )


def test_starts_that_harm_nothing_come_together_and_long_lists_are_cut() -> None:
    many = replace(START, keeps=tuple(f"Light {number}" for number in range(13)))
    thruster = replace(START, when="When the thruster runs", is_engine=False)
    windlass = replace(START, when="When the windlass pulls", is_engine=False, keeps=())

    assert said(replace(FACTS, moments=(many, thruster, windlass)))["keeps"] == (
        "When the engine starts, everything that is on keeps running: Light 0, Light 1, Light 2, Light 3, "
        "Light 4, Light 5, Light 6, Light 7, Light 8, Light 9 and 3 more.",
        "So does everything that is then on: when the thruster runs; when the windlass pulls.",
    )


def test_nothing_to_leave_off_is_said_only_where_it_is_known() -> None:
    unknown = replace(START, unknown=("Radar",))

    assert said(FACTS)["until"] == ("Nothing has to be left off for a start.",)
    assert said(replace(FACTS, until_then=(unknown,)))["until"] == (
        "Nothing is known to restart; what cannot be told is named above.",
    )
    assert "until" not in said(replace(FACTS, until_then=()))


def test_dangers_have_their_source_below_them_and_what_is_cut_is_counted() -> None:
    many = tuple(Danger(f"Danger {number}.", f"Source {number}.") for number in range(MOST_LINES + 2))
    (section,) = (one for one in owner_sheet(replace(FACTS, dangers=many)) if one.id == "danger")
    (planned,) = (
        one for one in owner_sheet(replace(FACTS, dangers=many[:2], work=("Done.",))) if one.id == "danger"
    )

    assert section.lines == (*(one.told for one in many[: MOST_LINES - 1]), "And 3 more.")
    assert section.small == tuple(one.source for one in many[: MOST_LINES - 1])
    assert (section.title, planned.title) == ("What is a danger", "What is still a danger")
    assert (planned.lines, planned.small) == (("Danger 0.", "Danger 1."), ("Source 0.", "Source 1."))
    assert "danger" not in said(FACTS)


def test_what_else_is_to_be_put_right_comes_before_the_cautions_and_is_cut_too() -> None:
    many = tuple(f"Fault {number}." for number in range(MOST_LINES + 3))
    names = [one.id for one in owner_sheet(replace(FACTS, faults=many))]

    assert names[-2:] == ["faults", "mind"]
    assert said(replace(FACTS, faults=many))["faults"] == (*many[: MOST_LINES - 1], "And 4 more.")
    assert "faults" not in said(FACTS)


def test_gaps_and_cautions_stand_at_the_end() -> None:
    found = said(replace(FACTS, not_measured=1, not_seen=3, cost="2 hours of work."))

    assert found["cost"] == ("2 hours of work.",)
    assert found["mind"][:2] == ("1 length of cable is not measured.", "3 places were not seen.")
    assert "take the negative off every battery" in found["mind"][-1]


def test_names_with_commas_stay_apart() -> None:
    hit = replace(START, restarts=("Plotter", "Plotter, flybridge", "Radar"))

    assert said(replace(FACTS, moments=(hit,)))["keeps"][0] == (
        "When the engine starts, the plotter; the plotter, flybridge and the radar restart."
    )
