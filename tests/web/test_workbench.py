"""The workbench: from “restarts” to a cleared finding and back, and what can go wrong on the way."""

import gzip
import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, ids, tap_forms, words

BOAT = "/boats/sloop"
HELD = f"{BOAT}/pick-up?part=autopilot&terminal=negative"
HTMX = {"HX-Request": "true"}
FRAGMENTS = (
    "results",
    "head",
    "guide",
    "controls",
    "diagram-place",
    "tap-answers-place",
    "asking",
    "change",
    "selected",
    "taps",
    "findings",
    "switches",
    "assumptions",
)


def test_a_first_visit_opens_the_teaching_boat_and_later_ones_the_boats(sloop: TestClient) -> None:
    first = sloop.get("/")

    assert (first.status_code, first.headers["location"]) == (303, BOAT)
    later = sloop.get("/")
    assert later.status_code == 200
    assert "<h1>Boats</h1>" in later.text


def test_the_page_opens_in_the_worst_event_with_one_sentence_and_one_button(sloop: TestClient) -> None:
    page = sloop.get(BOAT).text

    guide = element(page, "guide")
    assert words(guide).startswith("When the engine starts, the autopilot restarts. Show why")
    assert guide.count('class="button"') == 1
    assert '<option value="engine-start" selected>' in page


def test_three_touches_lead_from_the_first_page_to_a_cleared_finding(sloop: TestClient) -> None:
    page = sloop.get(BOAT).text
    why = re.search(r'id="show-why" href="([^"]*)"', page)
    assert why
    shown = sloop.get(why[1].replace("&amp;", "&")).text
    move = re.search(r'id="pick-up-autopilot--negative" href="([^"]*)"', shown)
    assert move
    listed = sloop.get(move[1].replace("&amp;", "&")).text
    best = tap_forms(listed)[0]
    put = sloop.post(best.action, data=best.fields)
    after = sloop.get(put.headers["location"]).text

    assert put.status_code == 303
    assert "the autopilot restarts" not in words(element(after, "guide"))
    cleared = words(element(after, "change")).partition("Findings cleared")[2]
    assert "When the engine starts, the autopilot restarts" in cleared
    assert "1 better · 0 worse" in words(element(after, "change"))


def test_moving_a_lead_on_a_boat_as_surveyed_opens_an_option_and_says_so(sloop: TestClient) -> None:
    before = sloop.get(f"{BOAT}/export").content
    best = tap_forms(sloop.get(HELD).text)[0]
    put = sloop.post(best.action, data=best.fields, headers=HTMX)
    back = re.search(r'id="back-to-survey" href="([^"]*)"', element(put.text, "change"))

    assert sloop.get(f"{BOAT}/export").content == before
    assert not put.headers["hx-push-url"].startswith(f"{BOAT}?")
    assert "The boat as surveyed is kept as it was found" in words(element(put.text, "change"))
    assert "the boat it came from" in words(element(put.text, "head"))
    assert back
    assert "the autopilot restarts" in words(element(sloop.get(back[1]).text, "guide"))


def test_picking_up_a_lead_of_the_boat_as_surveyed_says_that_it_is_kept(sloop: TestClient) -> None:
    option = opened_option(sloop)
    there = f"{option}/pick-up?part=autopilot&terminal=negative"

    assert "opens an option beside it" in words(element(sloop.get(HELD).text, "taps"))
    assert "opens an option" not in words(element(sloop.get(there).text, "taps"))


def test_a_lead_that_can_go_nowhere_says_so_and_offers_its_other_lead(bystander: TestClient) -> None:
    """The trawler's flybridge plotter: nothing but its own way is small enough for its wire."""
    there = "/boats/trawler/pick-up?part=plotter-fly&terminal=supply"
    page = element(bystander.get(there).text, "taps")
    other = re.search(r'id="instead-[^"]*" href="([^"]*)"', page)

    assert tap_forms(page) == []
    assert "this lead can go nowhere else" in words(page)
    assert other
    assert "Where to put Plotter, flybridge negative" in words(
        element(bystander.get(other[1].replace("&amp;", "&")).text, "taps")
    )
    assert "nowhere else" not in words(element(bystander.get(HELD).text, "taps"))


