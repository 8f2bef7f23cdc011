"""The page of all boats: cards, duplicating, renaming, deleting and undoing it, export and import."""

import json
import re

import pytest
from fastapi.testclient import TestClient

from server.bundled import bundled
from tests.web.reading import element, form_with, ids, words

HTMX = {"HX-Request": "true"}
SLOOP = (bundled("seed_boats") / "1-sloop.json").read_bytes()


def send(client: TestClient, body: bytes, name: str = "boat.json") -> tuple[int, str, str]:
    """Import a file; status, page and where it leads."""
    answer = client.post("/boats/import", files={"file": (name, body, "application/json")})
    return answer.status_code, answer.text, answer.headers.get("location", "")


def test_an_empty_folder_says_so_and_offers_the_demo_boats(client: TestClient) -> None:
    page = client.get("/boats").text
    form = form_with(page, "demo-add")
    put_in = client.post(form.action, data=form.fields)

    assert "No boat is here yet" in words(page)
    assert client.get(put_in.headers["location"]).headers["location"] == "/boats/sloop"
    assert "card-sloop" in ids(client.get("/boats").text)


def test_putting_the_demo_boats_in_twice_changes_nothing(sloop: TestClient) -> None:
    before = ids(sloop.get("/boats").text)
    sloop.post("/boats/demo")

    assert [one for one in ids(sloop.get("/boats").text) if one.startswith("card-")] == [
        one for one in before if one.startswith("card-")
    ]


def test_a_card_comes_at_once_and_asks_for_its_findings_later(sloop: TestClient) -> None:
    waiting = element(sloop.get("/boats").text, "card-outboard")
    answered = sloop.get("/boats/outboard/card", headers=HTMX).text
    kept = element(sloop.get("/boats").text, "card-outboard")

    assert 'hx-get="/boats/outboard/card"' in waiting
    assert "Working out" in words(waiting)
    assert "<svg" in answered
    assert "hx-trigger" not in re.findall(r"<li[^>]*>", kept)[0]
    assert re.search(r"\d (danger|fault|advice)|No finding", words(kept))


def test_exporting_and_importing_again_gives_the_same_bytes(sloop: TestClient) -> None:
    exported = sloop.get("/boats/sloop/export")
    _, _, location = send(sloop, exported.content)
    again = sloop.get(f"{location}/export")
    _, _, third = send(sloop, again.content)

    assert exported.content == SLOOP
    assert json.loads(again.content) == json.loads(exported.content) or again.content == exported.content
    assert sloop.get(f"{third}/export").content == again.content
    assert "attachment" in exported.headers["content-disposition"]


@pytest.mark.parametrize(
    ("body", "place"),
    [
        (
            SLOOP.replace(b'"nominal_voltage_v": 12.0', b'"nominal_voltage_v": "twelve"', 1),
            "nominal_voltage_v",
        ),
        (SLOOP.replace(b'"length_m": 10.2', b'"colour": "blue"', 1), "colour"),
        (b"{", "line 1"),
        (b"", "line 1"),
        (b"[]", "document"),
        (b"\xff\xfe{}", "byte 0"),
        (b'{"format": "tapchart.boat", "version": 1, "name": "a\\u0000b", "nominal_voltage_v": 12}', "name"),
        (
            b'{"format": "tapchart.boat", "version": 1, "name": "\\ud800", "nominal_voltage_v": 12}',
            "document",
        ),
        (
            b'{"format": "tapchart.boat", "version": 1, "name": "a", "nominal_voltage_v": NaN}',
            "nominal_voltage_v",
        ),
        (
            b'{"format": "tapchart.boat", "version": 1, "name": "a", "nominal_voltage_v": 1'
            + b"0" * 5000
            + b"}",
            "",
        ),
        (b"[" * 100_000, "document"),
        (
            b'{"format": "tapchart.boat", "version": 1, "name": "a", "nominal_voltage_v": true}',
            "nominal_voltage_v",
        ),
    ],
)
def test_a_file_that_is_no_boat_is_refused_with_the_place_and_nothing_is_lost(
    client: TestClient, body: bytes, place: str
) -> None:
    status, page, _ = send(client, body, "mine.json")

    assert status == 422
    problems = element(page, "import-problems")
    assert "“mine.json” was not taken in" in words(problems)
    assert place in problems
    assert len(problems) < 4_000
    assert "card-" not in page


