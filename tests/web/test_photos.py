"""Photos over HTTP: put on, described, pinned, made conductors of, taken off, given out and taken in."""

import hashlib
import json
import zipfile
from collections.abc import Mapping
from io import BytesIO
from typing import Any

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from server.actions.changes import MOST_TRIES
from server.store.errors import StaleError
from tests.web.reading import element, form_with, words

HTMX = {"HX-Request": "true"}
PAGE = "/boats/sloop/photos"
STUD = "Main negative bus: stud 1"


def jpeg(size: tuple[int, int] = (400, 300), colour: str = "blue") -> bytes:
    out = BytesIO()
    Image.new("RGB", size, colour).save(out, "JPEG")
    return out.getvalue()


def document(client: TestClient, boat: str = "sloop") -> dict[str, list[dict[str, Any]]]:
    found: dict[str, list[dict[str, Any]]] = json.loads(client.get(f"/boats/{boat}/export").content)
    return found


def add(
    client: TestClient, body: bytes | None = None, headers: Mapping[str, str] | None = None, **said: str
) -> str:
    """Put a photo on through the page's own form; where the answer leads."""
    form = form_with(client.get(PAGE).text, "photo-in")
    answer = client.post(
        form.action,
        data=form.fields | said,
        files={"file": ("seen.jpg", jpeg() if body is None else body, "image/jpeg")},
        headers=headers,
    )
    assert answer.status_code == 303, words(answer.text)
    return str(answer.headers["location"])


def send(client: TestClient, url: str, button: str, status: int = 200, **typed: str) -> str:
    """Send a form of a page; answers the fragment after it."""
    form = form_with(client.get(url).text, button)
    answer = client.post(form.action, data=form.fields | typed, headers=HTMX)
    assert answer.status_code == status, words(answer.text)
    return answer.text


def test_a_photo_is_put_on_shown_and_served_only_to_this_browser(sloop: TestClient) -> None:
    url = add(sloop, jpeg((3200, 1600)), subject="Autopilot", caption="Behind the panel", taken="2031-05-17")
    (photo,) = document(sloop)["photos"]
    page = sloop.get(url).text
    picture = sloop.get(f"/boats/sloop/photo-files/{photo['sha']}")
    small = sloop.get(f"/boats/sloop/photo-files/{photo['sha']}", params={"small": "yes"})

    assert (photo["subject"], photo["caption"], photo["taken"]) == (
        "autopilot",
        "Behind the panel",
        "2031-05-17",
    )
    assert "Behind the panel" in words(element(page, "photo-title"))
    assert 'viewBox="0 0 1600 800"' in page
    assert hashlib.sha256(picture.content).hexdigest() == photo["sha"]
    assert len(small.content) < len(picture.content)
    for one in (picture, small):
        assert one.headers["content-type"] == "image/jpeg"
        assert one.headers["cache-control"].startswith("private")
        assert one.headers["x-content-type-options"] == "nosniff"
    listed = sloop.get(PAGE).text
    assert "Behind the panel Autopilot 2031-05-17" in words(element(listed, "photo-grid"))


def test_a_photo_is_given_out_through_its_own_boat_alone(sloop: TestClient) -> None:
    add(sloop)
    sha = document(sloop)["photos"][0]["sha"]

    assert sloop.get(f"/boats/sloop/photo-files/{sha}").status_code == 200
    assert sloop.get(f"/boats/trawler/photo-files/{sha}").status_code == 404
    assert sloop.get(f"/boats/sloop/photo-files/{'0' * 64}").status_code == 404
    assert sloop.get("/boats/sloop/photo-files/short").status_code == 422


