"""The page of findings: chosen, opened number by number, mended by one button, let stand with a reason."""

import json
import re

from fastapi.testclient import TestClient

from tests.checks.test_turning_by_hand import on_a_selector
from tests.web.reading import element, form_with, ids, words

BOAT = "/boats/sloop"
HTMX = {"HX-Request": "true"}
FUSE = "device-above-conductor-heater-pos-any-steady"
PILOT = "restarts-autopilot-supply-starting-engine-start"
FRIDGE = "uncounted-fridge-supply-any-steady"


def opened(client: TestClient, finding: str, boat: str = BOAT, **more: str) -> str:
    """The page with a finding opened, once all its mends were tried."""
    return client.get(f"{boat}/findings/one", params={"finding": finding, "mends": "all"} | more).text


def mends_after(client: TestClient, row: str) -> str:
    """What follows an opened row, piece after piece."""
    told, late = "", re.search(r'hx-get="([^"]*findings/mends[^"]*)"', row)
    while late:
        piece = client.get(late[1].replace("&amp;", "&"), headers=HTMX).text
        told, late = told + piece, re.search(r'hx-get="([^"]*findings/mends[^"]*)"', piece)
    return told


def listed(page: str) -> set[str]:
    return {one for one in ids(page) if one.startswith("finding-") and f"{one}-more" in ids(page)}


def accepted(client: TestClient, finding: str = FRIDGE) -> str:
    """The page after a finding was let stand."""
    form = form_with(opened(client, finding), f"accept-{finding}-button")
    typed = {"by": "A. Surveyor", "reason": "It runs from its own meter."}
    done = client.post(form.action, data=form.fields | typed)
    assert done.status_code == 303
    return client.get(done.headers["location"]).text


def test_the_heaters_fuse_is_followed_number_by_number_to_its_sources(sloop: TestClient) -> None:
    # 33 CFR 183.425 Table 5: 14 AWG of 105 °C carries 35 A; ABYC E-11 11.10.2.3: 100 % of that.
    told = words(element(opened(sloop, FUSE), f"opened-{FUSE}"))

    assert "14 AWG, 105 °C insulation, outside engine spaces 35 A" in told
    assert "tabulated, 33 CFR 183.425 Table 5" in told
    assert "Largest device 35 A × 100 % 35 A" in told
    assert "300 A > 35 A fails" in told
    assert "Fails. Standard: ABYC E-11" in told


def test_a_dip_is_followed_element_by_element_to_the_volts_that_are_left(sloop: TestClient) -> None:
    table = element(opened(sloop, PILOT), f"opened-{PILOT}-scroll")
    rows = re.findall(r"<tr>.*?</tr>", table, re.S)
    volts = [float(found[1]) for row in rows if (found := re.search(r'class="figure">([\d.]+) V<', row))]
    before, *shares, left, at_last, need = volts

    assert abs(before - sum(shares) - left) < 0.05  # each is rounded to 0.01 V
    assert abs(left - at_last) < 0.006
    assert need == 9.0
    assert "by its resistance" in words(table)


def test_each_step_leads_to_its_part_or_conductor_in_the_lists(sloop: TestClient) -> None:
    link = re.search(r'href="/boats/sloop/lists#([a-z0-9-]+)"', opened(sloop, FUSE))

    assert link
    assert link[1] in ids(sloop.get(f"{BOAT}/lists").text)


def test_a_finding_opens_in_its_row_and_its_mends_follow(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}/findings").text
    more = re.search(r'hx-get="([^"]*findings/one[^"]*heater-pos[^"]*)"', page)
    assert more
    row = sloop.get(more[1].replace("&amp;", "&"), headers=HTMX).text
    mends = mends_after(sloop, row)

    assert "Trying mends" in words(row)
    assert "15 A fuse in cable 41 100 mm from the house positive bus" in words(mends)
    assert "Goes away too" in words(mends)
    assert len(re.findall(r'id="mend-[^"]*-0"', mends)) == 1


def test_on_the_workbench_a_mend_swaps_in_place_and_on_the_page_it_loads(sloop: TestClient) -> None:
    address = f"{BOAT}/findings/mends"
    here = sloop.get(address, params={"finding": FUSE, "bench": "yes"}, headers=HTMX).text
    there = sloop.get(address, params={"finding": FUSE}, headers=HTMX).text

    assert 'hx-target="#results"' in here
    assert "hx-post" not in there


def test_a_mend_is_one_button_that_clears_its_finding_and_undo_brings_it_back(sloop: TestClient) -> None:
    page = opened(sloop, FUSE)
    form = form_with(page, f"mend-{FUSE}-0")
    done = sloop.post(form.action, data=form.fields)
    bench = sloop.get(done.headers["location"]).text
    boat = done.headers["location"].partition("?")[0]
    after = sloop.get(f"{boat}/findings").text
    undo = form_with(bench, "undo-change")
    sloop.post(undo.action, data=undo.fields)

    assert "stop the engine, take the negative off every battery" in words(page)
    assert f"finding-{FUSE}" not in ids(after)
    assert f"finding-{FUSE}" in ids(sloop.get(f"{boat}/findings").text)


def test_after_a_mend_the_slower_checks_tell_what_they_cleared(sloop: TestClient) -> None:
    form = form_with(opened(sloop, FUSE), f"mend-{FUSE}-0")
    done = sloop.post(form.action, data=form.fields, headers=HTMX)
    at_once = done.text
    more = re.search(r'id="findings"[^>]*hx-get="([^"]*)"', at_once)
    address = done.headers["HX-Push-Url"] if more is None else more[1].replace("&amp;", "&")
    late = sloop.get(address, headers=HTMX).text

    told = words(element(late, "change-late"))
    assert "Cleared as well" in told
    assert "A dead short at the cabin heater" in told


