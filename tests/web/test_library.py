"""The yard's own parts: saved from a boat, put into another, renamed, removed, given out and taken in."""

import json
import re
from collections.abc import Callable
from typing import Any

import pytest
from fastapi.testclient import TestClient

from server.actions.library import MOST_OWN
from tests.web.reading import element, form_with, words
from tests.web.test_here import Picture

PARTS = "/own-parts"


def document(client: TestClient, boat: str = "sloop") -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = json.loads(client.get(f"/boats/{boat}/export").content)
    return found


def save(client: TestClient, part: str, name: str, status: int = 200) -> str:
    """Save a part of the sloop under a name; answers the page after it."""
    page = client.get("/boats/sloop/ticked", params={"ticked": part}).text
    form = form_with(page, f"save-{part}")
    answer = client.post(form.action, data=form.fields | {"name": name})
    assert answer.status_code == status
    return answer.text


def listed(client: TestClient) -> str:
    return words(element(client.get(PARTS).text, "library-list"))


def press(client: TestClient, own: str, deed: str, **typed: str) -> tuple[int, str]:
    """Rename or remove an own part; the status and the page."""
    page = client.get(PARTS).text
    row = next(one for one in page.split('<tr id="own-')[1:] if f'value="{own}"' in one)
    form = form_with(page, f"own-{row.partition(chr(34))[0]}-{deed}")
    answer = client.post(form.action, data=form.fields | typed)
    return answer.status_code, answer.text


def take_in(client: TestClient, body: bytes, request_id: str = "take-in") -> tuple[int, str]:
    answer = client.post(
        "/own-parts/import",
        data={"request_id": request_id},
        files={"file": ("parts.json", body, "application/json")},
    )
    return answer.status_code, words(answer.text)


def test_a_part_is_saved_with_its_ratings_and_without_what_belongs_to_its_boat(sloop: TestClient) -> None:
    page = save(sloop, "house-1", "Our 100 Ah")
    (own,) = json.loads(sloop.get("/own-parts/file").content)["parts"]
    battery = next(part for part in document(sloop)["parts"] if part["id"] == "house-1")

    assert "“Our 100 Ah” is among your own parts." in words(page)
    assert own["name"] == "Our 100 Ah"
    assert own["part"]["capacity_ah"] == battery["capacity_ah"]
    assert own["part"].keys() & {"id", "name", "place", "zone", "bank", "waypoint", "tag"} == set()
    assert "Our 100 Ah" in sloop.get(PARTS).text


def test_an_own_part_is_put_into_a_boat_from_the_list_of_words(sloop: TestClient) -> None:
    save(sloop, "vhf", "Yard radio")
    page = sloop.get("/boats/sloop/fitting").text
    word = next(
        one for one in page.split('<option value="own-')[1:] if "Yard radio" in one.split("</option>")[0]
    )
    asked = sloop.get("/boats/sloop/fitting", params={"what": f"own-{word.partition(chr(34))[0]}"}).text
    form = form_with(asked, "fit-part-in")
    answer = sloop.post(form.action, data=form.fields | {"name": "Cockpit radio", "tail": "", "length": "2"})
    boat = answer.headers["location"]
    old = next(part for part in document(sloop)["parts"] if part["id"] == "vhf")
    new = next(
        part
        for row in sloop.app.state.yard.store.boats()  # type: ignore[attr-defined]
        for part in document(sloop, row.id)["parts"]
        if part["name"] == "Cockpit radio"
    )

    assert 'label="Your own parts"' in page
    assert "Fed from" in words(asked)
    assert boat
    assert {**new, "id": 0, "name": 0} == {
        key: 0 if key in {"id", "name"} else value
        for key, value in old.items()
        if key not in {"place", "zone", "island", "notes", "tag", "trace", "waypoint"}
    }


def test_own_parts_are_offered_in_the_picture_too_into_a_conductor_only_what_can_sit_in_it(
    sloop: TestClient,
) -> None:
    save(sloop, "vhf", "Yard radio")
    fuse = next(part for part in document(sloop)["parts"] if part["kind"] == "fuse")
    save(sloop, fuse["id"], "Yard fuse")
    picture = Picture(sloop)
    wire = next(one for one in document(sloop)["conductors"] if one["kind"] == "wire" and one.get("length_m"))
    on_post, in_wire = picture.card("house-1.positive", "put"), picture.card(wire["id"], "put")
    own = re.findall(r'<option value="(own-[^"]*)"[^>]*>Yard fuse<', in_wire)[0]
    card = picture.card(wire["id"], "put", what=own)
    picture.do(card)
    put = next(part for part in picture.document()["parts"] if str(part["name"]).startswith("Yard fuse, "))

    assert "Yard radio" in on_post
    assert "Yard fuse" in on_post
    assert "Yard radio" not in in_wire
    assert picture.status == 200
    assert put["rating_a"] == fuse["rating_a"]


