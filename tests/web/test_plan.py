"""The plan over HTTP: runs by a list, parts at their places, and what follows told before and after."""

import re
from collections.abc import Mapping

import pytest
from fastapi.testclient import TestClient

from server.practice.assumptions import default
from tests.web.reading import element, form_with, ids, words
from tests.web.test_photos import add, jpeg, send

HTMX = {"HX-Request": "true"}
NEW = {
    "name": "Heron",
    "voltage": "12",
    "engine": "small",
    "practice": "us-recreational",
    "length": "10",
}
END = default("length_end_allowance").value


class Plan:
    """The page of the plan of one new boat, used as a person would."""

    def __init__(self, client: TestClient, pattern: str = "selector") -> None:
        """Begin a boat from a pattern."""
        self.client = client
        self.boat = client.post("/new-boat", data=NEW | {"pattern": pattern}).headers["location"]

    def look(self, on: str = "") -> str:
        """The page with something chosen."""
        answer = self.client.get(f"{self.boat}/plan", params={"on": on})
        assert answer.status_code == 200
        return answer.text

    def put(self, on: str, status: int = 200, **typed: str) -> str:
        """Fill in the form of a thing and save it; answers the page after it."""
        form = form_with(self.look(on), "plan-save")
        return self.send(form.action, form.fields | typed, status)

    def press(self, on: str, button: str, **more: str) -> str:
        """Press another button of a thing."""
        form = form_with(self.look(on), button)
        return self.send(form.action, form.fields | more)

    def send(self, action: str, fields: Mapping[str, str], status: int = 200) -> str:
        """Send a form as htmx does."""
        answer = self.client.post(action, data=dict(fields), headers=HTMX)
        assert answer.status_code == status, words(answer.text)
        assert len(set(ids(answer.text))) == len(ids(answer.text))
        return answer.text

    def item(self, group: str, **said: object) -> dict[str, object]:
        """A thing of the document by what it says of itself."""
        things = self.client.get(f"{self.boat}/export").json()[group]
        found: dict[str, object] = next(
            one for one in things if all(one.get(key) == value for key, value in said.items())
        )
        return found

    def length(self, conductor: str) -> float:
        """The length of a conductor."""
        found = self.item("conductors", id=conductor)["length_m"]
        assert isinstance(found, float)
        return found


@pytest.fixture
def plan(client: TestClient) -> Plan:
    """A boat with two runs, the main panel at one end and the autopilot at the other."""
    plan = Plan(client)
    plan.put("new-run", start="Nav station", end="Engine bay", length="2,5")
    plan.put("new-run", start="engine  bay", end="Cockpit", length="3 m", drop="0.5", trunking="600")
    plan.put("panel", waypoint="Nav station", away="0.5", x="", y="", height="")
    plan.put("autopilot", waypoint="Cockpit", away="1", x="", y="", height="")
    return plan


@pytest.fixture(scope="module")
def unchanged(bystander: TestClient) -> Plan:
    """A boat for what must not change it."""
    return Plan(bystander)


def test_runs_between_named_places_are_all_that_lengths_need(plan: Plan) -> None:
    wire = plan.item("conductors", id="autopilot-pos")
    page = plan.look("autopilot-pos")

    # 0.5 m from the panel, 2.5 m, 3 m with 0.5 m of drop, 1 m to the autopilot.
    assert wire["length_basis"] == "routed"
    assert plan.length("autopilot-pos") == pytest.approx(0.5 + 2.5 + 3.5 + 1.0 + 2 * END)
    assert [one["name"] for one in plan.client.get(f"{plan.boat}/export").json()["waypoints"]] == [
        "Nav station",
        "Engine bay",
        "Cockpit",
    ]
    assert "Nav station → Engine bay → Cockpit" in words(element(page, "row-autopilot-pos"))
    assert f"2 × {END:g} m at the ends = {plan.length('autopilot-pos'):.2f} m by its way" in words(page)
    assert "assumed: common practice, no source, from memory" in words(page)


