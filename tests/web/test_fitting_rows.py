"""Many cables at once: rows in any order and with any separator, errors beside their rows, nothing lost."""

import json
from html import unescape

import pytest
from fastapi.testclient import TestClient

from tests.actions.broken_imports import workbook
from tests.web.reading import element, form_with, words
from tests.web.test_fitting import Bench

ROWS = """No\tFrom\tTo\tSize\tLength\tFuse
1\tBattery: positive\tBus: next free stud\t2 AWG\t0,5\t200
2\tBattery: negative\tbehind the tank\t2 AWG\t\t
3\tBattery: positive\tBus: next free stud\tthick\t1\t
4\tBus: next free stud\t\t10 AWG\t2.5\t
"""


@pytest.fixture
def bench(client: TestClient) -> Bench:
    """A boat with a battery and a bus."""
    bench = Bench(client)
    bench.part("battery", "Battery")
    bench.part("busbar", "Bus", studs="4")
    return bench


def sent(bench: Bench, text: str, go: str = "read") -> tuple[int, str]:
    """Send rows; status and page."""
    form = form_with(bench.client.get(f"{bench.url}/rows").text, "rows-read")
    answer = bench.client.post(form.action, data=form.fields | {"text": text, "go": go})
    return answer.status_code, answer.text


def test_rows_are_shown_as_they_are_read_before_anything_is_put_in(bench: Bench) -> None:
    status, page = sent(bench, ROWS)

    assert status == 200
    assert "Put 3 in" in words(element(page, "rows-in"))
    assert "no conductor size" in words(element(page, "row-4")).casefold()
    assert "loose end with this note" in words(element(page, "row-3"))
    assert not bench.document()["conductors"]


def test_a_number_that_is_there_already_is_told_beside_its_row(bench: Bench) -> None:
    sent(bench, "7\tBattery: positive", "in")
    _, page = sent(bench, "7\tBattery: negative\t\n8\tBattery: negative\t\n")

    assert "A cable 7 is there already" in words(element(page, "row-1"))
    assert "there already" not in words(element(page, "row-2"))


def test_rows_of_one_number_are_the_cores_of_one_cable(bench: Bench) -> None:
    rows = "7\tBattery: positive\tBus: stud 1\n7\tBattery: negative\tBus: stud 2\n8\n"
    _, page = sent(bench, rows)
    sent(bench, rows, "in")
    cables = {one["number"]: one for one in bench.document()["cables"]}

    assert "one more core of cable 7" in words(element(page, "row-2"))
    assert {number: one["cores"] for number, one in cables.items()} == {"7": 2, "8": 1}
    assert cables["7"]["construction"] == "twin"


def test_the_good_rows_are_put_in_as_one_change_and_the_others_stay_to_be_mended(bench: Bench) -> None:
    _, page = sent(bench, ROWS, "in")
    document = bench.document()
    wires = [one for one in document["conductors"] if one["kind"] == "wire"]

    assert words(element(page, "rows-told")) == "Put in 3 cables: done."
    assert "thick" in element(page, "rows-text")
    assert "behind the tank" not in element(page, "rows-text")
    assert [one["number"] for one in document["cables"]] == ["1", "2", "4"]
    assert any(one.get("notes") == "To: behind the tank" for one in wires)
    studs = [one["head"] for one in wires if "head" in one] + [one["tail"] for one in wires if "tail" in one]
    assert {"part": document["parts"][1]["id"], "terminal": "stud-2"} in studs
    bench.press("fit-undo")
    assert not bench.document()["conductors"]


@pytest.mark.parametrize(
    "text",
    [
        "7;Battery: positive;Bus: stud 1;10 AWG;3,5",
        "7,Battery: positive,Bus: stud 1,10 AWG,3.5",
        "Size,From,To,Number,Length\n10 AWG,Battery: positive,Bus: stud 1,7,3.5",
        '"7","Battery: positive","Bus: stud 1","10 AWG","3.5 m"',
    ],
)
def test_separators_and_orders_of_columns_are_understood(bench: Bench, text: str) -> None:
    sent(bench, text, "in")
    document = bench.document()
    wire = document["conductors"][0]

    assert document["cables"][0]["number"] == "7"
    assert wire["length_m"] == 3.5
    assert wire["head"] == {"part": document["parts"][1]["id"], "terminal": "stud-1"}


def test_a_formula_is_a_text_like_any_other(bench: Bench) -> None:
    sent(bench, '=HYPERLINK("x"),Battery: positive,=1+1,10 AWG,3', "in")
    exported = json.dumps(bench.document())

    assert "To: =1+1" in exported