def test_a_boat_with_a_dangling_end_is_refused_with_the_path(client: TestClient) -> None:
    boat = json.loads(SLOOP)
    boat["conductors"][3]["head"] = {"part": "ghost", "terminal": "stud-1"}
    _, page, _ = send(client, json.dumps(boat).encode())

    assert "conductors[3].head.part" in page


def test_too_many_parts_are_refused_in_words(client: TestClient) -> None:
    boat = json.loads(SLOOP)
    boat["parts"] += [{"kind": "post", "id": f"p{n}", "name": f"Post {n}"} for n in range(2_000)]
    status, page, _ = send(client, json.dumps(boat).encode())

    assert status == 422
    assert "2000" in words(page) or "2,000" in words(page)


def test_an_import_without_a_file_says_what_to_do(client: TestClient) -> None:
    answer = client.post("/boats/import", data={"request_id": "a" * 32})

    assert answer.status_code == 422
    assert "Choose a boat file" in words(answer.text)


def test_more_than_two_megabytes_are_not_taken(client: TestClient) -> None:
    status, page, _ = send(client, b" " * 2_100_000)

    assert status == 413
    assert len(page) < 4_000


def test_a_boat_named_like_markup_stays_text(client: TestClient) -> None:
    boat = json.loads(SLOOP)
    boat["name"] = "</text><script>alert(1)</script>"
    boat["parts"][-1]["name"] = "</svg><b>bold"
    _, _, location = send(client, json.dumps(boat).encode())
    client.get(f"{location}/card")

    for address in (location, "/boats", f"{location}/lists", f"{location}/findings"):
        page = client.get(address).text
        assert "<script>alert" not in page
        assert "<b>bold" not in page


