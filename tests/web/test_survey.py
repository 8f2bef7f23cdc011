"""A survey row by row, with and without script, and rows that waited on a tablet."""

import html
import json
import re

import pytest
from fastapi.testclient import TestClient

from server.actions.survey_rows import NAMES
from server.web.views.survey import SHOWN_ROWS
from tests.web.reading import element, form_with, words
from tests.web.test_fitting import Bench
from tests.web.test_here import Picture

HTMX = {"HX-Request": "true"}
WAITED = {"Accept": "application/json"}


@pytest.fixture
def bench(client: TestClient) -> Bench:
    """A boat with a battery and a bus."""
    bench = Bench(client)
    bench.part("battery", "Battery")
    bench.part("busbar", "Bus", studs="4")
    return bench


def survey(bench: Bench) -> str:
    """Where the survey of the boat is."""
    return bench.url.replace("/fitting", "/survey")


def row(bench: Bench, headers: dict[str, str] | None = None, **cells: str) -> tuple[int, str]:
    """Send a row as its form would; status and answer."""
    form = form_with(bench.client.get(survey(bench)).text, "survey-in")
    answer = bench.client.post(form.action, data=form.fields | cells, headers=headers)
    return answer.status_code, answer.text


def next_fields(page: str) -> dict[str, str]:
    """What stands in the fields of the row to be written."""
    return form_with(page, "survey-in").fields


def test_a_row_is_put_in_and_what_usually_stays_stands_in_the_next(bench: Bench) -> None:
    status, page = row(
        bench,
        HTMX,
        number="7",
        what="Bus feed",
        tail="battery: positive",
        head="Bus: stud 1",
        size="10mm2",
        length="1,5",
        fuse="40",
        colour="red",
        note="warm",
    )
    document = bench.document()
    wire = next(one for one in document["conductors"] if one["kind"] == "wire")

    assert status == 200
    assert "7 Bus feed Battery: positive Bus: stud 1 10 mm² 1.5 m 40 A red warm" in words(
        element(page, "survey")
    )
    assert next_fields(page) | {"request_id": ""} == {
        "request_id": "",
        "show": "",
        "number": "8",
        "what": "",
        "tail": "",
        "head": "",
        "size": "10mm2",
        "length": "",
        "fuse": "",
        "colour": "red",
        "note": "",
    }
    assert (wire["name"], wire["notes"], wire["length_basis"]) == ("Bus feed", "warm", "measured")
    assert [one["kind"] for one in document["parts"]] == ["battery", "busbar", "fuse"]


def opened(bench: Bench, wire: object, show: str = "") -> str:
    """The list with the row of a wire open, as its link brings it."""
    answer = bench.client.get(survey(bench), params={"row": str(wire), "show": show}, headers=HTMX)
    assert answer.status_code == 200
    return answer.text


def change(
    bench: Bench, wire: object, headers: dict[str, str] | None = None, **cells: str
) -> tuple[int, str]:
    """Change the row of a wire as its form would; status and answer."""
    form = form_with(opened(bench, wire), "mend-go")
    answer = bench.client.post(form.action, data=form.fields | cells, headers=headers)
    return answer.status_code, answer.text


def test_a_touched_row_opens_where_it_stands_with_its_own_cells_and_is_changed(bench: Bench) -> None:
    row(bench, number="7", what="Feed", tail="battery +", size="10 mm2", length="1.5", fuse="40", note="warm")
    wire = next(one for one in bench.document()["conductors"] if one["kind"] == "wire")
    page = bench.client.get(survey(bench)).text
    link = element(page, f"survey-row-{wire['id']}")
    url = html.unescape(re.findall(r' href="([^"]*)', link)[0])
    whole = form_with(bench.client.get(url).text, "mend-go")
    status, listed = change(bench, wire["id"], HTMX, number="9", tail="bus", length="about 2", fuse="30")
    (cable,) = bench.document()["cables"]
    (fuse,) = (one for one in bench.document()["parts"] if one["kind"] == "fuse")

    assert {name: whole.fields[name] for name in NAMES} == {
        "number": "7",
        "what": "Feed",
        "tail": "Battery: positive",
        "head": "",
        "size": "10 mm²",
        "length": "1.5",
        "fuse": "40",
        "colour": "",
        "note": "warm",
    }
    assert status == 200
    assert words(element(listed, "survey-told")) == ""
    shown = words(element(listed, "survey-rows-table"))
    assert "9 Feed Bus: stud 1 10 mm² about 2 m 30 A warm The row is changed." in shown
    assert (cable["number"], fuse["name"], fuse["rating_a"]) == ("9", "Fuse of cable 9", 30.0)


