"""The commands ``check`` and ``schema``: what they print, and with which status they end."""

import json
from pathlib import Path

import pytest

from server.actions.answer_document import AnswerDocument
from server.bundled import bundled
from server.cli import main

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
