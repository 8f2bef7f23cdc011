"""Many cables at once: rows in any order and with any separator, errors beside their rows, nothing lost."""

import json

import pytest
from fastapi.testclient import TestClient

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

    assert status == (422 if "more than" in told else 200)
    assert told in words(element(page, "rows-wrong"))
    assert not bench.document()["conductors"]


def test_a_fuse_without_a_terminal_and_an_end_twice_are_wrong(bench: Bench) -> None:
    _, page = sent(bench, "1,,Bus: stud 1,10 AWG,1,10\n2,Bus: stud 1,Bus: stud 1,10 AWG,1")
    assert "A fuse needs a terminal" in words(element(page, "row-1"))
    assert "another terminal" in words(element(page, "row-2"))
    assert 'id="rows-in"' not in page


def test_what_the_boat_refuses_is_told_beside_its_row(bench: Bench) -> None:
    _, page = sent(bench, "1,under the floor,Bus: stud 1,10 AWG,1,10\n2,Bus: stud 2,,10 AWG,1")

    assert "field-error" in element(page, "row-1")
    assert "Put 1 in" in words(element(page, "rows-in"))
