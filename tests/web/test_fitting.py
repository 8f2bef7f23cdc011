"""Putting parts and cables in one by one: from nothing to a boat that is computed, and back again."""

import json
import re
from collections.abc import Mapping

import pytest
from fastapi.testclient import TestClient

from server.boat.catalogue import CATALOGUE
from tests.web.reading import element, form_with, words

HTMX = {"HX-Request": "true"}
BLANK = {
    "name": "Heron",
    "pattern": "blank",
    "voltage": "12",
    "engine": "small",
    "practice": "us-recreational",
    "length": "6",
}


class Bench:
    """The fitting page of one boat, used as a person would."""

    def __init__(self, client: TestClient) -> None:
        """Begin a blank boat."""
        self.client = client
        self.url = f"{client.post('/new-boat', data=BLANK).headers['location']}/fitting"

    def part(self, word: str, name: str, **answers: str) -> str:
        """Put a part in; answers the page after it."""
        form = form_with(self.client.get(self.url, params={"what": word}).text, "fit-part-in")
        return self._sent(form.action, form.fields | {"name": name} | answers)

    def cable(self, **answers: str) -> str:
        """Put a cable in; answers the page after it."""
        form = form_with(self.client.get(self.url).text, "fit-cable-in")
        return self._sent(form.action, form.fields | answers)

    def press(self, button: str) -> str:
        """Press a button of the page; answers the page after it."""
        form = form_with(self.client.get(self.url).text, button)
        return self._sent(form.action, form.fields)

    def document(self) -> dict[str, list[dict[str, object]]]:
        """The boat as it is kept."""
        found: dict[str, list[dict[str, object]]] = json.loads(
            self.client.get(self.url.replace("/fitting", "/export")).content
        )
        return found

    def _sent(self, action: str, fields: Mapping[str, str]) -> str:
        answer = self.client.post(action, data=dict(fields), headers=HTMX)
        assert answer.status_code in {200, 422}
        return answer.text


@pytest.fixture
def bench(client: TestClient) -> Bench:
    """A blank boat."""
    return Bench(client)


def simple(bench: Bench) -> None:
    """A battery, a fuse at its post, a lamp and the way back."""
    bench.part("battery", "Battery", capacity_ah="90")
    bench.part("lights", "Lamp", power_w="12")
    bench.cable(
        number="1",
        tail="Battery: positive",
        head="Lamp: supply",
        size="14 AWG",
        length="3",
        fuse="15",
        colour="red",
    )
    bench.cable(number="2", tail="Lamp: negative", head="battery: NEGATIVE", size="14 AWG", length="3")


def test_a_lamp_on_a_battery_is_drawn_computed_and_clean(bench: Bench) -> None:
    simple(bench)
    page = bench.client.get(bench.url.replace("/fitting", "")).text
    document = bench.document()

    assert 'id="load-' in page
    assert "Lamp" in words(element(page, "results"))
    assert [one["kind"] for one in document["parts"]] == ["battery", "load", "fuse"]
    assert {one["kind"] for one in document["conductors"]} == {"wire", "link"}
    assert document["modes"][0]["name"] == "Everything on"


@pytest.mark.parametrize("word", CATALOGUE)
def test_every_word_of_the_catalogue_is_put_in_with_what_is_usual(bench: Bench, word: str) -> None:
    asked = [one for one in CATALOGUE[word].questions if one.needed and not one.usual]
    needed = {one.key: "5" for one in asked} | ({"ways": "Plotter, 5"} if word == "panel" else {})
    page = bench.part(word, "Thing", **needed)

    assert "Thing is in." in words(element(page, "fitting-told"))
    assert "Thing" in words(element(page, "fit-parts"))
    assert bench.client.get(bench.url.replace("/fitting", "")).status_code == 200


def test_what_stays_from_cable_to_cable_stands_in_the_fields_of_the_next(bench: Bench) -> None:
    page = bench.cable(number="7", size="10 AWG", colour="red", length="2", measured="no")
    form = form_with(page, "fit-cable-in")

    assert (form.fields["number"], form.fields["size"], form.fields["colour"]) == ("8", "10 AWG", "red")
    assert form.fields["length"] == ""
    assert bench.document()["conductors"][0]["length_basis"] == "estimated"


def test_sizes_are_taken_as_printed_and_a_new_part_has_a_free_name(bench: Bench) -> None:
    bench.cable(number="1", size="10ga")
    bench.cable(number="2", size="35")
    page = bench.cable(number="3", size="10")
    bench.part("fuse", "Fuse", rating_a="10")
    asked = bench.client.get(bench.url, params={"what": "fuse"}).text
    labels = [one["size"]["label"] for one in bench.document()["conductors"]]  # type: ignore[index]

    assert labels == ["10 AWG", "35 mm²"]
    assert "10 may be 10 mm² or 10 AWG: write which." in words(element(page, "cable-size-error"))
    assert form_with(asked, "fit-part-in").fields["name"] == "Fuse 2"


