"""The commands ``check`` and ``schema``: what they print, and with which status they end."""

import json
from pathlib import Path

import pytest

from server.actions.answer_document import AnswerDocument
from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.acceptance import Acceptance
from server.bundled import bundled
from server.cli import main
from tests.checks.small import move, read, small
from tests.checks.test_banks import changeover
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


def test_what_a_surveyor_accepted_is_told_apart_and_does_not_count(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    body = small()
    move(body, "c5", "head", "house/negative")
    open_file, accepted_file = tmp_path / "open.json", tmp_path / "accepted.json"
    open_file.write_text(json.dumps(body), encoding="utf-8")
    accepted = []
    for one in all_findings(Results(), "small", read(body)):
        shared = {name: getattr(one, name) for name in ("code", "subjects", "mode", "event", "severity")}
        accepted.append(Acceptance(**shared, figure=one.figure, by="A. Surveyor", reason="Seldom on."))
    body["accepted"] = [json.loads(one.model_dump_json(exclude_none=True)) for one in accepted]
    accepted_file.write_text(json.dumps(body), encoding="utf-8")

    assert main(["check", str(open_file)]) == 1
    capsys.readouterr()
    assert main(["check", str(accepted_file)]) == 0
    said = capsys.readouterr().out
    assert "Findings (0)" in said
    assert f"Accepted ({len(accepted)})" in said
    assert "accepted by A. Surveyor: Seldom on." in said


def test_a_mend_by_hand_is_told_step_by_step(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    boat = tmp_path / "changeover.json"
    boat.write_text(json.dumps(changeover("break-before-make")))
    main(["check", str(boat)])
    told = capsys.readouterr().out

    assert "mend: Turn the changeover with the engine stopped alone\n        1. Stop the engine\n" in told
    assert "        2. Changeover: 1 → 2\n" in told
