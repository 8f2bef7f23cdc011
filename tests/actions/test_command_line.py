"""The commands ``check`` and ``schema``: what they print, and with which status they end."""

import json
from pathlib import Path

import pytest

from server.actions.answer_document import AnswerDocument
from server.bundled import bundled
from server.cli import main
from tests.checks.small import small
from tests.practice.test_office import HEAD

SLOOP = str(bundled("seed_boats") / "1-sloop.json")
OUTBOARD = str(bundled("seed_boats") / "4-outboard.json")


@pytest.mark.parametrize(("files", "status"), [([OUTBOARD], 0), ([SLOOP], 1), ([OUTBOARD, SLOOP], 1)])
def test_the_status_says_whether_anything_was_found(files: list[str], status: int) -> None:
    assert main(["check", *files]) == status


def test_json_is_one_object_a_file_by_the_published_schema(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "--json", OUTBOARD, SLOOP])
    lines = capsys.readouterr().out.splitlines()
    documents = [AnswerDocument.model_validate_json(line) for line in lines]

    assert [document.boat[:5] for document in documents] == ["Dippe", "Marsh"]
    assert json.loads(lines[0])["format"] == "tapchart.answer"


def test_an_unusable_file_names_place_and_mend_on_stderr(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.json"
    bad.write_text('{"format": "tapchart.boat", "version": 1, "name": "x", "nominal_voltage_v": "12"}')

    assert main(["check", OUTBOARD, str(bad), str(tmp_path / "none.json")]) == 2
    said = capsys.readouterr().err
    assert "nominal_voltage_v" in said
    assert "none.json: cannot be read" in said


@pytest.mark.parametrize("which", ["boat", "answer"])
def test_a_schema_is_printed(which: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", which]) == 0
    assert json.loads(capsys.readouterr().out)["$id"] == f"tapchart.{which}/1"


def test_conductors_are_judged_by_an_offices_own_table_from_a_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Metric practice has no table that could be shipped; the figures of this one are made up."""
    body = small() | {"practice": {"profile": "iso-metric"}}
    boat, table = tmp_path / "boat.json", tmp_path / "table.csv"
    boat.write_text(json.dumps(body), encoding="utf-8")
    table.write_text(HEAD + "size; 105\n10 AWG; 1\n", encoding="utf-8")
    main(["check", str(boat)])
    without = capsys.readouterr().out
    main(["check", "--ampacity", str(table), str(boat)])
    having = capsys.readouterr().out

    assert "table not shipped" in without
    assert "table not shipped" not in having
    assert "office's own table, Made-up standard, edition 2099" in having


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"size; 70\n6; x\n", "row 2: "),
        (b"\xff\xfe\x00\x81", "is no text. Save the table as CSV in UTF-8."),
        (None, "cannot be read"),
    ],
)
def test_a_table_that_cannot_be_used_is_told_row_by_row(
    content: bytes | None, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "table.csv"
    if content is not None:
        table.write_bytes(content)

    assert main(["check", "--ampacity", str(table), OUTBOARD]) == 2
    assert said in capsys.readouterr().err