def test_the_photos_of_a_boat_are_limited_in_all(sloop: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    add(sloop, jpeg(colour="blue"))
    size = len(sloop.get(f"/boats/sloop/photo-files/{document(sloop)['photos'][0]['sha']}").content)
    monkeypatch.setattr("server.actions.photos.MOST_BOAT_BYTES", size + 1)
    form = form_with(sloop.get(PAGE).text, "photo-in")
    answer = sloop.post(form.action, data=form.fields, files={"file": ("a.jpg", jpeg(), "image/jpeg")})

    assert answer.status_code == 422
    assert "in all" in words(element(answer.text, "photo-file-error"))
    assert len(document(sloop)["photos"]) == 1


def test_photos_of_one_part_are_shown_apart(sloop: TestClient) -> None:
    add(sloop, subject="Autopilot", caption="Pilot")
    add(sloop, caption="Elsewhere")
    page = sloop.get(PAGE, params={"of": "autopilot"}).text

    assert "1 photo of Autopilot" in words(element(page, "photos-title"))
    assert "Elsewhere" not in words(element(page, "photo-grid"))
    assert form_with(page, "photo-in").fields["subject"] == "Autopilot"
    assert "2 photos" in words(element(sloop.get(PAGE).text, "photos-title"))
    link = element(sloop.get("/boats/sloop/lists").text, "photos-autopilot")
    assert words(link) == "1 photo"
    card = sloop.get("/boats/sloop", params={"selected": "autopilot"}).text
    assert words(element(card, "thing-photos")) == "1 photo"
    card = sloop.get("/boats/sloop", params={"selected": "vhf"}).text
    assert words(element(card, "thing-photos")) == "Put a photo on"
    assert f'href="{PAGE}?of=autopilot"' in link
    assert f'href="{PAGE}?of=autopilot"' in sloop.get("/boats/sloop/ticked?ticked=autopilot").text


@pytest.mark.parametrize(
    ("said", "body", "where", "why"),
    [
        ({}, b"no picture", "photo-file-error", "no JPEG, PNG or WebP"),
        ({}, b"", "photo-file-error", "choose one first"),
        ({"subject": "Nothing aboard"}, jpeg(), "photo-subject-error", "Choose a part or cable"),
        ({"caption": "x" * 121}, jpeg(), "photo-caption-error", "120 characters"),
        ({"taken": "yesterday"}, jpeg(), "photo-taken-error", "Enter a day"),
        ({"request_id": "short"}, jpeg(), "photo-file-error", "Load the page again"),
    ],
)
def test_what_is_wrong_with_a_photo_is_asked_again_and_what_waited_on_a_tablet_loses_no_words(
    sloop: TestClient, said: dict[str, str], body: bytes, where: str, why: str
) -> None:
    form = form_with(sloop.get(PAGE).text, "photo-in")
    fields = form.fields | {"caption": "Kept words"} | said
    answer = sloop.post(form.action, data=fields, files={"file": ("a.jpg", body, "image/jpeg")})
    waiting = sloop.post(
        form.action,
        data=fields,
        files={"file": ("a.jpg", body, "image/jpeg")},
        headers={"Accept": "application/json"},
    )

    assert answer.status_code == 422
    assert why in words(element(answer.text, where))
    assert form_with(answer.text, "photo-in").fields["caption"] == fields["caption"]
    if "subject" in said:
        (photo,) = document(sloop)["photos"]
        assert (waiting.status_code, photo["caption"]) == (201, "Nothing aboard, Kept words")
    else:
        assert waiting.status_code == 422
        assert why in waiting.json()["message"]
        assert "photos" not in document(sloop)


def test_what_waited_on_a_tablet_is_put_on_once_however_often_and_late_it_is_sent(sloop: TestClient) -> None:
    """Somebody else edited meanwhile, and the first answer was lost on its way."""
    form = form_with(sloop.get(PAGE).text, "photo-in")
    add(sloop, caption="Another")

    def sent() -> dict[str, str]:
        answer = sloop.post(
            form.action,
            data=form.fields,
            files={"file": ("a.jpg", jpeg(), "image/jpeg")},
            headers={"Accept": "application/json"},
        )
        assert answer.status_code == 201
        found: dict[str, str] = answer.json()
        return found

    first = sent()
    assert sent() == first
    send(sloop, PAGE, "photos-undo")
    assert sent() == first
    assert [photo["caption"] for photo in document(sloop)["photos"]] == ["Another"]


@pytest.mark.parametrize(("times", "status", "kept"), [(2, 303, 1), (99, 409, 0)])
def test_a_photo_that_meets_an_edit_in_the_same_moment_is_put_on_after_it(
    sloop: TestClient, monkeypatch: pytest.MonkeyPatch, times: int, status: int, kept: int
) -> None:
    store = sloop.app.state.yard.store  # type: ignore[attr-defined]
    append, met = store.append, list[int]()

    def meeting(boat_id: str, base_rev: int, **given: object) -> object:
        if len(met) < times:
            met.append(base_rev)
            raise StaleError(store.head(boat_id), ())
        return append(boat_id, base_rev, **given)

    form = form_with(sloop.get(PAGE).text, "photo-in")
    monkeypatch.setattr(store, "append", meeting)
    answer = sloop.post(form.action, data=form.fields, files={"file": ("a.jpg", jpeg(), "image/jpeg")})

    assert answer.status_code == status
    assert len(met) == min(times, MOST_TRIES)
    assert len(document(sloop).get("photos", [])) == kept


def test_a_photo_is_described_anew_and_that_is_undone(sloop: TestClient) -> None:
    url = add(sloop, caption="First words")
    page = send(
        sloop, url, "photo-keep", subject="Main negative bus", caption="Other words", taken="2031-06-01"
    )
    wrong = send(sloop, url, "photo-keep", status=422, subject="Nothing aboard", caption="Typed")

    assert "Other words" in words(element(page, "photo-title"))
    assert element(wrong, "photo-subject-error")
    assert 'value="Typed"' in wrong
    assert 'title="Photo “Other words” described"' in page
    assert "First words" in words(element(send(sloop, url, "photo-undo"), "photo-title"))
    bare = add(sloop)
    assert 'title="A photo described"' in send(sloop, bare, "photo-keep", taken="2031-06-01")


def test_a_pin_is_put_on_a_terminal_moved_and_taken_off(sloop: TestClient) -> None:
    url = add(sloop)
    page = send(sloop, url, "pin-new-set", what=STUD.upper(), x="25", y="50.5", tag="two lugs")
    (pin,) = document(sloop)["photos"][0]["pins"]

    assert "Pin 1 is on." in words(element(page, "photo-told"))
    assert 'data-pin="pin-1" transform="translate(100.0 151.5)"' in page
    assert pin["terminal"]["terminal"] == "stud-1"
    assert (pin["x"], pin["y"], pin["tag"]) == (0.25, 0.505, "two lugs")
    send(sloop, url, "pin-1-set", x="0", y="100")
    assert document(sloop)["photos"][0]["pins"][0]["x"] == 0
    send(sloop, url, "pin-1-off")
    assert document(sloop)["photos"][0]["pins"] == []


def test_a_pin_on_a_cable_and_one_that_is_only_read(sloop: TestClient) -> None:
    url = add(sloop)
    page = sloop.get(url).text
    cable = next(line for line in element(page, "photo-places").split('value="') if line.startswith("Cable"))
    send(sloop, url, "pin-new-set", what=cable.split('"')[0], x="1", y="1")
    after = send(sloop, url, "pin-new-set", tag="blue 16 mm², to ?", x="2", y="2")
    first, second = document(sloop)["photos"][0]["pins"]

    assert "conductor" in first
    assert second == {"number": 2, "x": 0.02, "y": 0.02, "tag": "blue 16 mm², to ?"}
    assert "Pin 2 blue 16 mm², to ?" in words(element(after, "pin-2-part"))
    assert 'id="pin-1-conductor"' not in after
    assert 'id="pin-2-conductor"' in after


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"what": "Nowhere"}, "what"),
        ({"x": ""}, "x"),
        ({"y": "101"}, "y"),
        ({"y": "-101"}, "y"),
        ({"tag": "x" * 121}, "tag"),
        ({"tag": "two\x07lugs"}, "tag"),
    ],
)
def test_what_is_wrong_with_a_pin_stands_beside_its_field(
    sloop: TestClient, typed: dict[str, str], field: str
) -> None:
    url = add(sloop)
    page = send(sloop, url, "pin-new-set", status=422, **({"x": "5", "y": "5", "tag": "seen"} | typed))

    assert element(page, f"pin-new-{field}-error")
    assert form_with(page, "pin-new-set").fields["x"] == typed.get("x", "5")
    assert document(sloop)["photos"][0]["pins"] == []


