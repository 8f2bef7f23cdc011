"""Beginning a boat: blank or from a pattern, with what was typed kept where it cannot be read."""

import json

import pytest
from fastapi.testclient import TestClient

from server.actions.new_boats import PATTERNS
from tests.web.reading import element, form_with, words

ANSWERS = {
    "name": "Heron",
    "pattern": "selector",
    "voltage": "12",
    "engine": "small",
    "practice": "us-recreational",
    "length": "9,5 m",
}


def test_the_page_of_boats_leads_to_it_from_an_empty_folder(client: TestClient) -> None:
    assert 'href="/new-boat"' in element(client.get("/boats").text, "new-boat")
    form = form_with(client.get("/new-boat").text, "new-begin")

    assert form.action == "/new-boat"
    assert form.fields["request_id"]


@pytest.mark.parametrize("pattern", PATTERNS)
def test_every_pattern_opens_on_its_workbench_and_in_its_lists(client: TestClient, pattern: str) -> None:
    begun = client.post("/new-boat", data=ANSWERS | {"pattern": pattern})
    opened = client.get(begun.headers["location"])
    lists = client.get(f"{begun.headers['location']}/lists")
    findings = client.get(f"{begun.headers['location']}/findings")
    document = json.loads(client.get(f"{begun.headers['location']}/export").content)

    assert begun.status_code == 303
    assert (opened.status_code, lists.status_code, findings.status_code) == (200, 200, 200)
    assert "Heron" in words(opened.text)
    assert document["length_m"] == 9.5
    assert bool(document["parts"]) == (pattern != "blank")


def test_an_empty_boat_leads_to_where_parts_are_put_in(client: TestClient) -> None:
    opened = client.post("/new-boat", data=ANSWERS | {"pattern": "blank"}).headers["location"]

    assert f'href="{opened}/fitting"' in element(client.get(opened).text, "guide")


def test_the_same_form_sent_twice_begins_one_boat(client: TestClient) -> None:
    fields = ANSWERS | {"request_id": "once"}
    first = client.post("/new-boat", data=fields).headers["location"]

    assert client.post("/new-boat", data=fields).headers["location"] == first


@pytest.mark.parametrize(
    ("wrong", "field", "words_said"),
    [
        ({"name": "  "}, "new-name-error", "Enter a name"),
        ({"length": "long"}, "new-length-error", "Enter a number in m"),
        ({"length": "3"}, "new-length-error", "4 m at least"),
        ({"length": "99"}, "new-length-error", "30 m at most"),
    ],
)
def test_what_cannot_be_read_is_asked_again_with_the_rest_kept(
    client: TestClient, wrong: dict[str, str], field: str, words_said: str
) -> None:
    answer = client.post("/new-boat", data=ANSWERS | {"pattern": "lithium-house", "voltage": "24"} | wrong)

    assert answer.status_code == 422
    assert words_said in element(answer.text, field)
    assert "checked" in element(answer.text, "new-boat").split('value="lithium-house"')[1].split(">")[0]
    assert '<option value="24" selected>' in answer.text
    assert "No boat is here yet" in words(client.get("/boats").text)


def test_both_answers_are_judged_at_once(client: TestClient) -> None:
    answer = client.post("/new-boat", data=ANSWERS | {"name": "", "length": "x"})

    assert element(answer.text, "new-name-error")
    assert element(answer.text, "new-length-error")


@pytest.mark.parametrize("field", ["pattern", "voltage", "engine", "practice"])
def test_an_answer_that_was_not_offered_begins_nothing(client: TestClient, field: str) -> None:
    answer = client.post("/new-boat", data=ANSWERS | {field: "other"})

    assert answer.status_code == 422
    assert "No boat is here yet" in words(client.get("/boats").text)
