"""Options and history over HTTP: begun, described, put aside, taken over, looked at, restored."""

import re
from urllib.parse import urlsplit

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, tap_forms, words

HTMX = {"HX-Request": "true"}
HELD = "/boats/{boat}/pick-up?mode=starting&event=engine-start&part=autopilot&terminal=negative"


def begun(client: TestClient, name: str = "Plan A", note: str = "") -> str:
    """The id of a new option of the sloop."""
    form = form_with(client.get("/boats/sloop/options").text, "new-open")
    answer = client.post(form.action, data=form.fields | {"name": name, "note": note})
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].rpartition("/")[2]


def moved(client: TestClient, boat: str) -> str:
    """The autopilot's negative put down at its best place; the boat that has it now."""
    best = tap_forms(client.get(HELD.format(boat=boat)).text)[0]
    answer = client.post(best.action, data=best.fields)
    return urlsplit(answer.headers["location"]).path.rpartition("/")[2]


def exported(client: TestClient, boat: str) -> bytes:
    return client.get(f"/boats/{boat}/export").content


def test_an_option_is_begun_listed_and_described(sloop: TestClient) -> None:
    option = begun(sloop, "Plan A", "a shorter strap")
    page = sloop.get("/boats/sloop/options").text
    said = element(page, f"option-{option}")

    assert exported(sloop, option) == exported(sloop, "sloop")
    assert "Plan A from revision 1 of Marsh Wren, sloop of 10 m" in words(said)
    assert "a shorter strap" in words(said)
    assert "nothing changed yet" in words(said)
    form = form_with(page, f"say-{option}")
    sloop.post(form.action, data=form.fields | {"name": "Plan B", "note": ""})
    again = words(element(sloop.get(f"/boats/{option}/options").text, f"option-{option}"))
    assert "Plan B" in again
    assert "a shorter strap" not in again


@pytest.mark.parametrize(
    "typed", [{"name": "  "}, {"name": "x" * 121}, {"name": "Plan", "note": "y" * 2_001}]
)
def test_what_cannot_be_kept_is_told_beside_what_was_typed(sloop: TestClient, typed: dict[str, str]) -> None:
    option = begun(sloop)
    new = sloop.post("/boats/sloop/options", data=typed)
    said = sloop.post(f"/boats/{option}/option/describe", data=typed)

    assert (new.status_code, said.status_code) == (422, 422)
    assert 'aria-describedby="new-error"' in new.text
    assert f'aria-describedby="error-{option}"' in said.text
    assert typed["name"] in new.text
    assert words(element(new.text, "new-error")).startswith("Enter a n")


def test_the_page_works_out_what_happens_on_each_late_or_at_once_without_script(sloop: TestClient) -> None:
    option = begun(sloop)
    page = sloop.get("/boats/sloop/options").text
    late = sloop.get(f"/boats/{option}/options/standing", headers=HTMX).text
    at_once = sloop.get("/boats/sloop/options?worked=yes").text

    assert f'hx-get="/boats/{option}/options/standing"' in page
    assert "When the engine starts, the autopilot restarts." in words(late)
    assert element(late, f"standing-{option}") in at_once


def test_put_aside_it_is_off_the_list_and_comes_back(sloop: TestClient) -> None:
    option = begun(sloop)
    page = sloop.get("/boats/sloop/options").text
    form = form_with(page, f"aside-{option}")
    sloop.post(form.action, data=form.fields)
    aside = sloop.get("/boats/sloop/options").text
    back = form_with(aside, f"back-aside-{option}")

    assert f'id="option-{option}"' not in aside
    assert "Put aside (1)" in aside
    sloop.post(back.action, data=back.fields)
    assert f'id="option-{option}"' in sloop.get("/boats/sloop/options").text


def test_taken_over_the_boat_is_what_the_option_was_and_undo_gives_it_back(sloop: TestClient) -> None:
    before, option = exported(sloop, "sloop"), moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/option/take-over").text

    assert "Autopilot negative: Engine → Main panel, Negative bar" in words(element(page, "would-differ"))
    assert "kept as surveyed" in page
    form = form_with(page, "take-over-whole")
    answer = sloop.post(form.action, data=form.fields)
    assert answer.headers["location"] == "/boats/sloop?since=1"
    assert exported(sloop, "sloop") == exported(sloop, option)
    past = sloop.get("/boats/sloop/history").text
    assert "as surveyed" in words(element(past, "revision-1"))
    assert "as surveyed" not in words(element(past, "revision-2"))
    bench = sloop.get(answer.headers["location"]).text
    assert "Taken over: " in words(element(bench, "change"))
    undo = form_with(bench, "undo-change")
    sloop.post(undo.action, data=undo.fields)
    assert exported(sloop, "sloop") == before