def test_a_pin_that_is_gone_is_told(sloop: TestClient) -> None:
    url = add(sloop)
    form = form_with(sloop.get(url).text, "pin-new-set")
    for below in ("pin", "pin-off", "conductor"):
        answer = sloop.post(f"{url}/{below}", data=form.fields | {"number": "7", "x": "1", "y": "1"})
        assert answer.status_code == 422
        assert "pin 7" in answer.text
    assert sloop.get(f"{PAGE}/photo-nowhere").status_code == 422


def test_a_loose_conductor_is_made_of_a_pin_and_the_pin_shows_it(sloop: TestClient) -> None:
    url = add(sloop, caption="Panel")
    before = document(sloop)
    send(sloop, url, "pin-new-set", what=STUD, tag="blue 16 mm²", x="1", y="1")
    send(sloop, url, "pin-new-set", x="9", y="9")
    send(sloop, url, "pin-1-conductor")
    page = send(sloop, url, "pin-2-conductor")
    boat = document(sloop)
    known, loose = boat["conductors"][-2:]

    assert len(boat["cables"]) == len(before["cables"]) + 2
    assert (known["name"], known["tail"]["terminal"], "head" in known) == ("blue 16 mm²", "stud-1", False)
    assert known["size"]["label"] == "16 mm²"
    assert "size" not in loose
    assert loose["name"] == "Pin 2 of the photo “Panel”"
    assert "tail" not in loose
    assert [pin["conductor"] for pin in boat["photos"][0]["pins"]] == [known["id"], loose["id"]]
    assert "loose end" in words(element(page, "pin-1-part"))
    assert "loose end" in words(sloop.get("/boats/sloop/lists").text)
    again = sloop.post(
        f"{url}/conductor", data=form_with(page, "pin-new-set").fields | {"number": "1"}, headers=HTMX
    )
    assert "a conductor already" in again.text