def test_without_script_a_row_is_changed_and_the_page_comes_again(bench: Bench) -> None:
    row(bench, number="7")
    wire = bench.document()["conductors"][0]["id"]
    form = form_with(bench.client.get(survey(bench), params={"row": str(wire)}).text, "mend-go")
    answer = bench.client.post(form.action, data=form.fields | {"what": "Feed"})

    assert answer.status_code == 303
    assert "7 Feed" in words(element(bench.client.get(answer.headers["location"]).text, "survey-rows-table"))


def test_what_is_wrong_with_a_changed_row_stands_beside_its_field_and_what_was_typed_stays(
    bench: Bench,
) -> None:
    row(bench, number="7", size="10 mm2")
    wire = bench.document()["conductors"][0]["id"]
    status, listed = change(bench, wire, HTMX, size="10", what="Feed")
    whole, page = change(bench, wire, size="10")
    foreign, told = change(bench, wire, HTMX, request_id="no")

    assert status == whole == foreign == 422
    assert "10 mm² or 10 AWG" in words(element(listed, "mend-size-error"))
    assert form_with(listed, "mend-go").fields["what"] == "Feed"
    assert "<title>" in page
    assert "The form is not complete" in words(element(told, "mend-number-error"))


def test_a_row_that_somebody_else_changed_keeps_what_was_written_beside_what_stands_now(bench: Bench) -> None:
    row(bench, number="7")
    wire = bench.document()["conductors"][0]["id"]
    stale = form_with(opened(bench, wire), "mend-go")
    change(bench, wire, HTMX, what="Feed")
    again = bench.client.post(stale.action, data=stale.fields | {"what": "Pump"}, headers=HTMX)
    same = bench.client.post(
        stale.action, data=stale.fields | {"what": "Feed", "request_id": "another-request"}, headers=HTMX
    )

    assert again.status_code == 422
    assert "changed meanwhile" in words(element(again.text, "survey-told"))
    assert words(element(again.text, "mend-what-error")) == "Now it is “Feed”."
    mine = form_with(again.text, "mend-go")
    assert mine.fields["what"] == "Pump"
    on_top = bench.client.post(mine.action, data=mine.fields, headers=HTMX).text
    assert "7 Pump" in words(element(on_top, "survey-rows-table"))
    assert same.status_code == 200
    assert "Nothing was changed." in words(element(same.text, "survey-rows-table"))


def test_a_row_is_taken_out_with_its_cable_and_fuse_and_then_is_no_more(bench: Bench) -> None:
    row(bench, number="7", tail="battery +", fuse="10")
    wire = next(one for one in bench.document()["conductors"] if one["kind"] == "wire")
    form = form_with(opened(bench, wire["id"]), "mend-out")
    before = bench.client.get(survey(bench).replace("/survey", "/export")).content
    answer = bench.client.post(form.action, data=form.fields | {"out": "yes"}, headers=HTMX)
    left = bench.document()
    again = bench.client.post(
        form.action, data=form.fields | {"out": "yes", "request_id": "another-request"}, headers=HTMX
    )
    late = bench.client.post(
        form.action, data=form.fields | {"what": "x", "request_id": "third-request"}, headers=HTMX
    )
    undo = form_with(answer.text, "survey-undo")
    bench.client.post(undo.action, data=undo.fields)

    assert words(element(answer.text, "survey-told")) == "The row is out."
    assert (left.get("conductors", []), left.get("cables", [])) == ([], [])
    assert [one["kind"] for one in left["parts"]] == ["battery", "busbar"]
    assert {again.status_code, late.status_code} == {422}
    assert "taken out meanwhile" in words(element(late.text, "survey-told"))
    assert bench.client.get(survey(bench).replace("/survey", "/export")).content == before


