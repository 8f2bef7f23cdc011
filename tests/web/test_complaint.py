"""The page that begins with a complaint: answered at once, with what is not known left open."""

import json

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, ids, words

READ = {
    "name": "Heron",
    "capacity": "90",
    "rest": "12,6 V",
    "plus_size": "2/0",
    "plus_length": "1.2",
    "feed_size": "70 mm2",
    "feed_length": "2",
    "minus_size": "2/0 AWG",
    "minus_length": "0.8",
    "strap_size": "2/0",
    "strap_length": "1.5",
    "leads_size": "14 AWG",
    "leads_length": "3",
    "panel": "yes",
    "battery_v": "10.9",
    "positive_v": "0.25",
    "negative_v": "1.1",
    "device_v": "9.4",
}


def sent(client: TestClient, **answers: str) -> str:
    """Begin with a complaint; where its answer is."""
    form = form_with(client.get("/complaint").text, "complaint-send")
    answer = client.post(form.action, data=form.fields | {"name": "Heron"} | answers)
    assert answer.status_code == 303, words(answer.text)
    return answer.headers["location"]


def test_one_touch_leads_there_from_the_boats_and_from_the_first_page(sloop: TestClient) -> None:
    first = sloop.get(sloop.get("/").headers["location"]).text

    assert 'href="/complaint"' in element(first, "guide-complaint")
    assert 'href="/complaint"' in element(sloop.get("/boats").text, "begin-complaint")
    assert "guide-complaint" not in ids(sloop.get("/boats/trawler").text)


def test_the_suspect_stretch_and_the_best_places_are_told_at_once(client: TestClient) -> None:
    page = client.get(sent(client, **READ)).text

    assert words(element(page, "complaint-sentence")) == (
        "The negative between engine block and battery takes 1.1 V of the 3.05 V that go on the way."
    )
    assert "Measure across each of them" in words(element(page, "complaint-look"))
    assert "suspect" in words(element(page, "stretch-negative"))
    assert "as sound" in words(element(page, "stretch-positive"))
    assert "Best place: Negative bar" in words(element(page, "complaint-lead-negative"))
    assert "no return for it" in words(element(page, "complaint-lead-negative"))
    assert "the meter showed 9.4 V" in words(element(page, "complaint-own"))
    assert "Gear in neutral" in words(element(page, "complaint-cautions"))
    assert "Crimped ring terminal on a stud" in words(element(page, "complaint-figures"))
    assert "from memory, confirm" in words(element(page, "complaint-figures"))


def test_it_becomes_an_ordinary_boat_with_its_readings(client: TestClient) -> None:
    url = sent(client, **READ).removesuffix("/complaint")
    pages = [client.get(f"{url}{below}").status_code for below in ("", "/fitting", "/lists", "/findings")]
    document = json.loads(client.get(f"{url}/export").content)
    strap = next(one for one in document["conductors"] if one["id"] == "strap")

    assert pages == [200, 200, 200, 200]
    assert 'href="' + url + '/complaint"' in client.get(f"{url}/lists").text
    assert [one["volts_v"] for one in document["readings"]] == [10.9, 0.25, 1.1, 9.4]
    assert strap["reading"] == "reading-negative"
    assert strap["measured_resistance_ohm"]["low"] < strap["measured_resistance_ohm"]["value"]


def test_with_nothing_but_a_name_it_answers_by_assumptions(client: TestClient) -> None:
    page = client.get(sent(client)).text

    assert "Nothing was measured yet" in words(element(page, "complaint-sentence"))
    assert "Cable 1: its size" in words(element(page, "complaint-assumed"))
    assert "not measured" in words(element(page, "stretch-battery"))


def test_sound_readings_lead_to_the_leads(client: TestClient) -> None:
    page = client.get(sent(client, **READ | {"negative_v": "0.2", "device_v": "10.2", "clamp_a": "150"})).text

    assert "no bad joint shows" in words(element(page, "complaint-why"))
    assert "By the clamp the starter drew 150 A" in words(page)