@pytest.mark.parametrize(
    ("tag", "size"),
    [("to the windlass, 2/0 awg", "2/0 AWG"), ("1,5mm2 grey", "1.5 mm²"), ("17 mm²", None), ("16", None)],
)
def test_the_size_read_off_a_cable_goes_into_its_row(sloop: TestClient, tag: str, size: str | None) -> None:
    url = add(sloop)
    send(sloop, url, "pin-new-set", tag=tag, x="1", y="1")
    send(sloop, url, "pin-1-conductor")

    assert document(sloop)["conductors"][-1].get("size", {}).get("label") == size


def test_a_photo_taken_off_stays_in_the_history(sloop: TestClient) -> None:
    url = add(sloop)
    sha = document(sloop)["photos"][0]["sha"]
    form = form_with(sloop.get(url).text, "photo-remove")
    assert sloop.post(form.action, data=form.fields).headers["location"] == PAGE

    assert "photos" not in document(sloop)
    assert sloop.get(f"/boats/sloop/photo-files/{sha}").status_code == 404
    page = send(sloop, PAGE, "photos-undo")
    assert "1 photo" in words(element(page, "photos-title"))
    assert sloop.get(f"/boats/sloop/photo-files/{sha}").status_code == 200


def test_undoing_the_photo_itself_leads_back_to_all_of_them(sloop: TestClient) -> None:
    plain, nice = add(sloop), add(sloop)
    form = form_with(sloop.get(nice).text, "photo-undo")
    assert sloop.post(form.action, data=form.fields, headers=HTMX).headers["HX-Redirect"] == PAGE
    form = form_with(sloop.get(plain).text, "photo-undo")
    assert sloop.post(form.action, data=form.fields).headers["location"] == PAGE
    assert "photos" not in document(sloop)


def test_an_edit_made_meanwhile_is_shown_before_a_pin_is_put_on_top(sloop: TestClient) -> None:
    url = add(sloop)
    form = form_with(sloop.get(url).text, "pin-new-set")
    send(sloop, url, "photo-keep", caption="Meanwhile")
    answer = sloop.post(form.action, data=form.fields | {"x": "5", "y": "5"}, headers=HTMX)

    assert answer.status_code == 409
    assert "Photo “Meanwhile” described" in words(answer.text)
    again = form_with(answer.text, "apply-on-top")
    assert sloop.post(again.action, data=again.fields, headers=HTMX).status_code == 200
    assert len(document(sloop)["photos"][0]["pins"]) == 1