def test_all_rows_or_the_unfinished_ones_are_listed_and_stay_so(bench: Bench) -> None:
    for n in range(SHOWN_ROWS + 1):
        row(bench, number=str(n), tail="bus", head="battery −", size="10 mm2", length="" if n < 2 else "1")
    first = bench.document()["conductors"][0]["id"]
    page = bench.client.get(survey(bench)).text
    some = bench.client.get(survey(bench), params={"show": "unfinished"}).text
    everything = opened(bench, first, "all")
    far = opened(bench, first)
    form = form_with(opened(bench, first, "unfinished"), "mend-go")
    after = bench.client.post(form.action, data=form.fields | {"length": "3"}, headers=HTMX).text

    def count(listed: str) -> int:
        return element(listed, "survey-rows-table").count("<tr") - 1

    studs, short = 4, 2
    open_ones = SHOWN_ROWS + 1 - studs + short
    assert f"The last 20 All 21 Unfinished: {open_ones}" in words(page)
    assert [count(one) for one in (page, some, everything, far, after)] == [
        SHOWN_ROWS,
        open_ones,
        SHOWN_ROWS + 1,
        SHOWN_ROWS + 1,
        open_ones - 1,
    ]


def test_a_row_with_the_number_of_a_cable_that_is_there_is_one_more_core_of_it(bench: Bench) -> None:
    row(bench, number="7", what="out", colour="red")
    _, page = row(bench, HTMX, number="7", what="home", colour="black", size="10 mm2")
    (cable,) = bench.document()["cables"]
    _, thick = row(bench, HTMX, number="7", what="else", size="35")
    _, odd = row(bench, HTMX, number="7", what="odd", size="nothing")

    assert "It is one more core of cable 7." in words(element(page, "survey-told"))
    assert (cable["construction"], cable["cores"]) == ("twin", 2)
    assert [one["cable"] == cable["id"] for one in bench.document()["conductors"]] == [True, True, False]
    assert "A cable 7 is there already" in words(element(thick, "survey-told"))
    assert "no conductor size" in words(element(odd, "survey-size-error")).casefold()


def test_what_rows_speak_of_is_put_in_from_there_and_the_rows_lie_on_it(bench: Bench) -> None:
    row(bench, number="1", tail="battery", head="Windlass", colour="red", size="25")
    _, page = row(bench, HTMX, number="2", tail="Windlass neg", head="battery -", size="25")
    wire = next(one["id"] for one in bench.document()["conductors"] if one.get("head") is None)
    asked = html.unescape(re.findall(r'href="([^"]*)"', element(page, f"survey-row-{wire}-head"))[0])
    fitting = bench.client.get(asked).text
    other = form_with(fitting, "fit-ask")
    form = form_with(fitting, "fit-part-in")
    refused = bench.client.post(form.action, data=form.fields)
    answer = bench.client.post(form.action, data=form.fields | {"running_a": "80"})
    back = bench.client.get(answer.headers["location"]).text

    assert (form.fields["name"], form.fields["what"]) == ("Windlass", "windlass")
    assert "hx-post" not in re.findall(r'<form id="fit-part"[^>]*>', fitting)[0]
    assert (other.fields["name"], other.fields["back"]) == ("Windlass", "survey")
    assert refused.status_code == 422
    assert form_with(refused.text, "fit-part-in").fields["back"] == "survey"
    assert answer.status_code == 303
    told = words(element(back, "survey-told"))
    assert told == "Windlass is in. 2 cable ends of these rows lie on it now."
    assert "put-loose" not in back


