"""The event in time comes late where it is not known yet: the page says so, and one more answer brings it."""

import re
from html import unescape

from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, ids, tap_forms, words

HTMX = {"HX-Request": "true"}
EVENT = "mode=anchoring&event=windlass-break-out"
RADAR = f"/boats/trawler?{EVENT}&selected=radar.supply"
HELD = f"/boats/trawler/pick-up?part=radar&terminal=negative&{EVENT}&selected=radar.supply"
AT_ONCE = "At once, from the instant after the press"


def put_down(client: TestClient) -> str:
    """The radar's negative put down on the best place, in the answer that htmx gets."""
    best = tap_forms(client.get(HELD, headers=HTMX).text)[0]
    return client.post(best.action, data=best.fields, headers=HTMX).text


def refined(client: TestClient, put: str) -> str:
    """What the page asks for by itself after that."""
    ask = element(put, "event-ask")
    address = re.search(r'hx-get="([^"]*)"', ask)
    assert address
    assert "event-refines" in ids(ask)
    return client.get(f"{unescape(address[1])}&refines=yes&late=yes", headers=HTMX).text


def test_a_put_down_on_a_large_boat_is_answered_at_once_and_says_so(sloop: TestClient) -> None:
    """More than a hundred conductors: the put-down does not wait for the event."""
    put = put_down(sloop)

    assert AT_ONCE in words(element(put, "results"))
    assert "at once" in words(element(put, "load-row-radar-supply"))
    assert AT_ONCE in words(element(put, "guide"))
    assert "at the first instant" in words(element(put, "selected"))
    assert "Compared at the instant after the press" in words(element(put, "change"))


def test_what_follows_brings_every_part_that_was_shown_at_once(sloop: TestClient) -> None:
    late = refined(sloop, put_down(sloop))

    assert {"event-strip", "results", "guide", "diagram-place", "change", "selected"} <= set(ids(late))
    for name in ("results", "guide", "change"):
        assert "nstant after the press" not in words(element(late, name))
        assert "at once" not in words(element(late, name))
    lowest = re.search(r"Radar falls from [\d.]+ V to ([\d.]+ V)", words(element(late, "event-strip")))
    assert lowest
    assert lowest[1] in words(element(late, "load-row-radar-supply"))
    assert f"Lowest {lowest[1]}" in words(element(late, "selected"))
    assert f"→ {lowest[1]}" in words(element(late, "change"))


def test_a_page_that_knows_the_event_asks_for_the_strip_alone(sloop: TestClient) -> None:
    page = sloop.get(RADAR).text

    assert AT_ONCE not in words(page)
    assert "event-refines" not in ids(page)
    strip = sloop.get(f"/boats/trawler/event?{EVENT}", headers=HTMX).text
    assert "results" not in ids(strip)


def test_a_held_lead_is_answered_at_once_and_once_more_by_the_event(sloop: TestClient) -> None:
    first = sloop.get(HELD, headers=HTMX).text
    basis = element(first, "taps-basis")
    address = re.search(r'hx-get="([^"]*)"', basis)
    assert address
    assert "refining" in words(basis)
    assert "≈ " in words(element(first, "tap-list"))
    assert "1 · ≈ " in element(first, "tap-answers")

    late = sloop.get(unescape(address[1]), headers=HTMX).text
    assert "≈" not in words(late)
    assert "hx-get" not in element(late, "taps-basis")
    assert 'id="message"' not in late
    assert "diagram-place" not in ids(late)
    assert sloop.get(HELD, headers=HTMX).text.count("≈") == 0


def test_a_place_says_its_verdict_and_the_put_down_says_the_same(sloop: TestClient) -> None:
    listed = sloop.get(f"{HELD}&refined=yes", headers=HTMX).text
    best = tap_forms(listed)[0]
    row = words(element(listed, f"put-{best.fields['to_part']}--{best.fields['to_terminal']}"))
    told = re.search(r"(restarts|too close to call|keeps running)", row)
    volts = re.search(r"([\d.]+ V)", row)
    assert told
    assert volts

    late = refined(sloop, sloop.post(best.action, data=best.fields, headers=HTMX).text)
    after = words(element(late, "load-row-radar-supply"))
    assert told[1] in after
    assert volts[1] in after


