"""What is ticked in the lists: duplicated, copied, or taken out with what hangs on it shown first; undone."""

import json
import re
from typing import Any

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, words

LISTS = "/boats/sloop/lists"


def document(client: TestClient, boat: str = "sloop") -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = json.loads(client.get(f"/boats/{boat}/export").content)
    return found


def tick(client: TestClient, *ids: str) -> str:
    """The page of what is ticked, by the boxes of the lists."""
    page = client.get(LISTS).text
    boxes = re.findall(r'<input type="checkbox" form="tick-form"[^>]*value="([^"]+)"', page)
    assert set(ids) <= set(boxes)
    form = form_with(page, "tick-go")
    return client.get(form.action, params={"ticked": list(ids)}).text


def press(client: TestClient, page: str, button: str, **typed: str) -> tuple[int, str]:
    """Press a button of a page; the status, and where it leads or what it says."""
    form = form_with(page, button)
    answer = client.post(form.action, data=form.fields | typed)
    return answer.status_code, answer.headers.get("location", answer.text)


def undo(client: TestClient, boat: str = "sloop") -> None:
    page = client.get(f"/boats/{boat}/lists").text
    assert press(client, page, "lists-undo")[1].endswith("done=undone")


@pytest.fixture
def working(sloop: TestClient) -> str:
    """A boat in work, a copy of the sloop: what is switched on it opens no option."""
    answer = sloop.post(
        "/boats/sloop/duplicate", data={"revision": "1", "request_id": "a" * 32, "name": "Work"}
    )
    return str(answer.headers["location"]).removeprefix("/boats#card-")


def in_working(client: TestClient, boat: str, *ids: str) -> str:
    return client.get(f"/boats/{boat}/ticked", params={"ticked": list(ids)}).text


def test_every_row_of_the_lists_can_be_ticked(sloop: TestClient) -> None:
    page, boat = sloop.get(LISTS).text, document(sloop)
    boxes = re.findall(r'<input type="checkbox" form="tick-form"[^>]*value="([^"]+)"', page)

    assert sorted(boxes) == sorted(one["id"] for one in (*boat["parts"], *boat["conductors"]))


def test_parts_are_duplicated_with_the_cables_between_them_and_undone_to_the_same_bytes(
    sloop: TestClient, working: str
) -> None:
    before = sloop.get(f"/boats/{working}/export").content
    lead = document(sloop)["conductors"][0]
    ends = [lead[side]["part"] for side in ("tail", "head")]
    page = in_working(sloop, working, *ends)
    assert "copied along" in words(element(page, f"ticked-{lead['id']}"))

    status, where = press(sloop, page, "ticked-duplicate")
    after = document(sloop, working)

    assert (status, where) == (303, f"/boats/{working}/lists?done=duplicated")
    assert "Duplicated." in words(element(sloop.get(where).text, "lists-told"))
    new = {part["id"] for part in after["parts"][-len(set(ends)) :]}
    assert {after["conductors"][-1][side]["part"] for side in ("tail", "head")} <= new
    assert len({part["name"] for part in after["parts"]}) == len(after["parts"])
    undo(sloop, working)
    assert sloop.get(f"/boats/{working}/export").content == before


def test_duplicates_of_what_is_switched_open_an_option_beside_the_boat_as_surveyed(sloop: TestClient) -> None:
    before = sloop.get("/boats/sloop/export").content
    _, where = press(sloop, tick(sloop, "vhf"), "ticked-duplicate")

    assert not where.startswith("/boats/sloop/")
    assert sloop.get("/boats/sloop/export").content == before
    assert document(sloop, where.split("/")[2])["parts"][-1]["name"].endswith(" 2")