def test_a_taken_over_option_has_nothing_more_to_take_over(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    form = form_with(sloop.get(f"/boats/{option}/option/take-over").text, "take-over-whole")
    sloop.post(form.action, data=form.fields)
    page = sloop.get(f"/boats/{option}/option/take-over").text

    assert "nothing to take over" in page
    assert 'id="take-over-whole"' not in page
    assert "Taken over into" in words(element(sloop.get("/boats/sloop/options").text, f"option-{option}"))


def test_a_boat_that_moved_on_is_shown_before_anything_is_replaced(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    stale = form_with(sloop.get(f"/boats/{option}/option/take-over").text, "take-over-whole")
    length = {"revision": "1", "request_id": "length-request", "conductor": "plotter-neg", "value": "7"}
    assert sloop.post("/boats/sloop/length", data=length).status_code == 303
    refused = sloop.post(stale.action, data=stale.fields)

    assert refused.status_code == 409
    assert "changed while you looked" in words(element(refused.text, "take-over-error"))
    assert "cable 25: 7 m" in words(element(refused.text, "moved-on"))
    on_top = form_with(refused.text, "take-over-on-top")
    assert sloop.post(on_top.action, data=on_top.fields).status_code == 303
    taken = sloop.get("/boats/sloop/history/3").text
    assert "Taken over on top" in taken


def test_a_step_that_does_not_fit_on_top_is_told(sloop: TestClient) -> None:
    option = begun(sloop)
    length = {"revision": "1", "request_id": "length-request", "conductor": "plotter-neg", "value": "7"}
    sloop.post(f"/boats/{option}/length", data=length)
    out = {"kind": "remove-conductor", "id": "plotter-neg"}
    sloop.post("/api/boats/sloop/edits", json=out, headers={"If-Match": '"1"', "Idempotency-Key": "out-with"})
    form = form_with(sloop.get(f"/boats/{option}/option/take-over").text, "take-over-on-top")
    refused = sloop.post(form.action, data=form.fields)

    assert refused.status_code == 422
    assert "does not fit the boat as it is now" in words(element(refused.text, "take-over-error"))


def test_what_is_no_option_is_not_taken_over(sloop: TestClient) -> None:
    assert sloop.get("/boats/sloop/option/take-over").status_code == 404
    assert sloop.post("/boats/sloop/option/aside", data={"aside": "yes"}).status_code == 404


def test_the_history_reads_who_did_what_and_restores(sloop: TestClient) -> None:
    first = exported(sloop, "sloop")
    length = {"revision": "1", "request_id": "length-request", "conductor": "plotter-neg", "value": "7"}
    sloop.post("/boats/sloop/length", data=length)
    option = begun(sloop, "Plan A")
    page = sloop.get("/boats/sloop/history").text
    newest, oldest = words(element(page, "revision-2")), words(element(page, "revision-1"))

    assert re.match(r"2 \d\d:\d\d this device cable 25: 7 m as it is now Branched here: Plan A Look", newest)
    assert "Restore" not in newest
    assert "Demo boat" in oldest
    form = form_with(page, "restore-revision-1")
    answer = sloop.post(form.action, data=form.fields)
    assert answer.headers["location"] == "/boats/sloop/history#revision-3"
    assert exported(sloop, "sloop") == first
    after = sloop.get("/boats/sloop/history").text
    assert "the same as now" in words(element(after, "revision-1"))
    assert "Again as in revision 1" in words(element(after, "revision-3"))
    assert exported(sloop, option) != first


def test_a_stale_restore_shows_what_changed_and_goes_on_top(sloop: TestClient) -> None:
    fields = {"revision": "1", "request_id": "restore-request", "to": "1"}
    for number, value in ((1, "7"), (2, "8")):
        stamp = {
            "revision": str(number),
            "request_id": f"length-request-{number}",
            "conductor": "plotter-neg",
        }
        sloop.post("/boats/sloop/length", data=stamp | {"value": value})
    refused = sloop.post("/boats/sloop/history/restore", data=fields | {"revision": "2"})

    assert refused.status_code == 409
    on_top = form_with(refused.text, "apply-on-top")
    assert sloop.post(on_top.action, data=on_top.fields).status_code == 303
    assert sloop.post("/boats/sloop/history/restore", data=fields).status_code == 422


def test_a_revision_is_shown_as_it_was_and_only_to_be_looked_at(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    view = f"/boats/{option}/history/1?mode=starting&event=engine-start&selected=autopilot"
    page = sloop.get(view).text

    assert "To look at only" in page
    assert "Revision 1, one of 2" in page
    assert "the autopilot restarts" in words(page)
    assert "Autopilot negative: Engine → Main panel, Negative bar" in words(page)
    assert "data-carry" not in page
    assert f"/boats/{option}/put-down" not in page
    picture = sloop.get(view.replace("/1?", "/1/picture?"), headers=HTMX).text
    assert element(picture, "diagram-place") in page
    now = sloop.get(f"/boats/{option}/history/2").text
    assert "the boat as it is now" in now
    assert 'id="restore-this"' not in now
    assert sloop.get(f"/boats/{option}/history/9").status_code == 404


def test_a_narrow_picture_is_turned_by_a_link(sloop: TestClient) -> None:
    sloop.cookies.set("shape", "portrait")
    page = sloop.get("/boats/sloop/history/1").text

    assert "Show the positive side" in page
    turned = sloop.get("/boats/sloop/history/1?side=positive").text
    assert "Show the negative side" in turned


def test_an_old_revision_can_be_branched_from_its_page(sloop: TestClient) -> None:
    first = exported(sloop, "sloop")
    length = {"revision": "1", "request_id": "length-request", "conductor": "plotter-neg", "value": "7"}
    sloop.post("/boats/sloop/length", data=length)
    form = form_with(sloop.get("/boats/sloop/options?from=1").text, "new-open")

    assert form.fields["source"] == "sloop~1"
    answer = sloop.post(form.action, data=form.fields)
    assert exported(sloop, answer.headers["location"].rpartition("/")[2]) == first


def test_a_long_history_comes_in_pages(sloop: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("server.web.views.history.MOST_SHOWN", 1)
    length = {"revision": "1", "request_id": "length-request", "conductor": "plotter-neg", "value": "7"}
    sloop.post("/boats/sloop/length", data=length)
    page = sloop.get("/boats/sloop/history").text

    assert 'id="revision-1"' not in page
    assert 'href="/boats/sloop/history?before=2"' in page
    older = sloop.get("/boats/sloop/history?before=2").text
    assert 'id="revision-1"' in older
    assert 'id="older"' not in older


def test_an_option_renamed_on_its_card_is_renamed_and_nothing_else(sloop: TestClient) -> None:
    option = begun(sloop, "Plan A", "a shorter strap")
    before = exported(sloop, option)
    form = form_with(sloop.get("/boats").text, f"rename-set-{option}")
    answer = sloop.post(form.action, data=form.fields | {"name": "Plan C"})
    said = words(element(sloop.get("/boats/sloop/options").text, f"option-{option}"))

    assert answer.status_code == 303
    assert "Plan C" in words(element(sloop.get("/boats").text, f"card-{option}"))
    assert "a shorter strap" in said
    assert "nothing changed yet" in said
    assert exported(sloop, option) == before
    assert "1 revision," in words(sloop.get(f"/boats/{option}/history").text)


def test_an_option_whose_boat_is_deleted_can_still_be_renamed(sloop: TestClient) -> None:
    option = begun(sloop, "Plan A")
    sloop.post("/boats/sloop/delete")
    form = form_with(sloop.get("/boats").text, f"rename-set-{option}")
    sloop.post(form.action, data=form.fields | {"name": "Plan C"})

    assert "Plan C" in words(element(sloop.get("/boats").text, f"card-{option}"))


def test_the_page_of_boats_keeps_options_with_their_boat(sloop: TestClient) -> None:
    first, second = begun(sloop, "Plan A"), begun(sloop, "Plan B")
    form = form_with(sloop.get("/boats/sloop/options").text, f"aside-{second}")
    sloop.post(form.action, data=form.fields)
    page = sloop.get("/boats").text
    group = element(page, "group-sloop")

    assert f'id="card-{first}"' in group
    assert 'id="card-sloop"' in group
    assert f'id="card-{second}"' not in page
    assert "1 option put aside" in words(group)
    assert 'href="/boats/sloop/options"' in group
    assert 'id="group-trawler"' not in page
