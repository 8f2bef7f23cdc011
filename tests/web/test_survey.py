"""A survey row by row, with and without script, and rows that waited on a tablet."""

import html
import json
import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, words
from tests.web.test_fitting import Bench

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


def test_a_row_leads_to_its_cable_where_it_is_taken_out(bench: Bench) -> None:
    _, page = row(bench, HTMX, what="mystery", head="bus stud 1", fuse="10")
    (wire,) = bench.document()["conductors"]
    link = element(page, f"survey-row-{wire['id']}")
    card = bench.client.get(html.unescape(re.findall(r'href="([^"#]*)', link)[0])).text

    assert words(link) == "mystery"
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