def test_a_name_stands_once_among_own_parts(sloop: TestClient) -> None:
    save(sloop, "vhf", "Radio")
    save(sloop, "autopilot", "Pilot")
    again = save(sloop, "vhf", "radio", status=422)
    empty = save(sloop, "vhf", "   ", status=422)
    taken, page = press(sloop, "Pilot", "rename", name="RADIO")
    bad, _ = press(sloop, "Pilot", "rename", name="x" * 121)

    assert "Another of your own parts has this name." in words(element(again, "save-vhf-error"))
    assert "Enter a name" in words(element(empty, "save-vhf-error"))
    assert (taken, bad) == (422, 422)
    assert "Another of your own parts" in page
    assert 'value="RADIO"' in page


def test_an_own_part_is_renamed_and_removed(sloop: TestClient) -> None:
    save(sloop, "vhf", "Radio")

    assert press(sloop, "Radio", "rename", name="Yard radio")[0] == 303
    assert "Yard radio" in sloop.get(PARTS).text
    assert press(sloop, "Yard radio", "remove")[0] == 303
    assert "None yet." in listed(sloop)
    assert "library-file" not in sloop.get(PARTS).text
    assert sloop.post("/own-parts/nothing/remove").status_code == 404
    assert sloop.post("/own-parts/nothing/rename", data={"name": "Else"}).status_code == 404


def test_every_kind_of_part_goes_out_as_a_file_and_comes_back_the_same(
    sloop: TestClient, client: TestClient
) -> None:
    kinds = {part["kind"]: part["id"] for part in document(sloop)["parts"]}
    for kind, part in kinds.items():
        save(sloop, part, f"Own {kind}")
    body = sloop.get("/own-parts/file").content
    status, told = take_in(client, body)

    assert status == 200
    assert f"{len(kinds)} parts taken in." in told
    assert client.get("/own-parts/file").content == body
    assert f"0 parts taken in. {len(kinds)} parts known already." in take_in(client, body, "take-in-two")[1]


def test_a_part_of_the_same_name_that_is_another_gets_a_number(sloop: TestClient, client: TestClient) -> None:
    save(sloop, "vhf", "Radio")
    theirs = sloop.get("/own-parts/file").content
    mine = json.loads(theirs)
    mine["parts"][0]["part"]["inputs"][0]["minimum_voltage_v"] = 8.25
    take_in(client, json.dumps(mine).encode())
    told = take_in(client, theirs, "take-in-two")[1]

    assert "Named anew, as the name was taken: Radio 2." in told
    assert [one["name"] for one in json.loads(client.get("/own-parts/file").content)["parts"]] == [
        "Radio",
        "Radio 2",
    ]


def _file(**changes: object) -> bytes:
    fuse = {"name": "Fuse", "part": {"kind": "fuse", "rating_a": 10}}
    return json.dumps({"format": "tapchart.parts", "version": 1, "parts": [fuse]} | changes).encode()


@pytest.mark.parametrize(
    ("body", "place"),
    [
        (b"", "no JSON"),
        (b"{", "no JSON"),
        (b"\xff\xfe", "no JSON"),
        (b"[" * 5_000, "no JSON"),
        (b"[]", "document"),
        (_file(format="tapchart.boat"), "format"),
        (_file(version=2), "version"),
        (_file(more=1), "more"),
        (_file(parts=[{"name": "", "part": {}}]), "parts[0].name"),
        (_file(parts=[{"name": "A", "part": {}}]), "parts[0].part.kind"),
        (_file(parts=[{"name": "A", "part": {"kind": "sail"}}]), "parts[0].part.kind"),
        (_file(parts=[{"name": "A", "part": {"kind": "fuse", "rating_a": -1}}]), "parts[0].part.rating_a"),
        (_file(parts=[{"name": "A", "part": {"kind": "fuse", "rating_a": "10"}}]), "parts[0].part.rating_a"),
        (_file(parts=[{"name": "A", "part": {"kind": "fuse", "sheep": 1}}]), "parts[0].part.sheep"),
        (_file(parts=[{"name": "A", "part": {"kind": "fuse"}}] * (MOST_OWN + 1)), "parts"),
    ],
)
def test_a_broken_file_of_parts_is_refused_with_its_place_and_nothing_is_kept(
    client: TestClient, body: bytes, place: str
) -> None:
    status, told = take_in(client, body)

    assert status == 422
    assert place in told
    assert "Nothing was taken in" in told
    assert "None yet." in listed(client)


@pytest.fixture
def full(sloop: TestClient) -> TestClient:
    """A library that holds as much as it may."""
    add: Callable[..., object] = sloop.app.state.yard.store.add_own_part  # type: ignore[attr-defined]
    content = '{"kind":"fuse","rating_a":5}'
    rows = tuple(add(name=f"Fuse {n}", content=content, request_id=f"fill-{n:04}") for n in range(2))
    sloop.app.state.yard.store.own_parts = lambda: rows * (MOST_OWN // 2)  # type: ignore[attr-defined]
    return sloop


def test_a_full_library_takes_no_more(full: TestClient) -> None:
    assert "500 own parts at most" in words(element(save(full, "vhf", "Radio", status=422), "save-vhf-error"))
    status, told = take_in(full, _file(parts=[{"name": "New", "part": {"kind": "fuse", "rating_a": 7}}]))
    assert status == 422
    assert "500 own parts at most" in told