def test_the_ways_of_a_panel_are_asked_for_and_those_without_amperes_are_told(bench: Bench) -> None:
    asked = bench.client.get(bench.url, params={"what": "panel"}).text
    page = bench.part("panel", "Board", ways="VHF, 5\nWash pump\nfoo, abc")
    simple(bench)

    assert form_with(asked, "fit-part-in").fields.get("ways", "") == ""
    assert "Chart plotter, 5" in re.findall(r'placeholder="([^"]*)"', asked)[0]
    assert "Without amperes: Wash pump; foo, abc." in words(element(page, "fitting-told"))
    shown = words(element(bench.client.get(bench.url).text, "fit-cables-title"))
    assert shown == "Cables aboard: 2, and 1 bolted joint"


def test_a_load_comes_with_its_two_leads_and_the_next_free_stud(bench: Bench) -> None:
    bench.part("battery", "Battery")
    bench.part("busbar", "Bus", studs="3")
    for name in ("Plotter", "Sounder"):
        page = bench.part(
            "electronics",
            name,
            power_w="20",
            tail="Battery: positive",
            head="Bus: next free stud",
            size="14 AWG",
            length="4",
        )
    document = bench.document()
    homes = [one["head"] for one in document["conductors"] if one["colour"] == "black"]
    form = form_with(page, "fit-part-in")

    assert [one["construction"] for one in document["cables"]] == ["twin", "twin"]
    assert homes == [{"part": document["parts"][1]["id"], "terminal": f"stud-{n}"} for n in (1, 2)]
    assert (form.fields["head"], form.fields["size"], form.fields["length"]) == (
        "Bus: next free stud",
        "14 AWG",
        "",
    )
    assert form_with(page, "fit-cable-in").fields["size"] == ""


def test_a_full_bar_offers_no_free_stud_and_an_outboard_takes_its_leads_too(bench: Bench) -> None:
    bench.part("busbar", "Bus", studs="1")
    page = bench.part("outboard", "Outboard", running_a="100", head="Bus: next free stud")

    assert "Bus: stud 1" in page
    assert "Bus: next free stud" not in words(page).split("Put a part in")[0]
    assert {one["kind"] for one in bench.document()["parts"]} == {"busbar", "outboard"}
    assert "Main: way" not in page


def test_leads_that_cannot_be_read_are_asked_again_with_the_part(bench: Bench) -> None:
    page = bench.part("lights", "Lamp", power_w="5", tail="Nowhere", length="far")

    assert element(page, "part-tail-error")
    assert element(page, "part-length-error")
    assert not bench.document()["parts"]


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"tail": "Nowhere: stud 1"}, "cable-tail-error", "Choose one of the terminals"),
        ({"tail": "Battery: positive", "head": "Battery: positive"}, "cable-head-error", "another terminal"),
        ({"size": "thick"}, "cable-size-error", "No conductor size"),
        ({"length": "long"}, "cable-length-error", "Enter a number in m"),
        ({"fuse": "0"}, "cable-fuse-error", "more than 0 A"),
        ({"fuse": "10"}, "cable-tail-error", "A fuse needs a terminal"),
    ],
)
def test_a_cable_that_cannot_be_read_is_asked_again_with_all_that_was_typed(
    bench: Bench, wrong: dict[str, str], field: str, said: str
) -> None:
    bench.part("battery", "Battery")
    page = bench.cable(number="9", colour="pink", **wrong)
    form = form_with(page, "fit-cable-in")

    assert said in words(element(page, field))
    assert form.fields["number"] == "9"
    assert form.fields["colour"] == "pink"
    assert not bench.document()["conductors"]


@pytest.mark.parametrize(
    ("word", "wrong", "field", "said"),
    [
        ("battery", {"name": ""}, "part-name-error", "Enter a name"),
        ("battery", {"nominal_v": "much"}, "part-nominal-v-error", "Enter a number in V"),
        ("battery", {"chemistry": "lemon"}, "part-chemistry-error", "Choose one of the list"),
        ("busbar", {"studs": "2.5"}, "part-studs-error", "whole number"),
        ("panel", {"ways": " "}, "part-ways-error", "one a line"),
        ("electronics", {"power_w": ""}, "part-power-w-error", "Enter a number in W"),
    ],
)
def test_a_part_that_cannot_be_read_is_asked_again(
    bench: Bench, word: str, wrong: dict[str, str], field: str, said: str
) -> None:
    page = bench.part(word, "Thing", **wrong) if "name" not in wrong else bench.part(word, "")

    assert said in words(element(page, field))
    assert not bench.document()["parts"]


def test_an_answer_that_passes_its_field_but_not_the_part_is_told_beside_the_name(bench: Bench) -> None:
    page = bench.part("panel", "Panel", ways="\n".join(f"Way, {n}" for n in range(1, 3)) + "\nOdd, 0")

    assert element(page, "part-name-error")
    assert not bench.document()["parts"]