def test_moving_a_part_tells_lengths_drops_and_findings_before_and_after(plan: Plan) -> None:
    before = plan.length("autopilot-pos")
    after = plan.put("autopilot", waypoint="Cockpit", away="9")
    change = words(element(after, "plan-change"))

    assert plan.length("autopilot-pos") == pytest.approx(before + 8.0)
    assert "2 conductors change: 16.0 m more in all." in change
    assert f"{before:.2f} m, along the cable run {before + 8:.2f} m, along the cable run" in change
    assert "Autopilot" in words(element(after, "plan-change-drops"))
    assert "limit 3.0 %" in words(element(after, "plan-change-drops"))
    back = plan.press("", "plan-undo")
    assert plan.length("autopilot-pos") == before
    assert f"{before + 8:.2f} m, along the cable run {before:.2f} m" in words(back)
    assert words(element(back, "plan-change-title")).startswith("Undone: Autopilot")


def test_what_lies_in_a_run_is_told_with_its_heat_and_its_fill(plan: Plan) -> None:
    run = str(plan.item("runs", name="Engine bay – Cockpit")["id"])
    chosen = words(plan.look(run))
    form = form_with(plan.look(run), "plan-save")

    assert "In it: 2 conductors" in chosen
    assert "W/m" in chosen
    assert "% full" in chosen
    assert form.fields["start"] == "Engine bay"
    grown = plan.put("margins", allowance="0.3", growth="50", spare="3")
    assert "after growth" in words(element(grown, "plan-runs"))
    assert "0.3 m longer than its way at each end (this boat's own figure)" in words(grown)
    assert "3 asked for: 3 too few" in words(grown)
    bare = plan.put("margins", allowance="", growth="", spare="")
    assert "asked for" not in words(element(bare, "plan-notes"))
    assert "Findings cleared" in words(element(bare, "plan-change"))
    assert f"{END:g} m longer than its way at each end (assumed" in words(plan.look())


def test_a_measured_length_goes_before_the_way_and_can_be_taken_back(plan: Plan) -> None:
    by_way = plan.length("autopilot-pos")
    plan.put("autopilot-pos", length="9.9")
    measured = words(element(plan.look(), "row-autopilot-pos"))
    plan.put("autopilot", waypoint="Engine bay", away="1")
    kept = plan.length("autopilot-pos")
    plan.put("autopilot", waypoint="Cockpit", away="1")
    plan.put("autopilot-pos", length="")

    assert "9.90 m, measured" in measured
    assert kept == 9.9
    assert plan.length("autopilot-pos") == by_way


def test_the_name_of_a_part_means_where_that_part_is(plan: Plan) -> None:
    plan.put("vhf", waypoint="", x="4", y="1", height="0.5")
    after = plan.put("new-run", start="vhf  RADIO", end="Nav station", length="4")
    waypoint = plan.item("waypoints", name="VHF radio")
    radio = plan.item("parts", id="vhf")

    # 0 m from the radio, 4 m, 0.5 m to the panel.
    assert plan.length("vhf-pos") == pytest.approx(4.0 + 0.5 + 2 * END)
    assert "VHF radio" in words(element(after, "plan-change"))
    assert (waypoint["place"], radio["waypoint"]) == (radio["place"], waypoint["id"])
    assert "from_waypoint_m" not in radio


def test_a_waypoint_called_as_a_part_takes_its_place_and_the_part(plan: Plan) -> None:
    plan.put("vhf", waypoint="", x="4", y="1", height="0.5")
    plan.put("new-waypoint", name="VHF radio")
    plan.put("plotter", waypoint="Chart plotter", away="0.4")

    assert plan.item("parts", id="vhf")["waypoint"] == plan.item("waypoints", name="VHF radio")["id"]
    assert plan.item("waypoints", name="VHF radio")["place"] == plan.item("parts", id="vhf")["place"]
    assert plan.item("parts", id="plotter")["from_waypoint_m"] == 0.4


def test_a_part_that_is_reached_from_elsewhere_stays_where_it_is(plan: Plan) -> None:
    before = plan.item("parts", id="autopilot")
    after = plan.put("new-run", start="Autopilot", end="Nav station", length="4")

    assert "Autopilot is the end of a run, but no part is reached from it" in words(after)
    assert "Nav station is the end" not in words(after)
    assert plan.item("parts", id="autopilot") == before


def test_moving_a_part_keeps_its_entered_distance_and_says_so(plan: Plan) -> None:
    plan.put("autopilot", waypoint="Cockpit", away="1.5", x="5", y="0")
    before = plan.length("autopilot-pos")
    nudged = plan.press("autopilot", "plan-step-fore", step="fore")
    kept = plan.length("autopilot-pos")
    open_ended = plan.put("autopilot", waypoint="Cockpit", away="", x="5", y="0")

    assert kept == before
    assert "The distance from Cockpit is as entered" in words(nudged)
    assert "Cockpit has no place on the plan" in words(open_ended)