def test_the_lead_of_a_heavy_load_stays_at_the_first_instant(sloop: TestClient) -> None:
    held = "/boats/sloop/pick-up?part=starter&terminal=motor&mode=starting&event=engine-start"
    basis = element(sloop.get(held, headers=HTMX).text, "taps-basis")

    assert words(basis) == "≈: of the instant after the press."
    assert "hx-get" not in basis


def test_without_script_the_page_of_a_held_lead_waits_for_the_event(sloop: TestClient) -> None:
    page = sloop.get(HELD).text

    assert "Of the event in time" in words(element(page, "taps-basis"))
    assert "≈" not in words(element(page, "taps"))


def test_what_to_do_follows_by_itself_and_is_known_from_then_on(sloop: TestClient) -> None:
    """The page does not wait for every place of both leads; its sentence and button stay as they are."""
    page = sloop.get(RADAR).text
    waiting = element(page, "guide-advice")
    address = re.search(r'hx-get="([^"]*)"', waiting)
    assert address
    assert words(waiting) == ""

    late = sloop.get(unescape(address[1]), headers=HTMX).text
    assert re.search(r"What to do: move its|No safe move", words(late))
    assert 'id="message"' not in late
    again = element(sloop.get(RADAR).text, "guide-advice")
    assert words(again) == words(late)
    assert "hx-get" not in again


def test_while_the_event_is_followed_nothing_is_looked_for(sloop: TestClient) -> None:
    put = put_down(sloop)

    assert "hx-get" not in element(put, "guide-advice")
    assert "hx-get" in element(refined(sloop, put), "guide-advice")


def test_where_all_keep_running_there_is_nothing_to_do(sloop: TestClient) -> None:
    late = sloop.get("/boats/outboard/advice?mode=starting&event=outboard-start", headers=HTMX).text

    assert words(late) == ""


def test_the_columns_of_the_event_sort_too(sloop: TestClient) -> None:
    def names(page: str) -> list[str]:
        return re.findall(r'<th scope="row"><a id="select-[^"]*"[^>]*>([^<]*)</a>', page)

    verdicts = names(sloop.get(f"/boats/trawler?{EVENT}&sort=verdict").text)
    highest = sloop.get(f"/boats/trawler?{EVENT}&sort=highest&order=descending").text

    assert verdicts[0] == "Radar"
    rows = re.findall(r'<tr id="load-row-.*?</tr>', highest, re.S)
    volts = [re.findall(r'<td class="figure">(?:about )?([\d.]+)', row)[1:2] for row in rows]
    known = [float(one[0]) for one in volts if one]
    assert known == sorted(known, reverse=True)


def test_two_leads_are_answered_by_the_event_on_a_boat_of_few_panels(sloop: TestClient) -> None:
    both = "/boats/sloop/pick-up-both?mode=starting&event=engine-start&selected=autopilot.supply"
    listed = sloop.get(both, headers=HTMX).text

    assert "instant after the press" not in words(element(listed, "taps"))
    button = next(one for one in ids(listed) if one.startswith("put-both-"))
    promised = re.search(r"→ ([\d.]+ V)", words(element(listed, button)))
    assert promised
    form = form_with(listed, button)
    put = sloop.post(form.action, data=form.fields, headers=HTMX).text
    assert f"→ {promised[1]}" in words(element(put, "change"))
    assert "nstant after the press" not in words(element(put, "change"))


def test_a_refused_value_is_answered_before_the_event_is_known(sloop: TestClient) -> None:
    page = sloop.get(RADAR, headers=HTMX).text
    form = form_with(page, "field-radar-supply-set")

    answer = sloop.post(form.action, data=form.fields | {"value": "-3"}, headers=HTMX)

    assert answer.status_code == 422
    assert "Enter more than 0 V" in words(answer.text)
    assert AT_ONCE in words(sloop.get(RADAR, headers=HTMX).text)