def test_taking_a_part_out_shows_what_hangs_on_it_and_leaves_loose_ends(bench: Bench) -> None:
    simple(bench)
    lamp = next(str(one["id"]) for one in bench.document()["parts"] if one["name"] == "Lamp")
    page = bench.client.get(bench.url).text
    assert "2 cable ends on it" in words(element(page, f"fit-part-{lamp}"))
    after = bench.press(f"out-part-{lamp}")

    assert "Lamp" not in words(element(after, "fit-parts"))
    assert after.count("<td>loose end</td>") == 2


def test_a_fuse_may_come_out_with_its_cable_joined_again(bench: Bench) -> None:
    simple(bench)
    fuse = next(str(one["id"]) for one in bench.document()["parts"] if one["kind"] == "fuse")
    page = bench.press(f"join-part-{fuse}")
    (red, _) = bench.document()["conductors"]

    assert "It is out, its cable joined again." in words(element(page, "fitting-told"))
    assert (red["tail"]["terminal"], red["length_m"]) == ("positive", 3.0)  # type: ignore[index]
    assert "then goes from" not in words(element(page, "fit-parts"))


def test_taking_a_cable_out_takes_its_number_along(bench: Bench) -> None:
    simple(bench)
    wire = next(str(one["id"]) for one in bench.document()["conductors"] if one["kind"] == "wire")
    bench.press(f"out-cable-{wire}")

    assert len(bench.document()["cables"]) == 1
    link = next(str(one["id"]) for one in bench.document()["conductors"] if one["kind"] == "link")
    bench.press(f"out-cable-{link}")
    assert len(bench.document()["conductors"]) == 1


def test_undo_stays_on_the_page(bench: Bench) -> None:
    simple(bench)
    page = bench.press("fit-undo")

    assert "Taken back." in words(element(page, "fitting-told"))
    assert len(bench.document()["cables"]) == 1


def test_one_core_of_a_cable_leaves_the_cable(sloop: TestClient) -> None:
    page = sloop.get("/boats/sloop/fitting").text
    document = json.loads(sloop.get("/boats/sloop/export").content)
    shared = next(
        one
        for one in document["conductors"]
        if "cable" in one and sum(other.get("cable") == one["cable"] for other in document["conductors"]) > 1
    )
    form = form_with(page, f"out-cable-{shared['id']}")
    sloop.post(form.action, data=form.fields, headers=HTMX)
    after = json.loads(sloop.get("/boats/sloop/export").content)

    assert shared["cable"] in {cable["id"] for cable in after["cables"]}
    assert len(after["conductors"]) == len(document["conductors"]) - 1


def test_parts_of_one_name_are_told_apart_by_their_ids(bench: Bench) -> None:
    bench.part("post", "Post")
    page = bench.part("post", "Post")
    ids = [str(one["id"]) for one in bench.document()["parts"]]

    assert all(f"Post ({one}): stud" in page for one in ids)


def test_without_script_the_forms_lead_back_to_the_page(bench: Bench) -> None:
    form = form_with(bench.client.get(bench.url, params={"what": "post"}).text, "fit-part-in")
    good = bench.client.post(form.action, data=form.fields | {"name": "Post"})
    form = form_with(bench.client.get(bench.url, params={"what": "post"}).text, "fit-part-in")
    bad = bench.client.post(form.action, data=form.fields | {"name": ""})

    assert (good.status_code, good.headers["location"]) == (303, f"{bench.url}?what=post")
    assert bad.status_code == 422
    assert "<html" in bad.text


def test_a_word_that_is_not_in_the_catalogue_is_refused(bench: Bench) -> None:
    form = form_with(bench.client.get(bench.url).text, "fit-part-in")
    answer = bench.client.post(form.action, data=form.fields | {"what": "sail", "name": "Sail"}, headers=HTMX)

    assert answer.status_code == 422
    assert "Choose a part" in words(element(answer.text, "fitting-told"))


def test_what_the_boat_refuses_is_told_with_what_was_typed(bench: Bench) -> None:
    form = form_with(bench.client.get(bench.url).text, "fit-cable-in")
    action = form.action.replace("/cable", "/out")
    answer = bench.client.post(action, data=form.fields | {"part": "nothing"}, headers=HTMX)

    assert answer.status_code == 422
    assert element(answer.text, "fitting-told")


def test_a_stale_form_is_answered_with_what_changed(bench: Bench) -> None:
    form = form_with(bench.client.get(bench.url).text, "fit-part-in")
    bench.part("post", "Post")
    answer = bench.client.post(
        form.action, data=form.fields | {"name": "Late", "nominal_v": "12"}, headers=HTMX
    )

    assert answer.status_code == 409
    assert "Put in Post" in words(answer.text)