def test_parts_are_copied_into_another_boat_and_undone_there(sloop: TestClient, working: str) -> None:
    before = sloop.get(f"/boats/{working}/export").content
    page = tick(sloop, "vhf", "autopilot")
    choice = words(element(page, "ticked-to"))
    assert "Work" in choice
    assert choice.count("Marsh Wren") == 0
    status, where = press(sloop, page, "ticked-copy", to=working)
    names = [part["name"] for part in document(sloop, working)["parts"][-2:]]

    assert (status, where) == (303, f"/boats/{working}/lists?done=copied")
    assert all(name.endswith(" 2") for name in names)
    assert sloop.get(f"/boats/{working}").status_code == 200
    undo(sloop, working)
    assert sloop.get(f"/boats/{working}/export").content == before


def test_a_boat_of_another_voltage_says_so_after_the_copy(sloop: TestClient) -> None:
    volts = {boat: document(sloop, boat)["nominal_voltage_v"] for boat in ("sloop", "workboat")}
    where = press(sloop, tick(sloop, "autopilot"), "ticked-copy", to="workboat")[1]

    assert volts["sloop"] != volts["workboat"]
    assert "whose voltage is another" in words(element(sloop.get(where).text, "lists-told"))


def test_copying_again_with_the_same_key_copies_once(sloop: TestClient, working: str) -> None:
    form = form_with(tick(sloop, "autopilot"), "ticked-copy")
    before = len(document(sloop, working)["parts"])
    for _ in range(2):
        sloop.post(form.action, data=form.fields | {"to": working})

    assert len(document(sloop, working)["parts"]) == before + 1


def test_what_hangs_on_ticked_things_is_shown_before_they_are_taken_out(sloop: TestClient) -> None:
    before = sloop.get("/boats/sloop/export").content
    page = tick(sloop, "autopilot")
    section = words(page.split('id="remove-title"')[1])
    ends = [
        one
        for one in document(sloop)["conductors"]
        for side in ("tail", "head")
        if one.get(side, {}).get("part") == "autopilot"
    ]

    assert "Cable ends that become loose" in section
    assert section.count(" at Autopilot: ") == len(ends)
    status, _ = press(sloop, page, "ticked-remove")
    boat = document(sloop)
    assert status == 303
    assert "autopilot" not in {part["id"] for part in boat["parts"]}
    assert {one["id"] for one in ends} <= {one["id"] for one in boat["conductors"]}
    undo(sloop)
    press(sloop, tick(sloop, "autopilot"), "ticked-remove-all")
    assert not {one["id"] for one in ends} & {one["id"] for one in document(sloop)["conductors"]}
    undo(sloop)
    assert sloop.get("/boats/sloop/export").content == before


def test_a_conductor_alone_is_taken_out(sloop: TestClient) -> None:
    conductor = document(sloop)["conductors"][0]["id"]
    page = tick(sloop, conductor)
    press(sloop, page, "ticked-remove")

    assert "1 conductor ticked" in words(element(page, "ticked-title"))
    assert "ticked-remove-all" not in page
    assert conductor not in {one["id"] for one in document(sloop)["conductors"]}


def test_nothing_ticked_offers_nothing_and_what_is_gone_is_told(sloop: TestClient) -> None:
    assert "Nothing ticked" in words(tick(sloop))
    page = tick(sloop, "autopilot")
    press(sloop, page, "ticked-remove")
    form = form_with(page, "ticked-duplicate")
    revision = form_with(sloop.get(LISTS).text, "lists-undo").fields["revision"]
    answer = sloop.post(form.action, data=form.fields | {"revision": revision})
    copied = sloop.post("/boats/sloop/ticked/copy", data=form.fields | {"to": "trawler"})

    assert answer.status_code == copied.status_code == 422
    assert "Nothing is ticked that is still aboard." in words(answer.text)


def test_an_edit_made_meanwhile_is_shown_before_a_removal_is_made_on_top(sloop: TestClient) -> None:
    form = form_with(tick(sloop, "autopilot"), "ticked-remove")
    press(sloop, tick(sloop, "vhf"), "ticked-remove")
    answer = sloop.post(form.action, data=form.fields)
    again = form_with(answer.text, "apply-on-top")

    assert answer.status_code == 409
    assert sloop.post(again.action, data=again.fields).status_code == 303
    assert not {"autopilot", "vhf"} & {part["id"] for part in document(sloop)["parts"]}