def test_a_panel_that_rows_speak_of_is_asked_about_with_their_ways(bench: Bench) -> None:
    row(bench, number="1", tail="Panel", what="VHF", colour="red")
    wire = bench.document()["conductors"][0]["id"]
    page = bench.client.get(survey(bench)).text
    asked = html.unescape(re.findall(r'href="([^"]*)"', element(page, f"survey-row-{wire}-tail"))[0])
    fitting = bench.client.get(asked).text

    assert words(element(fitting, "part-ways")) == "VHF"


def test_a_loose_end_that_may_be_two_terminals_is_laid_by_one_touch(bench: Bench) -> None:
    _, page = row(bench, HTMX, number="7", what="Feed", tail="battery", head="bus")
    wire = bench.document()["conductors"][0]["id"]
    form = form_with(page, f"survey-row-{wire}-tail-1")
    answer = bench.client.post(
        form.action, data=form.fields | {"lay-tail": "Battery: positive"}, headers=HTMX
    )
    stale = bench.client.post(
        form.action,
        data=form.fields | {"lay-tail": "Battery: negative", "request_id": "another-request"},
        headers=HTMX,
    )
    shown = words(element(answer.text, "survey-rows-table"))

    told = words(element(page, "survey-told"))
    assert "a loose end with this note. Which one: Battery: positive or Battery: negative?" in told
    assert "not aboard" not in told
    assert "battery Battery: positive Battery: negative" in words(element(page, "survey-rows-table"))
    assert "7 Feed Battery: positive Bus: stud 1" in shown
    assert "Battery: negative" not in shown
    assert stale.status_code == 422
    assert form_with(stale.text, "mend-go").fields["tail"] == "Battery: positive"


def test_an_end_that_may_be_many_terminals_is_loose_without_a_way_to_put_its_part_in(bench: Bench) -> None:
    bench.part("panel", "Board", ways="A, 5\nB, 5\nC, 5")
    row(bench, number="1", tail="Board")
    page = bench.client.get(survey(bench)).text

    assert "Board loose" in words(element(page, "survey-rows-table"))
    assert "put-loose" not in page


def test_the_next_number_is_a_free_one_and_a_number_of_two_cables_is_marked(bench: Bench) -> None:
    row(bench, number="8", size="10 mm2")
    _, page = row(bench, HTMX, number="7", size="10 mm2", length="12 ft")
    _, twice = row(bench, HTMX, number="8", size="35")

    assert next_fields(page)["number"] == "9"
    assert "twice" not in words(page)
    assert words(element(twice, "survey-rows-table")).count("8 twice") == 2
    assert "3.66 m" in words(element(page, "survey-rows-table"))


def test_a_part_put_in_from_the_picture_is_met_by_its_rows_too(bench: Bench) -> None:
    row(bench, number="1", tail="Windlass neg", head="battery -", size="25")
    battery = str(bench.document()["parts"][0]["id"])
    picture = Picture(bench.client, bench.url.split("/")[2])
    card = picture.card(f"{battery}.positive", "put", what="windlass")
    picture.do(card, name="Windlass", running_a="80")

    assert picture.status == 200
    assert sorted(
        str(one["tail"]["terminal"])  # type: ignore[index]
        for one in picture.document()["conductors"]
    ) == ["negative", "negative", "positive"]


def test_of_a_part_that_is_not_aboard_nothing_is_said(bench: Bench) -> None:
    assert not words(element(bench.client.get(survey(bench), params={"came": "x"}).text, "survey-told"))


def test_an_open_row_leads_to_the_card_of_its_cable(bench: Bench) -> None:
    _, page = row(bench, HTMX, what="mystery", head="bus stud 1", fuse="10")
    (wire,) = bench.document()["conductors"]
    link = element(opened(bench, wire["id"]), "mend-card")
    card = bench.client.get(html.unescape(re.findall(r'href="([^"#]*)', link)[0])).text

    assert "mystery Bus: stud 1 10 A" in words(element(page, "survey-rows-table"))
    assert "Take it out" in words(element(card, "thing"))