def test_lists_stay_folded_until_most_in_them_is_done_and_say_how_much_is_not(plan: Plan) -> None:
    page = plan.look()

    assert re.search(r"Conductors: \d+, \d+ of them reached by no run", words(page))
    assert re.search(r"Parts: \d+, \d+ of them at no waypoint", words(page))
    assert not re.search(r'id="plan-(wires|parts)-fold"[^>]* open>', page)
    assert 'id="plan-runs-fold" data-kept-fold="open" open' in page


def test_taking_a_run_off_is_told_and_undone(plan: Plan) -> None:
    run = str(plan.item("runs", name="Nav station – Engine bay")["id"])
    gone = plan.press(run, "plan-off")

    assert "kept from before the move: check it" in words(element(gone, "row-autopilot-pos"))
    assert "no runs of known length lead from Nav station to Cockpit" in words(gone)
    assert "reached by no run" in words(element(gone, "plan-notes"))
    plan.press("", "plan-undo")
    assert plan.item("conductors", id="autopilot-pos")["length_basis"] == "routed"


def test_the_hull_and_its_spaces_are_drawn_and_a_thing_is_carried_over_them(plan: Plan) -> None:
    assert 'class="plan-hull"' not in plan.look()
    assert "Give the beam, and it is drawn." in words(plan.look("hull-shape"))
    plan.put("hull-shape", length="10", beam="3.2", stern="narrow")
    assert "Give the beam" not in words(plan.look("hull-shape"))
    engine = str(plan.item("zones", engine_space=True)["id"])
    plan.put(engine, x="6", x2="8", port="0.8", starboard="0.8")
    cockpit = str(plan.item("waypoints", name="Cockpit")["id"])
    plan.put(cockpit, x="8.5", y="-0.4", height="1.2")
    form = form_with(plan.look(cockpit), "plan-move")
    plan.send(form.action, form.fields | {"on": cockpit, "x": "8.912", "y": "0.35"})
    plan.press(cockpit, "plan-step-fore", step="fore")
    nudged = plan.press(cockpit, "plan-step-port", step="port")

    assert plan.item("waypoints", id=cockpit)["place"] == {
        "from_bow_m": 8.81,
        "from_centreline_m": 0.25,
        "height_m": 1.2,
    }
    assert "zone-engine" in nudged
    assert "8.81 m from the bow, 0.25 m to starboard, 1.2 m above the waterline" in words(nudged)
    assert 'class="plan-hull"' in nudged
    assert "0.8" in form_with(plan.look(engine), "plan-save").fields["port"]


def test_many_parts_are_put_at_a_waypoint_as_a_list(plan: Plan) -> None:
    cockpit = str(plan.item("waypoints", name="Cockpit")["id"])
    listed = "autopilot\r\n  Chart  plotter\n\nVHF radio"
    wrong = plan.put(cockpit, 422, here=f"{listed}\nKraken")
    after = plan.put(cockpit, here=listed)
    plotter = plan.item("parts", id="plotter")

    assert "There is no part “Kraken”" in words(element(wrong, "plan-here-error"))
    assert plotter["waypoint"] == cockpit
    assert plan.item("parts", id="autopilot")["from_waypoint_m"] == 1.0
    assert "Nav station → Engine bay → Cockpit" in words(element(after, "row-plotter-pos"))
    assert "VHF radio" in element(plan.look(cockpit), "plan-here")
    plan.put(cockpit, here="")
    assert "waypoint" not in plan.item("parts", id="plotter")


def test_a_conductors_way_is_lit_on_the_plan(plan: Plan) -> None:
    for name, x in (("Nav station", "4"), ("Engine bay", "6"), ("Cockpit", "8")):
        plan.put(str(plan.item("waypoints", name=name)["id"]), x=x, y="0.5")
    run = str(plan.item("runs", name="Nav station – Engine bay")["id"])

    lit = plan.look("autopilot-pos")
    assert "on-way" in element(lit, f"spot-{run}")
    assert "on-way" not in element(plan.look("panel"), f"spot-{run}")
    assert "chosen" in element(plan.look(run), f"spot-{run}")


