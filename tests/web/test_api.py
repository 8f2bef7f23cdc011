"""The JSON interface: revisions as ETags, edits done once, answers by a published schema."""

import json

import pytest
from fastapi.testclient import TestClient

from server.actions.answer_document import AnswerDocument
from server.boat.boat import Boat

EDITS = "/api/boats/sloop/edits"
RENAME = {"kind": "rename", "name": "Grey Heron"}
MOVE = {
    "kind": "move-lead",
    "part": "autopilot",
    "terminal": "negative",
    "to": {"part": "negative-bus", "terminal": "stud-5"},
}


def headers(revision: int = 1, key: str = "key-number-one") -> dict[str, str]:
    return {"If-Match": f'"{revision}"', "Idempotency-Key": key, "Content-Type": "application/json"}


def test_a_boat_comes_with_its_revision_and_not_twice(sloop: TestClient) -> None:
    first = sloop.get("/api/boats/sloop")
    second = sloop.get("/api/boats/sloop", headers={"If-None-Match": first.headers["etag"]})

    assert first.headers["etag"] == '"1"'
    assert Boat.model_validate_json(first.content).name == "Marsh Wren, sloop of 10 m"
    assert (second.status_code, second.content) == (304, b"")


def test_an_edit_makes_a_revision_and_its_retry_makes_none(sloop: TestClient) -> None:
    first = sloop.post(EDITS, headers=headers(), content=json.dumps(RENAME))
    retry = sloop.post(EDITS, headers=headers(), content=json.dumps(RENAME))

    assert first.status_code == 200
    assert first.headers["etag"] == retry.headers["etag"] == '"2"'
    assert sloop.get("/api/boats/sloop").json()["name"] == "Grey Heron"


def test_moving_a_lead_on_the_survey_opens_an_option_here_too(sloop: TestClient) -> None:
    made = sloop.post(EDITS, headers=headers(), content=json.dumps(MOVE)).json()

    assert made["boat"] != "sloop"
    assert sloop.get("/api/boats/sloop").headers["etag"] == '"1"'


def test_the_same_key_with_another_edit_is_refused(sloop: TestClient) -> None:
    sloop.post(EDITS, headers=headers(), content=json.dumps(RENAME))
    other = sloop.post(EDITS, headers=headers(2), content=json.dumps(RENAME | {"name": "Teal"}))

    assert other.status_code == 422
    assert "already used" in other.json()["error"]


def test_a_stale_edit_is_told_what_changed(sloop: TestClient) -> None:
    sloop.post(EDITS, headers=headers(), content=json.dumps(RENAME))
    stale = sloop.post(EDITS, headers=headers(1, "key-number-two"), content=json.dumps(RENAME))

    assert stale.status_code == 409
    assert stale.json()["revision"] == 2
    assert len(stale.json()["changes"]) == 1


@pytest.mark.parametrize("missing", ["If-Match", "Idempotency-Key"])
def test_an_edit_without_its_conditions_is_not_made(sloop: TestClient, missing: str) -> None:
    sent = {name: value for name, value in headers().items() if name != missing}
    answer = sloop.post(EDITS, headers=sent, content=json.dumps(RENAME))

    assert answer.status_code == 428
    assert sloop.get("/api/boats/sloop").headers["etag"] == '"1"'


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 422),
        (b"{", 422),
        (b"[]", 422),
        (b"null", 422),
        (b'{"kind": "paint"}', 422),
        (b'{"kind": "rename"}', 422),
        (b'{"kind": "rename", "name": "\\ud800"}', 422),
        (b'{"kind": "rename", "name": "a\\u0000b"}', 422),
        (b'{"kind": "set-length", "conductor": "c1", "length_m": NaN}', 422),
        (b'{"kind": "set-length", "conductor": "c1", "length_m": "12"}', 422),
        (b'{"kind": "set-length", "conductor": "c1", "length_m": true}', 422),
        (b'{"kind": "set-length", "conductor": "c1", "length_m": 1' + b"0" * 5000 + b"}", 422),
        (b'{"kind": "remove-part", "id": "ghost"}', 422),
        (b'{"kind": "change-value", "field": "parts.0.id", "value": "Q"}', 422),
        (b"[" * 100_000, 422),
        (b'{"kind": "rename", "name": "a", "x": ' + b"[" * 1_100 + b"]" * 1_100 + b"}", 422),
        (b"{" + b",".join(b'"k%d":1' % n for n in range(50_000)) + b"}", 422),
    ],
)
def test_nasty_edits_are_refused_briefly_and_never_our_mistake(
    sloop: TestClient, body: bytes, status: int
) -> None:
    """The inputs that made a plain server answer 500 or megabytes, as measured before building."""
    answer = sloop.post(EDITS, headers=headers(), content=body)

    assert answer.status_code == status
    assert len(answer.content) < 4_000


def test_an_edit_must_be_sent_as_json(sloop: TestClient) -> None:
    sent = headers() | {"Content-Type": "text/plain"}

    assert sloop.post(EDITS, headers=sent, content=json.dumps(RENAME)).status_code == 415


@pytest.mark.parametrize("query", ["", "?mode=starting", "?event=engine-start", "?mode=moored"])
def test_an_answer_keeps_its_schema(sloop: TestClient, query: str) -> None:
    answer = sloop.get(f"/api/boats/sloop/answer{query}")
    document = AnswerDocument.model_validate_json(answer.content)

    assert document.format == "tapchart.answer"
    assert len(document.modes) == (5 if query == "" else 1)


def test_the_answer_says_what_the_page_says(sloop: TestClient) -> None:
    document = AnswerDocument.model_validate_json(sloop.get("/api/boats/sloop/answer").content)
    starting = next(mode for mode in document.modes if mode.id == "starting")
    pilot = next(load for load in starting.loads if load.id == "autopilot.supply")

    assert [seen.verdict for seen in pilot.events] == ["restarts"]
    assert any(one.code == "restarts" and one.mends for one in document.findings)
    shares = sum(share.share_v for share in pilot.events[0].shared_path)
    assert shares == pytest.approx(pilot.events[0].sag_v, abs=1e-10)


@pytest.mark.parametrize("which", ["boat", "answer"])
def test_the_schemas_are_published(client: TestClient, which: str) -> None:
    schema = client.get(f"/api/schema/{which}.json").json()

    assert schema["$id"] == f"tapchart.{which}/1"


@pytest.mark.parametrize(
    "path",
    ["/api/boats/ghost", "/api/boats/ghost/answer", "/api/boats/sloop/answer?mode=flying", "/api/nothing"],
)
def test_what_is_not_there_is_json_too(sloop: TestClient, path: str) -> None:
    answer = sloop.get(path)

    assert answer.status_code == 404
    assert "message" in answer.json()


def test_an_edit_of_a_missing_boat_is_not_found(sloop: TestClient) -> None:
    path = "/api/boats/ghost/edits"

    assert sloop.post(path, headers=headers(), content=json.dumps(RENAME)).status_code == 404