def test_a_battery_that_gives_way_is_suspect_and_a_single_cable_is_looked_at(client: TestClient) -> None:
    weak = client.get(sent(client, **READ | {"battery_v": "5", "negative_v": "0.2", "device_v": ""})).text
    single = client.get(
        sent(client, **READ | {"bar": "no", "device_fuse": "5", "device_plus": "starter"})
    ).text

    assert "load-tested" in words(element(weak, "complaint-look"))
    assert "both lugs" in words(element(single, "complaint-look"))


@pytest.mark.parametrize(
    ("wrong", "field", "told"),
    [
        ({"name": ""}, "complaint-name-error", "1 to 100 characters"),
        ({"plus_size": "10"}, "complaint-plus-size-error", "10 mm² or 10 AWG"),
        ({"rest": "twelve"}, "complaint-rest-error", "a number in V"),
        ({"rest": "12", "battery_v": "12.4"}, "complaint-battery-v-error", "less than the 12 V at rest"),
        ({"negative_v": "60"}, "complaint-negative-v-error", "50 V at most"),
        ({"engine": "huge"}, "complaint-engine-error", "Choose one"),
    ],
)
def test_what_cannot_be_read_is_asked_again_and_nothing_is_kept(
    client: TestClient, wrong: dict[str, str], field: str, told: str
) -> None:
    form = form_with(client.get("/complaint").text, "complaint-send")
    answer = client.post(form.action, data=form.fields | READ | wrong)

    assert answer.status_code == 422
    assert told in words(element(answer.text, field))
    assert 'value="70 mm2"' in answer.text
    assert "No boat is here yet" in words(client.get("/boats").text)


def test_a_boat_of_another_kind_has_no_such_page(sloop: TestClient) -> None:
    answer = sloop.get("/boats/sloop/complaint")

    assert answer.status_code == 404
    assert "complaint cannot be answered" in words(answer.text)


def read_again(client: TestClient, url: str, **readings: str) -> tuple[int, str]:
    """Send other readings from the answer's page; status, and the page after it."""
    form = form_with(client.get(url).text, "complaint-readings-in")
    answer = client.post(form.action, data=form.fields | readings)
    return answer.status_code, client.get(url).text if answer.status_code == 303 else answer.text


def test_readings_may_follow_and_be_corrected_and_taken_back(client: TestClient) -> None:
    url = sent(client, **{key: text for key, text in READ.items() if not key.endswith("_v")})
    begun = client.get(f"{url.removesuffix('/complaint')}/export").content
    _, bad = read_again(client, url, battery_v="10.9", positive_v="0.25", negative_v="1.1", clamp_a="150")
    _, sound = read_again(client, url, negative_v="0.2")
    read_again(client, url, battery_v="", positive_v="", negative_v="", clamp_a="")
    after = client.get(f"{url.removesuffix('/complaint')}/export").content

    assert "suspect" in words(element(bad, "stretch-negative"))
    assert form_with(bad, "complaint-readings-in").fields["clamp_a"] == "150"
    assert "as sound" in words(element(sound, "stretch-negative"))
    assert after == begun


def test_the_same_readings_again_change_nothing(client: TestClient) -> None:
    url = sent(client, **READ)
    before = client.app.state.yard.store.boats()[0].head  # type: ignore[attr-defined]
    status, _ = read_again(client, url, negative_v="1.1")
    heads = [row.head for row in client.app.state.yard.store.boats()]  # type: ignore[attr-defined]

    assert status == 303
    assert heads == [before]


def test_a_wrong_reading_is_told_beside_its_field(client: TestClient) -> None:
    status, page = read_again(client, sent(client, **READ), battery_v="13", device_v="low")

    assert status == 422
    assert "less than the 12.6 V at rest" in words(element(page, "complaint-battery-v-error"))
    assert "a number in V" in words(element(page, "complaint-device-v-error"))


def test_readings_on_a_boat_that_was_changed_too_far_are_refused(sloop: TestClient) -> None:
    fields = {"revision": "1", "request_id": "a" * 32, "negative_v": "1"}

    assert sloop.post("/boats/sloop/complaint", data=fields).status_code == 404