def test_only_the_first_change_of_an_option_says_that_it_was_opened(sloop: TestClient) -> None:
    option = opened_option(sloop)
    form = tap_forms(sloop.get(f"{option}/pick-up?part=vhf&terminal=negative").text)[0]
    after = sloop.get(sloop.post(form.action, data=form.fields).headers["location"]).text

    assert "as it was found" not in words(element(after, "change"))


def test_a_put_down_sent_twice_is_done_once(sloop: TestClient) -> None:
    best = tap_forms(sloop.get(HELD).text)[0]
    first = sloop.post(best.action, data=best.fields)
    second = sloop.post(best.action, data=best.fields)

    assert first.headers["location"] == second.headers["location"]
    assert sloop.get("/boats").text.count('id="card-b') == 1


def test_the_same_form_cannot_be_used_for_another_move(sloop: TestClient) -> None:
    option = opened_option(sloop)
    held = sloop.get(f"{option}/pick-up?part=vhf&terminal=negative").text
    first, second = tap_forms(held)[:2]
    sloop.post(first.action, data=first.fields)
    reused = second.fields | {"request_id": first.fields["request_id"]}
    answer = sloop.post(second.action, data=reused)

    assert answer.status_code == 422
    assert "already used" in words(answer.text)


def test_undo_brings_the_finding_back_and_redo_clears_it_again(sloop: TestClient) -> None:
    option = opened_option(sloop)
    page = sloop.get(option).text
    undo = form_with(page, "undo")
    undone = sloop.get(sloop.post(undo.action, data=undo.fields).headers["location"]).text
    redo = form_with(undone, "redo")
    redone = sloop.get(sloop.post(redo.action, data=redo.fields).headers["location"]).text

    assert "the autopilot restarts" in words(element(undone, "guide"))
    assert words(element(undone, "change")).startswith("Undone: ")
    assert "the autopilot restarts" not in words(element(redone, "guide"))


def test_a_stale_edit_shows_what_changed_and_can_be_made_on_top(sloop: TestClient) -> None:
    option = opened_option(sloop)
    mine = tap_forms(sloop.get(f"{option}/pick-up?part=vhf&terminal=negative").text)[0]
    theirs = tap_forms(sloop.get(f"{option}/pick-up?part=plotter&terminal=negative").text)[0]
    sloop.post(theirs.action, data=theirs.fields)
    stale = sloop.post(mine.action, data=mine.fields)
    on_top = form_with(stale.text, "apply-on-top")
    done = sloop.post(on_top.action, data=on_top.fields)

    assert stale.status_code == 409
    assert "Chart plotter negative" in words(stale.text)
    assert done.status_code == 303
    history = sloop.app.state.yard.store.history(option.removeprefix("/boats/"))  # type: ignore[attr-defined]
    assert len(history) == 4


def test_a_stale_edit_answers_htmx_in_the_place_for_messages(sloop: TestClient) -> None:
    option = opened_option(sloop)
    page = sloop.get(option).text
    undo = form_with(page, "undo")
    sloop.post(undo.action, data=undo.fields)
    again = form_with(page, "redo")
    stale = sloop.post(again.action, data=again.fields, headers=HTMX)

    assert stale.status_code == 409
    assert stale.headers["hx-retarget"] == "#message"
    assert "apply-on-top" in ids(stale.text)


def test_nothing_to_undo_is_said_and_is_no_error(sloop: TestClient) -> None:
    page = sloop.get(BOAT).text
    assert "disabled" in element(page, "undo")

    undo = form_with(page, "undo")
    answer = sloop.post(undo.action, data=undo.fields)
    assert answer.status_code == 409
    assert "nothing to undo" in words(answer.text)


def test_htmx_gets_the_very_fragments_that_the_page_holds(sloop: TestClient) -> None:
    address = f"{BOAT}?mode=starting&event=engine-start&selected=autopilot.supply"
    sloop.get(f"{BOAT}/findings")  # so that no finding is still being computed
    page, parts = sloop.get(address).text, sloop.get(address, headers=HTMX).text

    for name in FRAGMENTS:
        assert plain(element(parts, name)) == plain(element(page, name)), name