@pytest.mark.parametrize(
    ("text", "told"), [("", "no row"), ("\n \n", "no row"), ("1,a\n" * 301, "more than 300 rows")]
)
def test_nothing_and_too_much_are_told(bench: Bench, text: str, told: str) -> None:
    status, page = sent(bench, text, "in")

    assert status == 422
    assert told in words(element(page, "rows-wrong"))
    assert not bench.document()["conductors"]


def test_a_fuse_without_a_terminal_is_kept_and_an_end_twice_is_wrong(bench: Bench) -> None:
    _, page = sent(bench, "1,,Bus: stud 1,10 AWG,1,10\n2,Bus: stud 1,Bus: stud 1,10 AWG,1")
    assert "Fuse: 10 A: in the note" in words(element(page, "row-1"))
    assert "another terminal" in words(element(page, "row-2"))
    assert "Put 1 in" in words(element(page, "rows-in"))


def test_what_the_boat_refuses_is_told_beside_its_row(bench: Bench) -> None:
    _, page = sent(bench, "1,under the floor,Bus: stud 1,10 AWG,1,many\n2,Bus: stud 2,,10 AWG,1")

    assert "field-error" in element(page, "row-1")
    assert "Put 1 in" in words(element(page, "rows-in"))


def sent_file(bench: Bench, body: bytes, name: str = "rows.csv") -> tuple[int, str]:
    """Send a file of rows; status and page."""
    answer = bench.client.post(f"{bench.url}/rows/file", files={"file": (name, body)})
    return answer.status_code, answer.text


@pytest.mark.parametrize(
    "body",
    [
        "Tag;From;To;Size;Length\n7;Battery: positive;Bus: stud 1;10 AWG;3,5\n".encode("utf-8-sig"),
        workbook(
            ("Tag", "From", "To", "Size", "Length"), (7, "Battery: positive", "Bus: stud 1", "10 AWG", 3.5)
        ),
    ],
    ids=["csv", "xlsx"],
)
def test_a_file_is_shown_as_it_is_read_and_put_in_only_then(bench: Bench, body: bytes) -> None:
    status, page = sent_file(bench, body)
    before = bench.document()["conductors"]
    form = form_with(page, "rows-in")
    text = unescape(element(page, "rows-text").split(">", 1)[1].removesuffix("</textarea>"))
    put_in = bench.client.post(form.action, data=form.fields | {"text": text, "go": "in"})

    assert status == 200
    assert "Put 1 in" in words(element(page, "rows-in"))
    assert not before
    assert words(element(put_in.text, "rows-told")) == "Put in 1 cable: done."
    assert bench.document()["conductors"][0]["length_m"] == 3.5


@pytest.mark.parametrize(
    ("body", "told"),
    [
        (b"", "it is empty"),
        (b"1,Battery\xff", "line 1, byte 9: this is not UTF-8."),
        (b"PK\x03\x04", "it is damaged"),
        (b'1,"never closed', "Look for a quotation mark"),
    ],
)
def test_a_broken_file_is_told_with_its_place(bench: Bench, body: bytes, told: str) -> None:
    status, page = sent_file(bench, body)

    assert status == 422
    assert told in words(element(page, "rows-wrong"))


def test_a_form_without_a_file_is_told(bench: Bench) -> None:
    answer = bench.client.post(f"{bench.url}/rows/file", data={})

    assert answer.status_code == 422
    assert "it is empty" in words(answer.text)


@pytest.mark.parametrize("path", ["/boats/import", "/boats/sloop/fitting/rows/file", "/boats/sloop/survey"])
def test_fifty_megabytes_are_refused_before_they_are_read(sloop: TestClient, path: str) -> None:
    answer = sloop.post(path, files={"file": ("boat.json", bytes(50_000_000))})

    assert answer.status_code == 413
    assert len(sloop.app.state.yard.store.boats()) == 5  # type: ignore[attr-defined]


def test_all_cables_are_given_out_as_csv_with_nothing_that_a_spreadsheet_would_run(bench: Bench) -> None:
    sent(bench, "1\tBattery: positive\t=1+1\t10 AWG\t3", "in")
    answer = bench.client.get(bench.url.replace("/fitting", "/rows.csv"))

    assert answer.headers["content-type"].startswith("text/csv")
    assert "heron.cables.csv" in answer.headers["content-disposition"]
    assert answer.text.splitlines()[1] == "1,Battery: positive,'=1+1,10 AWG,3,,,,"


def test_a_wrong_cell_is_marked_and_left_over_rows_keep_their_columns(bench: Bench) -> None:
    _, page = sent(
        bench, "Size\tFrom\tTo\nthick\tBattery: positive\tBus: stud 1\n10 AWG\tBus: stud 2\t", "in"
    )

    assert 'class="cell-wrong">thick' in element(page, "row-2")
    assert unescape(element(page, "rows-text")).splitlines()[1].startswith("Number\tFrom\tTo")
    assert len(bench.document()["conductors"]) == 1
