"""Errors say what is wrong and what to do, and never repeat the input."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from server.main import create_app
from server.settings import Settings
from server.store.errors import StoreFullError

ORIGIN = "http://localhost"


@pytest.fixture
def app(tmp_path: Path) -> FastAPI:
    return create_app(Settings(data_dir=tmp_path))


@pytest.fixture
def broken(app: FastAPI) -> Iterator[TestClient]:
    """A client of an app with a route that fails and one that wants a number."""

    @app.get("/broken")
    def fail() -> None:
        raise RuntimeError("secret detail")

    @app.get("/number")
    def number(n: int) -> int:
        return n

    @app.get("/full")
    def full() -> None:
        raise StoreFullError("disk full")

    with TestClient(app, base_url=ORIGIN, raise_server_exceptions=False) as client:
        yield client


def test_an_unknown_address_is_a_page_that_leads_back(client: TestClient) -> None:
    answer = client.get("/nowhere")

    assert answer.status_code == 404
    assert "nothing at this address" in answer.text
    assert '<a href="/">' in answer.text


def test_htmx_gets_the_error_into_the_place_for_messages(client: TestClient) -> None:
    answer = client.get("/nowhere", headers={"HX-Request": "true"})

    assert answer.status_code == 404
    assert answer.headers["hx-retarget"] == "#message"
    assert answer.text.count("<html") == 0
    assert 'id="message"' in answer.text


@pytest.mark.parametrize("path", ["/api/nowhere", "/nowhere"])
def test_json_is_answered_with_json(client: TestClient, path: str) -> None:
    answer = client.get(path, headers={"Accept": "application/json"})

    assert answer.json()["error"] == "Not found"


def test_a_wrong_method_says_what_is_allowed(client: TestClient) -> None:
    answer = client.put("/")

    assert answer.status_code == 405
    assert answer.headers["allow"] == "GET"


def test_a_wrong_value_is_named_by_place_and_not_repeated(broken: TestClient) -> None:
    answer = broken.get("/number", params={"n": "drop table"})

    assert answer.status_code == 422
    assert "query.n:" in answer.text
    assert "drop table" not in answer.text


@pytest.mark.parametrize(
    "theme", ["\ud800".encode("utf-8", "surrogatepass"), b"%ED%A0%80", b"%00", b"pink", b"a" * 900_000]
)
def test_no_form_value_breaks_the_answer(client: TestClient, theme: bytes) -> None:
    form = {"Content-Type": "application/x-www-form-urlencoded"}
    answer = client.post("/look", content=b"theme=" + theme, headers=form)

    assert answer.status_code == 422
    assert len(answer.content) < 4000


def test_a_fault_of_ours_tells_nothing_of_the_inside_and_keeps_the_headers(broken: TestClient) -> None:
    answer = broken.get("/broken")

    assert answer.status_code == 500
    assert "secret detail" not in answer.text
    assert "content-security-policy" in answer.headers


def test_what_the_store_refuses_says_what_to_do(broken: TestClient) -> None:
    answer = broken.get("/full")

    assert answer.status_code == 507
    assert "free some space" in answer.text