def test_a_pick_up_answers_with_the_list_and_the_overlay_alone(sloop: TestClient) -> None:
    parts = sloop.get(HELD, headers=HTMX).text
    late = sloop.get(f"{HELD}&refined=yes", headers=HTMX).text
    page = sloop.get(HELD).text

    assert plain(element(late, "taps")) == plain(element(page, "taps"))
    assert "tap-answers-place" in ids(parts)
    assert {"diagram", "results", "selected"}.isdisjoint(ids(parts))


def test_no_id_stands_twice_on_a_page(sloop: TestClient) -> None:
    found = ids(sloop.get(f"{HELD}&selected=autopilot.supply").text)

    assert sorted(found) == sorted(set(found))


def test_every_control_has_an_id_so_that_the_focus_is_kept(sloop: TestClient) -> None:
    for section in ("switches", "assumptions"):
        address = f"{HELD}&selected=autopilot.supply&open={section}"
        page = re.sub(r"<svg\b.*?</svg>", "", sloop.get(address).text, flags=re.S)
        controls = re.findall(
            r"<(?:button|select|textarea|a|summary|input(?![^>]*hidden))\b[^>]*>", element(page, "content")
        )

        assert len(controls) > 60
        assert [one for one in controls if " id=" not in one and not one.startswith("<summary")] == []


def test_every_form_works_without_script(sloop: TestClient) -> None:
    page = sloop.get(f"{HELD}&selected=autopilot.supply").text

    for tag in re.findall(r"<form\b[^>]*>", page):
        assert " method=" in tag
        assert " action=" in tag


@pytest.mark.parametrize(
    ("column", "first", "last"),
    [("name", "Anchor light", "VHF radio"), ("steady", "Refrigerator compressor", "VHF radio")],
)
def test_the_load_table_sorts_by_a_column_both_ways(
    sloop: TestClient, column: str, first: str, last: str
) -> None:
    up = rows(sloop.get(f"{BOAT}?mode=starting&sort={column}").text)
    down = rows(sloop.get(f"{BOAT}?mode=starting&sort={column}&order=descending").text)
    known_up, known_down = [name for name, known in up if known], [name for name, known in down if known]

    if column == "steady":
        assert (known_up[0], known_up[-1]) == (first, last)
        assert known_down == known_up[::-1]
    else:
        assert (up[0][0], up[-1][0]) == (first, last)
        assert [name for name, _ in down] == [name for name, _ in up][::-1]


def test_a_sorted_column_says_so(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}?sort=drop&order=descending").text

    assert page.count('aria-sort="descending"') == 1
    assert page.count('aria-sort="none"') == 7


def test_the_loops_shares_add_up_to_the_dip(sloop: TestClient) -> None:
    """Every element's share is a figure on the page; their sum is the dip (engine contract, decision 13)."""
    strip = element(sloop.get(f"{BOAT}?selected=autopilot.supply").text, "selected")
    shares = [float(one.replace("−", "-")) for one in re.findall(r'step-share">([−\d.]+) V', strip)]
    said = re.search(r"shares add up to ([\d.]+) V; the dip is ([\d.]+) V", words(strip))

    assert said
    assert said[1] == said[2]
    assert sum(shares) == pytest.approx(float(said[2]), abs=0.005 * len(shares))


def test_a_length_that_makes_no_sense_is_kept_and_explained_beside_its_field(sloop: TestClient) -> None:
    address = f"{BOAT}?selected=autopilot.supply"
    name = next(
        one for one in ids(sloop.get(address).text) if one.startswith("length-") and one.endswith("-set")
    )
    form = form_with(sloop.get(address).text, name)
    typed = form.fields | {"value": "four and a <half>"}
    whole = sloop.post(form.action, data=typed)
    part = sloop.post(form.action, data=typed, headers=HTMX)

    field = name.removesuffix("-set")
    for answer in (whole, part):
        assert answer.status_code == 422
        assert 'value="four and a &lt;half&gt;"' in element(answer.text, field)
        assert "Enter a number in m" in words(element(answer.text, field))
        assert 'aria-invalid="true"' in element(answer.text, field)
    assert part.headers["hx-retarget"] == f"#{field}"
    assert "<!DOCTYPE html>" in whole.text