def test_a_designer_begins_with_a_list_of_runs_that_is_drawn_as_a_map(client: TestClient) -> None:
    plan = Plan(client, "blank")
    empty = plan.look()
    page = plan.put("run-list", lines="Panel; Engine bay; 2.5\nEngine bay; Helm; 3; 0.5")
    run = str(plan.item("runs", name="Engine bay – Helm")["id"])

    assert "Begin with the runs and their lengths" in words(empty)
    assert "plan-picture" not in empty
    assert "Runs by their lengths, not a plan of the hull" in page
    assert f'id="spot-{run}"' in page
    assert "2 runs put in" in words(element(page, "plan-change-title"))
    assert 'data-focus-next="plan-start"' in element(plan.look("new-run"), "plan-save")
    helm = str(plan.item("waypoints", name="Helm")["id"])
    assert "Plan of the hull" in plan.look(helm)
    assert "Plan of the hull" in plan.put(helm, x="8", y="0")


def test_what_conductors_may_carry_is_told_before_and_after_where_a_bundle_grows(plan: Plan) -> None:
    """ABYC E-11 (2008) 11.14.3.7.1, from memory: × 0.7 from three conductors on that lie together."""
    bundled = plan.put("vhf", waypoint="Cockpit", away="1", x="", y="", height="")
    carries = words(element(bundled, "plan-change-carries"))
    told = re.search(r"Main panel to Autopilot ([\d.]+) A ([\d.]+) A beside 3 others", carries)
    alone = words(plan.put("vhf", waypoint="", away="", x="", y="", height=""))

    assert told is not None
    assert float(told[2]) == pytest.approx(0.7 * float(told[1]), rel=0.01)
    assert "from memory, confirm in the standard" in carries
    assert f"Main panel to Autopilot {told[2]} A {told[1]} A" in alone


def test_what_lies_under_the_same_finger_is_offered_beside_what_was_touched(plan: Plan) -> None:
    plan.put("hull-shape", length="10", beam="3.2")
    for part, x in (("vhf", "4"), ("plotter", "4.1"), ("autopilot", "9")):
        plan.put(part, x=x, y="1.4", height="0")
    page = plan.look("vhf")

    assert "Chart plotter" in element(page, "close-plotter")
    assert 'id="close-autopilot"' not in page
    assert 'id="close-vhf"' not in page
    assert "In the same place" not in words(plan.look("autopilot"))


def test_a_part_whose_zone_is_not_where_it_is_drawn_is_told_and_mended(plan: Plan) -> None:
    engine = str(plan.item("zones", engine_space=True)["id"])
    plan.put("vhf", x="7", y="0", height="0", zone="cabin")
    plan.put("plotter", x="2", y="0", height="0", zone=engine)
    drawn = plan.put(engine, x="6.5", x2="8", port="0.8", starboard="0.8")
    notes = words(element(drawn, "plan-notes"))

    name = plan.item("zones", id=engine)["name"]
    assert f"1 part is counted to {name} and drawn outside its outline" in notes
    assert re.search(rf"counted to another zone and drawn inside {name}: .* VHF radio", notes)
    assert f'id="astray-{engine}-plotter"' in drawn
    assert f"Zone: {name}." in words(plan.look("plotter"))
    plan.put("vhf", zone="")
    mended = plan.put("plotter", zone="cabin")
    assert "VHF radio" not in words(element(mended, "plan-notes"))
    assert "outside its outline" not in words(element(mended, "plan-notes"))
    assert "zone" not in plan.item("parts", id="vhf")
    assert f"Zone: {name}, by the plan." in words(plan.look("vhf"))
    assert plan.item("parts", id="plotter")["zone"] == "cabin"