def boat_file(client: TestClient, boat: str = "sloop") -> bytes:
    answer = client.get(f"/boats/{boat}/export-photos")
    assert answer.headers["content-type"] == "application/zip"
    assert ".boat.zip" in answer.headers["content-disposition"]
    return answer.content


def take_in(client: TestClient, body: bytes, address: str = "/boats/import-photos") -> tuple[int, str]:
    """Take a file in; the status, and the new boat's id or what was said."""
    answer = client.post(
        address, data={"request_id": "take-in-1"}, files={"file": ("boat.zip", body, "application/zip")}
    )
    return answer.status_code, answer.headers.get("location", words(answer.text)).removeprefix("/boats/")


def test_a_boat_comes_back_whole_with_its_photos_on_another_machine(
    sloop: TestClient, client: TestClient
) -> None:
    for colour in ("blue", "orange"):
        add(sloop, jpeg(colour=colour), caption=colour)
    saved = boat_file(sloop)
    status, boat = take_in(client, saved)

    assert status == 303
    assert document(client, boat) == document(sloop)
    assert boat_file(client, boat) == saved
    for photo in document(client, boat)["photos"]:
        picture = client.get(f"/boats/{boat}/photo-files/{photo['sha']}").content
        assert hashlib.sha256(picture).hexdigest() == photo["sha"]


def test_a_file_without_photos_says_which_are_not_here(sloop: TestClient, client: TestClient) -> None:
    add(sloop, caption="Panel")
    alone = sloop.get("/boats/sloop/export").content
    status, boat = take_in(client, alone, "/boats/import")
    photo = document(client, boat)["photos"][0]

    assert status == 303
    assert "1 photo of this boat is not on this machine" in client.get(f"/boats/{boat}/photos").text
    assert "not on this machine" in words(
        element(client.get(f"/boats/{boat}/photos/{photo['id']}").text, "photo")
    )
    assert client.get(f"/boats/{boat}/photo-files/{photo['sha']}").status_code == 404
    with zipfile.ZipFile(BytesIO(boat_file(client, boat))) as whole:
        assert whole.namelist() == ["boat.json"]


def changed(saved: bytes, **files: bytes) -> bytes:
    """The same zip file with other contents; a key stands for ``boat.json`` or for the photo."""
    out = BytesIO()
    with zipfile.ZipFile(BytesIO(saved)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, files.get("photo" if name.startswith("photos/") else "boat", old.read(name)))
    return out.getvalue()


def test_a_broken_file_with_photos_is_refused_with_its_place_and_nothing_is_kept(
    sloop: TestClient, client: TestClient
) -> None:
    add(sloop)
    saved = boat_file(sloop)
    photo = document(sloop)["photos"][0]["sha"]
    empty = BytesIO()
    zipfile.ZipFile(empty, "w").close()
    for body, said in (
        (b"no zip", "no zip file"),
        (saved[:-30], "no zip file"),
        (saved.replace(b"JFIF", b"JFXX", 1), "no zip file"),
        (empty.getvalue(), "no boat.json"),
        (changed(saved, boat=b"{}"), "format"),
        (changed(saved, boat=b" " * 2_000_001), "more than 2,000,000 bytes"),
        (changed(saved, photo=jpeg((400, 300), "red")), "this photo is not the one its name says"),
        (changed(saved, photo=b"no picture"), "no JPEG, PNG or WebP"),
        (changed(saved, photo=jpeg((1700, 300))), "not written by Tapchart"),
    ):
        status, told = take_in(client, body)
        assert (status, said in told) == (422, True), (said, told)
    assert client.post("/boats/import-photos", data={"request_id": "take-in-2"}).status_code == 422
    store = client.app.state.yard.store  # type: ignore[attr-defined]
    assert store.boats() == ()
    assert store.photos_there(frozenset({photo})) == frozenset()