@pytest.mark.parametrize(("typed", "kept"), [("7,25 m", "7.25"), ("", "")])
def test_a_length_is_measured_once_it_was_typed(sloop: TestClient, typed: str, kept: str) -> None:
    address = f"{BOAT}?selected=autopilot.supply"
    name = next(
        one for one in ids(sloop.get(address).text) if one.startswith("length-") and one.endswith("-set")
    )
    form = form_with(sloop.get(address).text, name)
    done = sloop.post(form.action, data=form.fields | {"value": typed})
    field = element(sloop.get(done.headers["location"]).text, name.removesuffix("-set"))

    assert done.headers["location"].startswith(f"{BOAT}?")
    assert f'name="value" value="{kept}"' in field
    assert ("measured" in words(field)) == bool(kept)


def test_a_size_comes_out_of_the_published_tables(sloop: TestClient) -> None:
    address = f"{BOAT}?selected=autopilot.supply"
    name = next(
        one for one in ids(sloop.get(address).text) if one.startswith("size-") and one.endswith("-set")
    )
    form = form_with(sloop.get(address).text, name)
    refused = sloop.post(form.action, data=form.fields | {"value": "a garden hose"})
    done = sloop.post(form.action, data=form.fields | {"value": "6 AWG"})

    assert refused.status_code == 422
    assert "Choose one of the sizes" in words(element(refused.text, name.removesuffix("-set")))
    assert done.status_code == 303
    field = element(sloop.get(done.headers["location"]).text, name.removesuffix("-set"))
    assert '<option value="6 AWG" selected>' in field


def test_a_lower_need_clears_the_finding(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}?selected=autopilot.supply").text
    form = form_with(page, "field-autopilot-supply-set")
    refused = sloop.post(form.action, data=form.fields | {"value": "-3"})
    done = sloop.post(form.action, data=form.fields | {"value": "6"})

    assert refused.status_code == 422
    assert "Enter more than 0 V" in words(refused.text)
    guide = words(element(sloop.get(done.headers["location"]).text, "guide"))
    assert "everything that is on keeps running" in guide


def test_a_switch_is_set_in_the_chosen_mode_only(sloop: TestClient) -> None:
    form = form_with(sloop.get(f"{BOAT}?mode=starting").text, "position-selector-set")
    refused = sloop.post(form.action, data=form.fields | {"value": "sideways"})
    done = sloop.post(form.action, data=form.fields | {"value": "off"})

    assert refused.status_code == 422
    after = sloop.get(done.headers["location"]).text
    assert '<option value="off" selected>' in element(after, "position-selector")
    moored = sloop.get(f"{BOAT}?mode=moored").text
    assert '<option value="off" selected>' in element(moored, "position-selector") or "selected" in moored


def test_an_assumption_is_overridden_and_taken_back(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}?open=assumptions").text
    name = next(one for one in ids(page) if one.startswith("assume-") and one.endswith("-set"))
    form = form_with(page, name)
    key = name.removeprefix("assume-").removesuffix("-set")
    refused = sloop.post(form.action, data=form.fields | {"value": "warm"})
    done = sloop.post(form.action, data=form.fields | {"value": "0.01"})
    after = sloop.get(done.headers["location"]).text

    assert refused.status_code == 422
    assert "set for this boat" in words(element(after, f"assumption-{key}"))
    reset = form_with(after, f"assumption-{key}-reset")
    back = sloop.get(sloop.post(reset.action, data=reset.fields).headers["location"]).text
    assert "set for this boat" not in words(element(back, f"assumption-{key}"))


def test_other_modes_findings_follow_and_are_marked_as_computing(sloop: TestClient) -> None:
    page = sloop.get(BOAT).text
    more = re.search(r'id="findings"[^>]*hx-get="([^"]*)"', page)
    assert more
    rest = sloop.get(more[1].replace("&amp;", "&"), headers=HTMX).text

    assert "Computing the other modes and the slower checks" in words(element(page, "findings"))
    assert "Computing" not in words(element(rest, "findings"))
    assert "hx-get" not in re.findall(r"<section[^>]*>", rest)[0]