def test_decks_are_listed_shown_one_at_a_time_and_taken_off(plan: Plan) -> None:
    plan.put("hull-shape", length="10", beam="3.2")
    plan.put("new-deck", name="Bridge deck", floor="1.8")
    listed = plan.put("new-deck", name="Cabin sole", floor="-0.3")
    sole, bridge = (str(plan.item("decks", name=name)["id"]) for name in ("Cabin sole", "Bridge deck"))
    nav, cockpit = (str(plan.item("waypoints", name=name)["id"]) for name in ("Nav station", "Cockpit"))
    plan.put(nav, x="4", y="0", deck=sole)
    plan.put(cockpit, x="8", y="0", deck=bridge)
    plan.put("new-run", start="Nav station", end="Cockpit")
    run = str(plan.item("runs", name="Nav station – Cockpit")["id"])
    shown = plan.client.get(f"{plan.boat}/plan", params={"shown": sole}).text

    assert re.search(
        r"Cabin sole 0.3 m below .*Bridge deck 1.8 m above", words(element(listed, "plan-decks"))
    )
    assert plan.item("waypoints", id=cockpit)["place"] == {
        "from_bow_m": 8.0,
        "from_centreline_m": 0.0,
        "height_m": 1.8,
    }
    assert "pale" in element(shown, f"spot-{cockpit}")
    assert "pale" not in element(shown, f"spot-{nav}")
    assert "pale" not in element(shown, f"spot-{run}")
    assert "goes up 2.1 m to Bridge deck" in element(shown, f"spot-{run}")
    assert f'value="{sole}" selected' in element(shown, "plan-deck-choice")
    assert "Deck: Bridge deck." in words(plan.look(cockpit))
    assert "1 waypoint on it" in words(plan.look(bridge))
    form = form_with(shown, "plan-move")
    kept = plan.send(form.action, form.fields | {"on": nav, "x": "4.5", "y": "0"})
    assert "pale" in element(kept, f"spot-{cockpit}")
    gone = plan.press(bridge, "plan-off")
    assert "pale" not in element(gone, f"spot-{cockpit}")
    assert "deck" not in plan.item("waypoints", id=cockpit)


def test_a_deck_without_a_floor_is_asked_for_it(unchanged: Plan) -> None:
    answer = unchanged.put("new-deck", 422, name="Bridge", floor="")

    assert "height of its floor" in words(element(answer, "plan-floor-error"))


def test_a_part_out_of_reach_is_counted_and_its_waypoint_named_with_one_press(plan: Plan) -> None:
    cockpit = str(plan.item("waypoints", name="Cockpit")["id"])
    plan.put(cockpit, x="8", y="0")
    before = plan.length("vhf-pos")
    far = plan.put("vhf", waypoint="", x="4", y="0", height="0")
    notes = words(element(far, "plan-notes"))
    chosen = plan.look("vhf")

    assert re.search(r"\d+ parts lie more than 2 m from every waypoint and no run reaches them", notes)
    assert "our own choice, no source, from memory" in notes
    assert "no waypoint; Cockpit is nearest, 4.00 m away" in words(element(far, "row-vhf"))
    assert plan.item("conductors", id="vhf-pos")["length_basis"] != "routed"
    assert "Reach it from Cockpit, 4.00 m away" in words(element(chosen, "plan-reach"))
    form = form_with(chosen, "plan-reach")
    plan.send(form.action, form.fields)
    assert plan.item("parts", id="vhf")["waypoint"] == cockpit
    assert plan.item("conductors", id="vhf-pos")["length_basis"] == "routed"
    assert plan.length("vhf-pos") != before
    wide = plan.put("margins", reach="50", allowance="", growth="", spare="", overall="", fill="")
    assert "from every waypoint" not in words(element(wide, "plan-notes"))
    assert plan.item("assumptions", key="waypoint_reach")["value"] == 50.0


def test_a_zone_of_corners_belongs_to_a_deck_and_comes_back_as_it_was_typed(plan: Plan) -> None:
    plan.put("new-deck", name="Cabin sole", floor="0")
    sole = str(plan.item("decks", name="Cabin sole")["id"])
    corners = "2; -1\n5; -1\n5; 1\n3; 0.5"
    drawn = plan.put("new-zone", name="Gas locker", vapour_risk="yes", corners=corners, deck=sole)
    zone = str(plan.item("zones", name="Gas locker")["id"])
    page = plan.look(zone)
    fields = form_with(page, "plan-save").fields

    assert "drawn, 4 corners, on Cabin sole" in words(element(drawn, f"row-{zone}"))
    assert corners in element(page, "plan-corners")
    assert (fields["x"], fields["deck"]) == ("", sole)
    assert ("plan-corners-touch" in page) is ("plan-picture" in page)


def test_a_new_zone_and_a_waypoint_come_and_go(plan: Plan) -> None:
    plan.put("new-zone", name="Fuel locker", vapour_risk="yes")
    plan.put("new-waypoint", name="Forepeak")
    zone = str(plan.item("zones", name="Fuel locker")["id"])

    assert "vapour can gather" in words(element(plan.look(), f"row-{zone}"))
    assert "Forepeak" in words(element(plan.look(), "plan-places"))
    assert "Fuel locker" not in words(element(plan.press(zone, "plan-off"), "plan-zones"))