def test_duplicating_keeps_the_bytes_and_takes_another_name(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats").text, "duplicate-sloop")
    answer = sloop.post(form.action, data=form.fields)
    copy = answer.headers["location"].partition("#card-")[2]

    assert sloop.get(f"/boats/{copy}/export").content == SLOOP
    assert "Marsh Wren, sloop of 10 m, copy" in words(element(sloop.get("/boats").text, f"card-{copy}"))


def test_renaming_shows_everywhere(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats").text, "rename-set-sloop")
    sloop.post(form.action, data=form.fields | {"name": "  Grey Heron "})

    assert "Grey Heron" in words(element(sloop.get("/boats").text, "card-sloop"))
    assert json.loads(sloop.get("/boats/sloop/export").content)["name"] == "Grey Heron"


@pytest.mark.parametrize("typed", ["", "   ", "x" * 121, "a\x00b"])
def test_a_name_that_cannot_be_is_kept_and_explained(sloop: TestClient, typed: str) -> None:
    form = form_with(sloop.get("/boats").text, "rename-set-sloop")
    answer = sloop.post(form.action, data=form.fields | {"name": typed})

    assert answer.status_code == 422
    assert "Enter a name" in words(element(answer.text, "rename-error-sloop"))


def test_a_stale_renaming_is_a_conflict_not_a_loss(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats").text, "rename-set-sloop")
    sloop.post(form.action, data=form.fields | {"name": "One", "request_id": "a" * 32})
    stale = sloop.post(form.action, data=form.fields | {"name": "Two"})
    on_top = form_with(stale.text, "apply-on-top")
    sloop.post(on_top.action, data=on_top.fields)

    assert stale.status_code == 409
    assert "Two" in words(element(sloop.get("/boats").text, "card-sloop"))


def test_deleting_can_be_undone(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats").text, "delete-sloop")
    gone = sloop.get(sloop.post(form.action, data=form.fields).headers["location"]).text
    missing = sloop.get("/boats/sloop")
    undo = form_with(gone, "undo-delete")
    sloop.post(undo.action, data=undo.fields)

    assert "card-sloop" not in ids(gone)
    assert missing.status_code == 404
    assert sloop.get("/boats/sloop").status_code == 200


def test_a_boat_deleted_before_can_be_brought_back(sloop: TestClient) -> None:
    form = form_with(sloop.get("/boats").text, "delete-sloop")
    sloop.post(form.action, data=form.fields)
    back = form_with(sloop.get("/boats").text, "restore-sloop")
    sloop.post(back.action, data=back.fields)

    assert "card-sloop" in ids(sloop.get("/boats").text)


def test_the_cable_list_is_enough_to_wire_the_boat_again(sloop: TestClient) -> None:
    """Every conductor with both ends, size, length, colour and number, from the page alone."""
    boat = json.loads(SLOOP)
    page = sloop.get("/boats/sloop/lists").text
    parts = {part["id"]: part["name"] for part in boat["parts"]}
    numbers = {cable["id"]: cable.get("number") for cable in boat["cables"]}

    for conductor in boat["conductors"]:
        row = words(element(page, f"cable-{conductor['id']}"))
        for end in ("tail", "head"):
            where = parts[conductor[end]["part"]] if conductor.get(end) else "loose end"
            assert where in row
        if conductor["kind"] == "wire":
            assert conductor["size"]["label"] in row
            assert f"{conductor['length_m']:.2f} m" in row
            assert conductor["colour"] in row
        if conductor.get("cable") and numbers[conductor["cable"]]:
            assert row.startswith(f"Tick cable {numbers[conductor['cable']]} ")


def test_the_words_for_an_end_mean_one_terminal_and_no_other(bystander: TestClient) -> None:
    """Who wires the boat by the page alone finds every terminal: one terminal, one wording."""
    page = bystander.get("/boats/sloop/lists").text
    found: set[tuple[str, str, str]] = set()
    for conductor in json.loads(SLOOP)["conductors"]:
        cells = re.findall(r"<td>([^<]*)</td>", element(page, f"cable-{conductor['id']}"))
        for end, told in zip(("tail", "head"), cells, strict=False):
            if conductor.get(end):
                found.add((conductor[end]["part"], conductor[end]["terminal"], told))

    assert (
        len({told for *_, told in found})
        == len({(part, terminal) for part, terminal, _ in found})
        == len(found)
    )


def test_the_list_says_of_which_state_it_speaks_and_how_much_to_buy(bystander: TestClient) -> None:
    """The metres of each size are those of the document, summed by hand here."""
    page = bystander.get("/boats/sloop/lists").text
    wires = [one for one in json.loads(SLOOP)["conductors"] if one["kind"] == "wire"]
    thick = [one["length_m"] for one in wires if one["size"]["label"] == "2/0 AWG"]

    assert re.search(r"Marsh Wren, sloop of 10 m, revision 1 of \d{4}-\d\d-\d\d", words(page))
    assert f"2/0 AWG {sum(thick):.1f} m {len(thick)} conductors" in words(element(page, "size-list"))


def test_the_part_list_names_every_part(sloop: TestClient) -> None:
    page = sloop.get("/boats/sloop/lists").text

    for part in json.loads(SLOOP)["parts"]:
        assert part["name"] in words(element(page, f"part-{part['id']}"))


def test_a_card_counts_what_was_let_stand_as_the_boats_own_pages_do(sloop: TestClient) -> None:
    finding = "uncounted-fridge-supply-any-steady"
    opened = sloop.get("/boats/sloop/findings/one", params={"finding": finding}).text
    form = form_with(opened, f"accept-{finding}-button")
    done = sloop.post(form.action, data=form.fields | {"by": "A. Surveyor", "reason": "Its own meter."})
    there = done.headers["location"].split("?")[0].removesuffix("/findings/one").removesuffix("/findings")
    title = words(element(sloop.get(f"{there}/findings").text, "findings-title")).removeprefix("Findings: ")

    assert title.endswith(", 1 accepted")
    assert title in words(sloop.get(f"{there}/card", headers=HTMX).text)