def test_an_unfinished_row_is_a_normal_row(bench: Bench) -> None:
    _, page = row(bench, HTMX, number="A3", tail="behind the tank")
    (wire,) = bench.document()["conductors"]

    assert "not aboard yet, so a loose end" in words(element(page, "survey-told"))
    assert words(element(page, "survey-title")) == "1 row, 1 of them unfinished"
    assert "A3 behind the tank" in words(element(page, "survey-rows-table"))
    assert wire["notes"] == "From: behind the tank"
    assert next_fields(page)["number"] == ""


def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(bench: Bench) -> None:
    status, page = row(bench, HTMX, number="7", what="Feed", size="10", length="long", fuse="many")
    whole, document = row(bench, number="7", size="thick")

    assert status == whole == 422
    assert "10 mm² or 10 AWG" in words(element(page, "survey-size-error"))
    assert "Enter metres" in words(element(page, "survey-length-error"))
    assert "Enter amperes" in words(element(page, "survey-fuse-error"))
    assert next_fields(page)["what"] == "Feed"
    assert "<title>" in document
    assert not bench.document()["conductors"]


@pytest.mark.parametrize("headers", [HTMX, WAITED])
def test_nothing_and_an_incomplete_form_are_told(bench: Bench, headers: dict[str, str]) -> None:
    empty, told = row(bench, headers)
    foreign, named = row(bench, headers, number="7", request_id="no")

    assert empty == foreign == 422
    assert "Write something into the row first." in told
    assert "The form is not complete" in named


def test_a_row_that_waited_is_put_in_once_on_whatever_stands_then(bench: Bench) -> None:
    form = form_with(bench.client.get(survey(bench)).text, "survey-in")
    waited = form.fields | {"number": "9", "tail": "Bus: next free stud"}
    row(bench, number="8", tail="Bus: next free stud")
    answers = [bench.client.post(form.action, data=waited, headers=WAITED) for _ in range(2)]
    ends = [one["tail"]["terminal"] for one in bench.document()["conductors"]]  # type: ignore[index]

    assert [one.status_code for one in answers] == [201, 201]
    assert answers[0].json() == {"told": "The row is in."}
    assert ends == ["stud-1", "stud-2"]


def test_a_key_of_another_row_is_refused(bench: Bench) -> None:
    form = form_with(bench.client.get(survey(bench)).text, "survey-in")
    bench.client.post(form.action, data=form.fields | {"number": "1"}, headers=WAITED)
    other = bench.client.post(form.action, data=form.fields | {"number": "2"}, headers=WAITED)

    assert other.status_code == 422
    assert len(bench.document()["conductors"]) == 1


def test_undo_takes_the_last_row_back_and_stays(bench: Bench) -> None:
    row(bench, number="1")
    form = form_with(bench.client.get(survey(bench)).text, "survey-undo")
    answer = bench.client.post(form.action, data=form.fields, headers=HTMX)

    assert "Taken back." in words(element(answer.text, "survey-told"))
    assert not bench.document()["conductors"]


def test_without_script_the_page_comes_again(bench: Bench) -> None:
    form = form_with(bench.client.get(survey(bench)).text, "survey-in")
    answer = bench.client.post(form.action, data=form.fields | {"number": "1", "tail": "Bus", "head": "VHF"})
    page = bench.client.get(answer.headers["location"]).text

    assert answer.status_code == 303
    assert words(element(page, "survey-told")) == "The row is in. To: VHF: not aboard yet."
    assert words(element(bench.client.get(survey(bench)).text, "survey-told")) == ""


def test_a_boat_as_surveyed_takes_rows_and_stays_so(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats/sloop/survey").text, "survey-in")
    cells = {"number": "901", "tail": "House battery 1: positive", "size": "35", "length": "2", "fuse": "100"}
    answer = sloop.post(form.action, data=form.fields | cells, headers=WAITED)

    assert answer.status_code == 201
    assert len(sloop.app.state.yard.store.boats()) == 5  # type: ignore[attr-defined]
    assert any(
        one["number"] == "901" for one in json.loads(sloop.get("/boats/sloop/export").content)["cables"]
    )
