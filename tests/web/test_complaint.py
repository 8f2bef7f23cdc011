"""The page that begins with a complaint: answered at once, with what is not known left open."""

import json
import re

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


def test_a_negative_on_a_bar_that_is_not_there_is_asked_about(client: TestClient) -> None:
    form = form_with(client.get("/complaint").text, "complaint-send")
    typed = form.fields | {"name": "Heron", "bar": "no", "device_minus": "bar"}
    answer = client.post(form.action, data=typed)

    assert answer.status_code == 422
    assert "There is no negative bar" in words(answer.text)


def test_with_nothing_but_a_name_it_answers_by_assumptions(client: TestClient) -> None:
    page = client.get(sent(client)).text

    assert "Nothing was measured yet" in words(element(page, "complaint-sentence"))
    assert "mm² (" in words(element(page, "complaint-assumed"))
    assert "not measured" in words(element(page, "stretch-battery"))


def test_sound_readings_lead_to_the_leads(client: TestClient) -> None:
    page = client.get(sent(client, **READ | {"negative_v": "0.2", "device_v": "10.2", "clamp_a": "150"})).text

    assert "no bad joint shows" in words(element(page, "complaint-why"))
    assert "By the clamp the starter drew 150 A" in words(page)


def test_readings_that_leave_the_starter_next_to_nothing_are_to_be_read_again(client: TestClient) -> None:
    page = client.get(sent(client, battery_v="9", positive_v="4", negative_v="4", clamp_a="900")).text

    assert "leaves the starter 1 V, too little to turn an engine: read again" in words(
        element(page, "complaint-why")
    )
    assert words(element(page, "complaint-sentence")).endswith(
        "The negative between engine block and battery as much."
    )


def test_what_may_take_all_the_battery_has_is_not_called_sound_and_takes_no_more_than_that(
    client: TestClient,
) -> None:
    page = client.get(sent(client, rest_v="12.6", battery_v="10", positive_v="2", clamp_a="900")).text

    assert "cannot tell" in words(element(page, "stretch-battery"))
    assert "as sound" in words(element(page, "stretch-positive"))
    assert "Whether that is too much cannot be told" in words(element(page, "complaint-why"))
    ends = re.findall(r"to ([\d.]+) V\)", words(element(page, "complaint-stretches")))
    assert ends
    assert max(map(float, ends)) <= 12.6


SEEN = {
    "needs": "10",
    "device_plus": "switch",
    "device_minus": "engine",
    "battery_v": "9.9",
    "positive_v": "0.5",
    "negative_v": "1.0",
    "device_v": "8.1",
    "clamp_a": "300",
}


def test_what_is_left_for_the_device_starts_from_the_other_readings(client: TestClient) -> None:
    """By hand: 9.9 − 1.0 V, less 0 to 0.5 V of the positive that it shares in part, less its own 0.1 V."""
    told = words(element(client.get(sent(client, **READ | SEEN | {"device_w": "20"})).text, "complaint-own"))
    found = re.search(r"leave ([0-9.]+) to ([0-9.]+) V for it", told)

    assert found is not None
    assert float(found[1]) == pytest.approx(9.9 - 1.0 - 0.5 - 0.1, abs=0.06)
    assert float(found[2]) == pytest.approx(9.9 - 1.0 - 0.1, abs=0.06)
    assert "Up to 0.7" in told
    assert "look at what it shares with the starter first" in told


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ({"device_plus": "starter", "device_v": "7"}, "not explained: look at its own leads"),
        ({"device_plus": "starter", "device_v": "8.3"}, "leave 8.3"),
        ({"device_v": "9.8"}, "take the readings again"),
        ({"positive_v": ""}, "With all readings on its way"),
        ({"device_plus": "house"}, "With all readings on its way"),
        ({"device_plus": "battery", "positive_v": ""}, "the other readings leave"),
    ],
)
def test_own_leads_are_named_only_where_nothing_else_can_be_missing(
    client: TestClient, readings: dict[str, str], told: str
) -> None:
    page = client.get(sent(client, **READ | SEEN | readings)).text

    assert told in words(element(page, "complaint-own"))


def test_a_meter_below_the_need_goes_before_what_is_computed(client: TestClient) -> None:
    below = words(element(client.get(sent(client, **READ | SEEN)).text, "complaint-device"))
    above = words(element(client.get(sent(client, **READ | SEEN | {"needs": "7"})).text, "complaint-device"))

    assert "needs 10.0 V: restarts, for the meter showed less" in below
    assert "by the meter it" not in above
    assert "for the meter showed" not in above


@pytest.mark.parametrize(
    ("engine", "fuel", "propulsion"),
    [("small", "diesel", "inboard"), ("petrol", "petrol", "inboard"), ("outboard", "petrol", "outboard")],
)
def test_every_kind_of_engine_is_answered(
    client: TestClient, engine: str, fuel: str, propulsion: str
) -> None:
    url = sent(client, **READ | {"engine": engine})
    practice = client.get(f"{url.removesuffix('/complaint')}/export").json()["practice"]

    assert "complaint-sentence" in ids(client.get(url).text)
    assert (practice["propulsion_fuel"], practice["propulsion"]) == (fuel, propulsion)


def test_a_clamp_stands_for_a_starter_of_which_nothing_is_known(client: TestClient) -> None:
    url = sent(client, **READ | SEEN)
    page = client.get(url).text
    other = client.get(sent(client, **READ | SEEN | {"starter": "160"})).text
    document = client.get(f"{url.removesuffix('/complaint')}/export").json()
    starter = next(one for one in document["parts"] if one["id"] == "starter")

    assert starter["inputs"][0]["demand"]["running_current_a"] == 300.0
    assert "do not use the clamp" not in words(page)
    assert "they go on with the 160 A" in words(other)


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
    assert f'href="#{field.removesuffix("-error")}"' in element(answer.text, "complaint-wrong-first")
    assert re.search(rf'id="{field.removesuffix("-error")}"[^>]* autofocus', answer.text)
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