def test_what_was_not_seen_stands_beside_the_findings(sloop: TestClient) -> None:
    for address in (BOAT, f"{BOAT}/findings", f"{BOAT}/lists"):
        assert "Cable inside the mast" in words(sloop.get(address).text)


def test_cautions_stand_where_a_result_tempts_to_act(sloop: TestClient) -> None:
    listed = sloop.get(HELD).text
    best = tap_forms(listed)[0]
    moved = sloop.get(sloop.post(best.action, data=best.fields).headers["location"]).text

    for text in (element(listed, "taps"), element(moved, "change")):
        assert "take the negative off every battery" in words(text)


def test_pages_are_small_and_reach_nowhere(sloop: TestClient) -> None:
    """Under 200 kB as transferred (the design's bar), for the largest boat too."""
    for row in sloop.app.state.yard.store.boats():  # type: ignore[attr-defined]
        page = sloop.get(f"/boats/{row.id}")

        assert len(gzip.compress(page.content, 5)) < 200_000
        assert re.findall(r'(?:href|src|action|hx-\w+)="(?:https?:)?//', page.text) == []


def test_touching_a_folded_panel_shows_its_loads_one_by_one(sloop: TestClient) -> None:
    folded = sloop.get("/boats/large-yacht").text
    opened = sloop.get("/boats/large-yacht?selected=panel-sun").text

    assert 'data-members="sun-' in folded
    assert "load-sun-plotter" not in ids(folded)
    assert "load-sun-plotter" in ids(opened)


@pytest.mark.parametrize(
    "address",
    [
        "/boats/nowhere",
        "/boats/nowhere/lists",
        "/boats/nowhere/findings",
        "/boats/nowhere/export",
        "/boats/nowhere/card",
        "/boats/nowhere/pick-up?part=a&terminal=b",
        "/boats/sloop?mode=flying",
        "/boats/sloop?event=flood",
        "/boats/sloop/pick-up?part=ghost&terminal=negative",
        "/boats/sloop/pick-up?part=autopilot&terminal=ghost",
        "/boats/sloop/pick-up?part=house-bus&terminal=stud-1",
    ],
)
def test_what_is_not_there_is_not_found(sloop: TestClient, address: str) -> None:
    answer = sloop.get(address)

    assert answer.status_code == 404
    assert "<h1>" in answer.text


def opened_option(sloop: TestClient) -> str:
    """The path of an option that a first move opened."""
    best = tap_forms(sloop.get(HELD).text)[0]
    return sloop.post(best.action, data=best.fields).headers["location"].partition("?")[0]


def rows(page: str) -> list[tuple[str, bool]]:
    """Each load's name, in order, and whether it has a steady voltage."""
    table = element(page, "results-scroll")
    found = re.findall(r'<tr id="load-row.*?</tr>', table, re.S)
    return [
        (
            words(re.findall(r"<th.*?</th>", row, re.S)[0]),
            " V" in words(re.findall(r"<td.*?</td>", row, re.S)[2]),
        )
        for row in found
    ]


def plain(markup: str) -> str:
    """Markup without what differs from answer to answer: request ids and the mark of out-of-band swaps."""
    without = re.sub(r'name="request_id" value="[^"]*"', "", markup.replace(' hx-swap-oob="true"', ""))
    return " ".join(without.split())


def test_the_steady_volts_are_named_as_the_modes_under_a_caption_of_the_events_conditions(
    bystander: TestClient,
) -> None:
    table = element(bystander.get(f"{BOAT}?mode=starting&event=engine-start").text, "results")

    assert "charged" in words(table)
    assert words(element(table, "sort-steady")) == "Steady, in the mode"


@pytest.mark.parametrize("boat", ["sloop", "trawler", "workboat", "outboard"])
def test_a_conductor_without_current_is_told_to_carry_none(bystander: TestClient, boat: str) -> None:
    """A solver leaves 1e-14 A where nothing flows; no clamp shows a milliampere of hundreds."""
    told = re.findall(r"<title>[^<]*, ([^ <]+) A</title>", bystander.get(f"/boats/{boat}").text)

    assert "0" in told
    assert [amps for amps in told if 0 < float(amps) < 1e-3] == []