def test_a_mend_that_is_not_offered_is_refused(sloop: TestClient) -> None:
    form = form_with(opened(sloop, FUSE), f"mend-{FUSE}-0")
    answer = sloop.post(form.action, data=form.fields | {"mend": "99"})

    assert answer.status_code in {404, 422}


def test_findings_are_chosen_by_severity_kind_part_and_mode(sloop: TestClient) -> None:
    every = listed(sloop.get(f"{BOAT}/findings").text)
    shown = {
        name: listed(sloop.get(f"{BOAT}/findings", params=params).text)
        for name, params in {
            "dangers": {"of_severity": "danger"},
            "protection": {"of_kind": "protection"},
            "autopilot": {"of_part": "autopilot"},
            "elsewhere": {"of_mode": "motoring"},
        }.items()
    }

    assert all(one < every for one in shown.values())
    assert f"finding-{FUSE}" in shown["dangers"] & shown["protection"]
    assert f"finding-{PILOT}" in shown["autopilot"] - shown["elsewhere"]  # it restarts in another mode
    assert f"finding-{FUSE}" in shown["elsewhere"]  # whatever the mode


def test_a_choice_answers_in_place_stays_in_the_address_and_may_hold_nothing(sloop: TestClient) -> None:
    page = sloop.get(f"{BOAT}/findings", params={"of_severity": "danger"}).text
    part = sloop.get(f"{BOAT}/findings", params={"of_part": "nowhere"}, headers=HTMX).text

    assert '<option value="danger" selected>' in page
    assert "of_severity=danger" in page  # opening a finding keeps the choice
    assert part.lstrip().startswith('<section id="findings"')
    assert "No finding of this choice" in words(part)


def test_an_accepted_finding_is_counted_apart_with_name_and_reason_and_undone(sloop: TestClient) -> None:
    page = accepted(sloop)
    title = words(element(page, "findings-title"))
    group = words(element(page, "findings-accepted"))
    withdrawn = form_with(opened(sloop, FRIDGE), f"opened-{FRIDGE}-withdraw")
    back = sloop.get(sloop.post(withdrawn.action, data=withdrawn.fields).headers["location"]).text

    assert "1 accepted" in title
    assert "Accepted by A. Surveyor: It runs from its own meter." in group
    assert "findings-accepted" not in ids(back)
    assert f"finding-{FRIDGE}" in listed(back)


def test_an_accepted_finding_offers_no_mend(sloop: TestClient) -> None:
    accepted(sloop)

    assert not [one for one in ids(opened(sloop, FRIDGE)) if one.startswith("mend-")]


def test_a_danger_is_accepted_under_a_warning_and_stays_marked(sloop: TestClient) -> None:
    assert "This can hurt somebody" in words(element(opened(sloop, FUSE), f"accept-{FUSE}"))

    group = words(element(accepted(sloop, FUSE), "findings-accepted"))
    assert "Accepted: 1 danger" in group


def test_an_acceptance_without_name_or_reason_is_refused_and_what_was_typed_is_kept(
    sloop: TestClient,
) -> None:
    form = form_with(opened(sloop, FRIDGE, of_severity="advice"), f"accept-{FRIDGE}-button")
    answer = sloop.post(form.action, data=form.fields | {"by": "A. Surveyor", "reason": "  "})

    assert answer.status_code == 422
    box = element(answer.text, f"accept-{FRIDGE}")
    assert "who accepts this and why" in words(box)
    assert 'value="A. Surveyor"' in box
    assert form.fields["of_severity"] == "advice"


def test_a_finding_that_is_not_there_is_told_so(sloop: TestClient) -> None:
    assert sloop.get(f"{BOAT}/findings/one", params={"finding": "nothing"}).status_code in {404, 422}


def test_the_page_says_as_the_lists_do_which_revision_it_speaks_of(bystander: TestClient) -> None:
    told = words(element(bystander.get(f"{BOAT}/findings").text, "findings-as-of"))

    assert re.fullmatch(r"Marsh Wren, sloop of 10 m, revision 1 of \d{4}-\d\d-\d\d \d\d:\d\d UTC\.", told)
    assert told in words(bystander.get(f"{BOAT}/lists").text)


def test_where_nothing_mends_it_that_is_said_and_a_way_by_hand_is_shown_step_by_step(
    sloop: TestClient,
) -> None:
    body = json.dumps(on_a_selector()).encode()
    sent = sloop.post("/boats/import", files={"file": ("selector.json", body)}, data={"request_id": "sel"})
    boat = sent.headers["location"].partition("?")[0]
    turn = "turn-through-off-dial-alt-any-steady"
    told = words(element(opened(sloop, turn, boat), f"mends-{turn}"))
    plan = sloop.get(f"{boat}/findings/one", params={"finding": turn}).text
    wait = re.search(rf'id="mends-{turn}-wait" href="([^"]*)"', plan)

    assert told.startswith("By hand: Turn the selector by way of BOTH, never by way of Off.")
    assert "Selector: 1 → BOTH Then alive: Radio." in told
    assert wait
    assert "By hand" in sloop.get(wait[1].replace("&amp;", "&")).text
    revision = form_with(plan, f"accept-{turn}-button").fields["revision"]
    typed = {"revision": revision, "request_id": "m", "finding": turn, "mend": "0"}
    assert sloop.post(f"{boat}/mend", data=typed).status_code in {404, 422}
    none = "drop-over-limit-tricolour-supply-any-steady"
    assert "No single change was found" in words(opened(sloop, none))