@pytest.mark.parametrize(
    ("on", "typed", "field", "message"),
    [
        ("new-run", {"start": "A", "end": ""}, "end", "Enter a name"),
        ("new-run", {"start": "A", "end": " a "}, "end", "another one"),
        ("new-run", {"start": "A", "end": "B", "length": "0"}, "length", "more than 0 m"),
        ("new-run", {"start": "A", "end": "B", "length": "long"}, "length", "Enter a number in m"),
        ("new-run", {"start": "A", "end": "B", "drop": "-1"}, "drop", "Enter 0 m or more"),
        ("new-run", {"start": "A", "end": "B", "zone": "moon"}, "zone", "Choose one"),
        ("new-waypoint", {"name": ""}, "name", "Enter a name"),
        ("new-waypoint", {"name": "A", "y": "1"}, "x", "how far it is from the bow"),
        ("new-waypoint", {"name": "A", "x": "500"}, "x", "200 m at most"),
        ("autopilot", {"waypoint": "", "away": "2"}, "waypoint", "from where"),
        ("new-zone", {"name": "A", "x": "1"}, "x2", "all four sides"),
        ("new-zone", {"name": "A", "x": "2", "x2": "1", "port": "1", "starboard": "1"}, "x2", "farther aft"),
        ("hull-shape", {"length": "-4"}, "length", "0 m or more"),
        ("margins", {"spare": "1.5"}, "spare", "whole number"),
        ("margins", {"growth": "300"}, "growth", "100 % at most"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    unchanged: Plan, on: str, typed: dict[str, str], field: str, message: str
) -> None:
    answer = unchanged.put(on, 422, **typed)

    assert message in words(element(answer, f"plan-{field}-error"))
    form = form_with(answer, "plan-save")
    assert all(form.fields[name] == value for name, value in typed.items() if value != "moon")


def test_without_script_a_change_leads_back_to_the_page_with_what_it_did(plan: Plan) -> None:
    form = form_with(plan.look("autopilot"), "plan-save")
    answer = plan.client.post(form.action, data=form.fields | {"away": "4"})
    wrong = plan.client.post(form.action, data=form.fields | {"away": "x"})

    assert answer.status_code == 303
    page = plan.client.get(answer.headers["location"])
    assert "2 conductors change: 6.0 m more in all." in words(page.text)
    assert form_with(page.text, "plan-undo-change").action.endswith("/plan/undo")
    assert wrong.status_code == 422
    assert "<html" in wrong.text


def test_what_is_gone_or_made_up_is_refused(plan: Plan) -> None:
    form = form_with(plan.look("autopilot"), "plan-save")
    base = f"{plan.boat}/plan"

    for action, more in (
        ("put", {"on": "ghost"}),
        ("off", {"on": "ghost"}),
        ("off", {"on": "NO"}),
        ("move", {"on": "ghost", "x": "1", "y": "1"}),
        ("move", {"on": "autopilot", "x": "far", "y": "1"}),
        ("nudge", {"on": "ghost", "step": "fore"}),
        ("nudge", {"on": "panel", "step": "up"}),
    ):
        answer = plan.client.post(f"{base}/{action}", data=form.fields | more, headers=HTMX)
        assert answer.status_code == 422, action


def test_an_edit_on_a_boat_that_changed_meanwhile_is_told_and_made_on_top(plan: Plan) -> None:
    form = form_with(plan.look("autopilot"), "plan-save")
    plan.put("new-waypoint", name="Forepeak")
    answer = plan.client.post(form.action, data=form.fields | {"away": "4"}, headers=HTMX)

    assert answer.status_code == 409
    assert "Waypoint Forepeak" in words(answer.text)


def test_the_demo_boats_have_a_page_without_a_plan_drawn(sloop: TestClient) -> None:
    page = sloop.get("/boats/sloop/plan", params={"mode": "no-such-mode"}, headers=HTMX)

    assert page.status_code == 200
    assert "no runs yet" in words(page.text)
    assert page.headers["HX-Push-Url"].startswith("/boats/sloop/plan")


def test_what_has_no_way_says_what_is_missing(plan: Plan) -> None:
    plan.put("panel", waypoint="Nav station", away="")
    plan.put("vhf", waypoint="Nav station", away="", x="", y="", height="")
    page = plan.look()

    assert "distance not known: taken as none" in words(element(page, "row-vhf"))
    assert "both ends are at Nav station: give their distances" in words(element(page, "row-vhf-pos"))
    assert "Enter a length: no run tells one." in words(plan.put("vhf-pos", 422, length=""))
    assert "4.40 m, measured" in words(element(plan.put("vhf-pos", length="4.4"), "row-vhf-pos"))


def test_a_boat_without_modes_has_lengths_and_no_heat(client: TestClient) -> None:
    plan = Plan(client, "blank")
    page = plan.put("new-run", start="A", end="B", length="2", drop="0.5")

    assert "2.50 m, 0.5 m of it up and down" in words(element(page, "plan-runs"))
    assert "No conductor is longer" in words(element(page, "plan-change"))
    assert "plan-mode-choice" not in page


def test_a_run_with_many_wires_tells_the_first_and_counts_the_rest(plan: Plan) -> None:
    for name, x, y in (("Nav station", "2", "-1.4"), ("Engine bay", "5", "1.4"), ("Cockpit", "9", "1.4")):
        plan.put(str(plan.item("waypoints", name=name)["id"]), x=x, y=y)
    engine = str(plan.item("runs", name="Nav station – Engine bay")["id"])
    plan.put(engine, name="Forward run", length="0.1")
    page = plan.look(engine)
    through = re.search(r"In it: (\d+) conductors", words(page))

    assert through is not None
    assert f"and {int(through[1]) - 12} more" in words(page)
    assert "Forward run (Nav station – Engine bay)" in words(element(page, "plan-runs"))
    assert "the nearest on the plan" in words(element(page, "plan-parts"))


def test_a_conductor_on_the_history_of_lengths_is_named_by_its_ends(plan: Plan) -> None:
    wire = plan.item("conductors", id="autopilot-pos")
    after = plan.put("autopilot", waypoint="Cockpit", away="3")

    assert wire.get("name") is None
    assert "Main panel to Autopilot" in words(element(after, "plan-change-wires"))


def test_a_drawing_lies_under_the_plan_by_two_of_its_pins(sloop: TestClient) -> None:
    """800 × 400 px; pins at a quarter and three quarters of its width are 4 m apart: 100 px a metre."""
    plan = Plan(sloop)
    plan.boat = "/boats/sloop"
    assert "plan-save" not in plan.look("drawing")
    photo = add(sloop, jpeg((800, 400)), caption="General arrangement").rsplit("/", 1)[-1]
    for x in ("25", "75"):
        send(sloop, f"/boats/sloop/photos/{photo}", "pin-new-set", tag="frame", x=x, y="50")
    places = {"bow1": "2", "side1": "0", "bow2": "6", "side2": "0"}
    wrong = plan.put("drawing", 422, photo=photo, pin1="1", pin2="9", **places)
    one_place = places | {"bow2": "2"}
    same = plan.put("drawing", 422, photo=photo, pin1="1", pin2="2", **one_place)
    page = plan.put("drawing", 200, photo=photo, pin1="1", pin2="2", **places)
    image = re.search(r'<image [^>]*transform="matrix\(([^)]*)\)"', page)
    scale = re.search(r'data-scale="([^"]*)"', page)
    kept = form_with(plan.look("drawing"), "plan-save").fields

    assert "number of a pin" in words(element(wrong, "plan-pin2-error"))
    assert "lie apart" in words(element(same, "plan-bow2-error"))
    assert image is not None
    assert scale is not None
    assert float(image[1].split()[0]) == pytest.approx(float(scale[1]) / 100, rel=1e-3)
    assert (kept["pin1"], kept["pin2"], kept["bow2"]) == ("1", "2", "6")
    assert "<image" not in plan.put("drawing", photo="")


def test_the_list_of_cables_tells_the_way_of_each_where_there_are_runs(plan: Plan, unchanged: Plan) -> None:
    listed = plan.client.get(f"{plan.boat}/lists").text
    bare = unchanged.client.get(f"{unchanged.boat}/lists").text

    assert words(element(listed, "cable-autopilot-pos")).endswith("Nav station → Engine bay → Cockpit")
    assert words(element(listed, "cable-vhf-pos")).endswith("–")
    assert '<th scope="col">Way</th>' in listed
    assert '<th scope="col">Way</th>' not in bare
