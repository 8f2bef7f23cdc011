"""The comparison and the yard's prices over HTTP, with script and without."""

import re

import pytest
from fastapi.testclient import TestClient

from server.actions.answers import answer
from server.actions.yard import open_boat
from server.web.views.compare_loads import drop_words
from tests.web.reading import element, form_with, ids, words
from tests.web.test_options_pages import HTMX, begun, moved

LIST = (
    "what;which;figure\ncurrency;;EUR\nhour;;70\nnote;;without tax\nhours;lead moved;0,75\n"
    "hours;end made;0.25\ncable;8 AWG;4.20\npart;fuse;24\n"
)


def prices_in(client: TestClient, text: str | bytes) -> int:
    form = form_with(client.get("/boats/sloop/prices").text, "prices-file-send")
    return client.post(form.action, data=form.fields, files={"file": ("list.csv", text)}).status_code


def test_a_boat_and_its_option_side_by_side(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/compare").text

    assert "Autopilot negative: Engine → Main panel, Negative bar" in words(element(page, "differs-leads"))
    assert words(element(page, "compare-headline")) == "Autopilot: 7.3 V, restarts → 10.8 V, keeps running."
    pilot = words(element(page, "pair-autopilot-supply"))
    assert re.match(r"Autopilot ○ better 7\.3 V restarts 10\.8 V keeps running 9\.0 V", pilot)
    assert re.search(r"3\.0 % → 2\.7 % limit 3\.0 % \(2\.1 to \d\.\d %\)$", pilot)
    assert "4.52 m of 8 AWG" in words(element(page, "bought"))
    assert "8.89 g/cm³ at 20 °C (IEC 60028; from memory, confirm)" in words(page)
    assert "hours for “lead moved”" in words(element(page, "work-missing"))
    named = [one for one in ids(page) if not one.startswith("place-")]
    assert len(named) == len(set(named))


def test_a_drop_that_only_one_boat_has_stands_beside_a_dash(sloop: TestClient) -> None:
    yard = sloop.app.state.yard  # type: ignore[attr-defined]
    opened = open_boat(yard, "sloop")
    solved = answer(yard, opened.sha, opened.boat, "starting")
    pilot = next(one.drop for one in solved.loads if one.part == "autopilot")

    assert drop_words(None, pilot) == ("– → 3.0 %", "limit 3.0 %", "")
    assert drop_words(pilot, None) == ("3.0 % → –", "limit 3.0 %", "")
    assert drop_words(pilot, pilot)[0] == "3.0 %"
    assert drop_words(None, None) == ("–", "", "")


def test_what_takes_longer_follows_or_comes_along_without_script(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/compare").text
    late = {
        name: re.search(rf'id="{name}"[^>]*hx-get="([^"]*)"', page)
        for name in ("compare-findings", "compare-steps")
    }
    assert all(late.values())
    parts = {
        name: sloop.get(found[1].replace("&amp;", "&"), headers=HTMX).text
        for name, found in late.items()
        if found
    }
    whole = sloop.get(f"/boats/{option}/compare?waits=yes").text

    at_once = words(element(page, "compare-findings"))
    assert "At once, in this mode alone. The other modes and the slower checks are being" in at_once
    assert "Gone fault : When the engine starts, the autopilot restarts" in at_once
    findings = words(parts["compare-findings"])
    assert "Gone fault : When the engine starts, the autopilot restarts" in findings
    steps = words(parts["compare-steps"])
    assert "As it is to begin with Autopilot 7.3 V restarts 1.7 V short 1 load" in steps
    assert "1 Autopilot negative: Engine → Main panel, Negative bar this device" in steps
    assert steps.endswith("VHF radio 10.9 V keeps running 1.3 V to spare none")
    for name, part in parts.items():
        assert words(element(part, name)) == words(element(whole, name))


def test_of_a_long_way_later_steps_are_listed_without_their_result(
    sloop: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.actions.comparing_steps.MOST_WORKED", 0)
    option = moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/compare?waits=yes").text
    back = sloop.get(f"/boats/{option}/compare?left={option}&right=sloop&waits=yes").text

    assert "this device not worked out –" in words(element(page, "compare-steps"))
    assert "Its own steps taken back Autopilot 7.3 V restarts 1.7 V short 1 load" in words(
        element(back, "compare-steps")
    )


def test_two_options_with_one_picture_held_before(sloop: TestClient) -> None:
    first = moved(sloop, "sloop")
    second = begun(sloop, "Plan B")
    url = f"/boats/{first}/compare?left={second}&right={first}&event=engine-start&selected=autopilot"
    page = sloop.get(url).text
    look = form_with(page, "show-before")
    before = sloop.get(look.action, params=look.fields, headers=HTMX).text
    after = sloop.get(look.action, params=look.fields | {"show": "after"}, headers=HTMX).text

    assert "data-before" in element(before, "diagram-place")
    assert 'aria-label="Autopilot' in before
    assert element(after, "diagram-place") in page
    assert "Before: Plan B" in words(page)
    assert "Load Plan B Option 1 Needs" in words(element(page, "compare-loads"))
    without_script = sloop.get(look.action, params=look.fields)
    assert without_script.status_code == 303
    held = sloop.get(without_script.headers["location"]).text
    assert 'aria-pressed="true"' in held
    assert element(before, "diagram-place") in held


def test_two_revisions_of_one_boat_and_a_boat_with_itself(sloop: TestClient) -> None:
    option = moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/compare?left={option}~1&right={option}").text
    same = sloop.get("/boats/sloop/compare?left=sloop&right=sloop&waits=yes").text

    assert "option 1, revision 1 →" in words(page)
    lists = [words(element(page, f"compare-{side}")) for side in ("left", "right")]
    assert lists == [
        "The boat, as surveyed Option 1 Option 1, revision 1", "The boat, as surveyed Option 1",
    ]  # fmt: skip
    assert f'href="/boats/{option}/history/1"' in page
    assert words(element(same, "same")) == "These two are the same: nothing differs."
    assert "The findings are the same on both." in words(same)
    assert "No steps lie between these two." in words(same)
    assert "Nothing has to be bought and nothing moved." in words(same)
    assert "No load is noticeably better or worse off." in words(same)


def test_what_cannot_be_compared_is_told(sloop: TestClient) -> None:
    assert sloop.get("/boats/sloop/compare?left=ghost&right=sloop").status_code == 404
    assert sloop.get("/boats/sloop/compare?left=sloop~9&right=sloop").status_code == 404
    assert sloop.get("/boats/sloop/compare?event=ghost").status_code == 404
    strange = sloop.get("/boats/sloop/compare?left=sloop~x%22&right=trawler").text
    assert "~x" not in strange.partition("<footer")[0]


def test_boats_without_a_common_mode_are_compared_without_loads(sloop: TestClient) -> None:
    answer = sloop.post("/new-boat", data=form_with(sloop.get("/new-boat").text, "new-begin").fields | {
        "pattern": "blank", "name": "Bare", "voltage": "12",
    })  # fmt: skip
    blank = answer.headers["location"].rpartition("/")[2]
    page = sloop.get(f"/boats/sloop/compare?left={blank}&right=sloop&waits=yes").text

    assert 'id="compare-event"' not in page
    assert "New: VHF radio (radio)" in words(page)
    assert "no history in common" in words(page)


def test_a_large_boat_follows_with_its_event_in_time(
    sloop: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.actions.in_time.LARGEST_WAITED", 10)
    option = moved(sloop, "sloop")
    later = f"/boats/{option}/compare?left={option}~1&right={option}~1"
    length = {"revision": "2", "request_id": "length-request", "conductor": "plotter-neg", "value": "6"}
    sloop.post(f"/boats/{option}/length", data=length)
    page = sloop.get(f"/boats/{option}/compare?event=engine-start").text
    late = re.search(r'id="compare-loads"[^>]*hx-get="([^"]*)"', page)

    assert sloop.get(later).status_code == 200
    assert late
    assert "refining to the event in time" in words(element(page, "compare-loads"))
    found = sloop.get(late[1].replace("&amp;", "&"), headers=HTMX).text
    assert "refining" not in words(element(found, "compare-loads"))
    assert 'id="diagram-place"' in found


def test_prices_from_a_file_give_hours_and_a_sum(sloop: TestClient) -> None:
    """By hand: a lead moved 0.75 h, the longer cable's two ends 0.5 h; 1.25 h at 70 make 87.50.

    The cable of 4.52 m at 4.20 makes 18.98, together 106.48.
    """
    assert prices_in(sloop, LIST) == 303
    option = moved(sloop, "sloop")
    page = sloop.get(f"/boats/{option}/compare").text

    assert words(element(page, "work-total")) == "1.25 hours of work; 106.48 EUR in all."
    assert "without tax" in words(page)
    table = words(element(page, "work"))
    assert "lead moved 1 0.75 h 0.75 h" in table
    assert "hours, together 1.25 h 70.00 EUR 87.50 EUR cable 8 AWG 4.52 m 4.20 EUR 18.98 EUR" in table
    assert 'id="work-missing"' not in page


def test_the_list_comes_back_as_the_file_it_was_and_is_corrected_in_the_form(sloop: TestClient) -> None:
    prices_in(sloop, LIST)
    out = sloop.get("/boats/sloop/prices/file").text
    assert prices_in(sloop, out) == 303
    assert sloop.get("/boats/sloop/prices/file").text == out
    page = sloop.get("/boats/sloop/prices").text
    form = form_with(page, "keep-prices")
    new = {"cable:8 AWG": "5,10", "new_part_which": "fuse 60 A", "new_part_figure": "31", "hour": ""}
    answer = sloop.post(form.action, data=form.fields | new)

    assert answer.status_code == 303
    again = sloop.get("/boats/sloop/prices/file").text
    assert "cable; 8 AWG; 5.1\n" in again
    assert "part; fuse 60 A; 31\n" in again
    assert "part; fuse; 24\n" in again
    assert "hour;" not in again
    assert 'value="31"' in sloop.get("/boats/sloop/prices").text


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("cable;8 AWG;cheap\n", "line 1: “cheap” is no figure"),
        ("cable;8 AWG;-1\n", "is no figure"),
        ("cable;8 AWG;nan\n", "is no figure"),
        ("cable;;4\n", "Say which size"),
        ("part;=2+2;4\n", "a spreadsheet would take it for a formula"),
        ("hours;tea;1\n", "Say hours for one of: lead moved"),
        ("price;8 AWG;4\n", "“price” is none of"),
        ("cable;" + "x" * 200 + ";4\n", "Keep it to 120 characters"),
        ("cable;a;1\n" * 501, "more than 500 lines"),
        (b"\xff\xfe\x00", "no text in UTF-8"),
        ("", "No file was chosen"),
    ],
)
def test_a_list_that_cannot_be_read_changes_nothing_and_says_where(
    sloop: TestClient, text: str | bytes, says: str
) -> None:
    prices_in(sloop, LIST)
    before = sloop.get("/boats/sloop/prices/file").text
    form = form_with(sloop.get("/boats/sloop/prices").text, "prices-file-send")
    refused = sloop.post(form.action, data=form.fields, files={"file": ("list.csv", text)})

    assert refused.status_code == 422
    assert says in words(element(refused.text, "price-problems"))
    assert sloop.get("/boats/sloop/prices/file").text == before


def test_what_was_typed_wrongly_is_kept_in_its_field(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats/sloop/prices").text, "keep-prices")
    refused = sloop.post(form.action, data=form.fields | {"cable:8 AWG": "four", "hour": "70"})

    assert refused.status_code == 422
    assert 'value="four"' in refused.text
    assert 'value="70"' in refused.text


def test_tabs_and_commas_part_cells_too(sloop: TestClient) -> None:
    assert prices_in(sloop, "cable\t8 AWG\t4,20\npart,fuse,24\n") == 303
    out = sloop.get("/boats/sloop/prices/file").text

    assert "cable; 8 AWG; 4.2\n" in out
    assert "part; fuse; 24\n" in out
