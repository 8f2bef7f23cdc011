"""What is refused before any route: OWASP ASVS 5.0, 3.4 and 3.5 (headers, origin), 5.2 (size)."""

import asyncio
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send

from server.main import create_app
from server.settings import Settings
from server.web.guard import (
    MAX_BODY_BYTES,
    MAX_IMPORT_BYTES,
    MAX_PHOTO_BYTES,
    MAX_PHOTOS_BYTES,
    BodyCap,
    host_name,
)

ORIGIN = "http://127.0.0.1:8310"


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[TestClient]:
    """A client that sends no Origin by itself."""
    with TestClient(
        create_app(Settings(data_dir=tmp_path)), base_url=ORIGIN, follow_redirects=False
    ) as client:
        yield client


def look(client: TestClient, **headers: str) -> int:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return client.post("/look", data={"theme": "dark"}, headers=named).status_code


@pytest.mark.parametrize("path", ["/", "/static/css/base.css", "/lib/htmx-2.min.js", "/nowhere"])
def test_every_answer_carries_the_security_headers(client: TestClient, path: str) -> None:
    headers = client.get(path).headers

    assert "default-src 'none'" in headers["content-security-policy"]
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


def test_a_refused_host_gets_the_headers_too(client: TestClient) -> None:
    answer = client.get("/", headers={"Host": "rebound.example"})

    assert answer.status_code == 421
    assert "content-security-policy" in answer.headers


@pytest.mark.parametrize("host", ["127.0.0.1:8310", "localhost", "LOCALHOST:1", "[::1]:8310"])
def test_loopback_names_are_served_at_any_port(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["", "rebound.example", "127.0.0.1.rebound.example", "192.168.1.7", "[::2]", "a]"]
)
def test_other_hosts_are_misdirected(client: TestClient, host: str) -> None:
    assert client.get("/", headers={"Host": host}).status_code == 421


def test_a_host_is_read_without_port_and_brackets() -> None:
    assert [host_name(text) for text in ("Boat.local:80", "[FE80::1]:80", "boat")] == [
        "boat.local",
        "fe80::1",
        "boat",
    ]


def test_a_change_needs_an_origin(bare: TestClient) -> None:
    assert look(bare) == 403


@pytest.mark.parametrize(
    "origin", ["http://127.0.0.1:8311", "http://other.example", "null", "127.0.0.1:8310"]
)
def test_a_foreign_origin_changes_nothing(bare: TestClient, origin: str) -> None:
    assert look(bare, Origin=origin) == 403


def test_our_own_origin_may_change(bare: TestClient) -> None:
    assert look(bare, Origin=ORIGIN) == 303


@pytest.mark.parametrize(
    ("site", "status"), [("same-origin", 303), ("none", 303), ("same-site", 403), ("cross-site", 403)]
)
def test_what_the_browser_says_of_the_site_comes_before_the_origin(
    bare: TestClient, site: str, status: int
) -> None:
    assert look(bare, Sec_Fetch_Site=site, Origin=ORIGIN) == status


def test_a_declared_oversize_is_refused_unread(client: TestClient) -> None:
    answer = client.post("/look", content=b"x" * (MAX_BODY_BYTES + 1))

    assert answer.status_code == 413
    assert len(answer.content) < 4000


def test_an_undeclared_oversize_is_refused_when_it_is_reached(client: TestClient) -> None:
    chunks = (b"x" * 100_000 for _ in range(11))

    assert client.post("/look", content=chunks).status_code == 413


@pytest.mark.parametrize("length", ["-1", "1e3", "9" * 5000])
def test_an_absurd_length_is_refused(client: TestClient, length: str) -> None:
    assert client.post("/look", content=b"x", headers={"Content-Length": length}).status_code == 413


def test_an_import_may_be_larger(client: TestClient) -> None:
    form = {"Content-Type": "application/x-www-form-urlencoded"}

    statuses = [
        client.post("/boats/import", content=b"x" * size, headers=form).status_code
        for size in (MAX_BODY_BYTES + 1, MAX_IMPORT_BYTES + 1)
    ]

    assert statuses == [422, 413]  # the first was read, and is no boat


@pytest.mark.parametrize(
    ("path", "most"),
    [("/boats/sloop/photos", MAX_PHOTO_BYTES), ("/boats/import-photos", MAX_PHOTOS_BYTES)],
)
def test_photos_may_be_larger_still(client: TestClient, path: str, most: int) -> None:
    declared = {"Content-Length": str(most + 1)}

    assert client.post(path, content=b"x" * (MAX_IMPORT_BYTES + 1)).status_code in {404, 422}
    assert client.post(path, content=b"x", headers=declared).status_code == 413


def test_a_body_that_never_comes_is_given_up() -> None:
    sent: list[Message] = []

    async def never() -> Message:
        return await asyncio.Future()

    async def send(message: Message) -> None:
        sent.append(message)

    scope: dict[str, Any] = {
        "type": "http",
        "method": "POST",
        "path": "/look",
        "query_string": b"",
        "headers": [],
    }
    asyncio.run(BodyCap(FastAPI(), timeout_s=0.01)(scope, never, send))

    assert sent[0]["status"] == 408


def test_after_the_body_a_route_still_hears_of_the_client_leaving() -> None:
    heard: list[str] = []
    messages: list[Message] = [{"type": "http.request", "body": b"a"}, {"type": "http.disconnect"}]
    incoming = iter(messages)

    async def route(scope: Scope, receive: Receive, send: Send) -> None:
        heard.extend([(await receive())["type"], (await receive())["type"]])

    async def receive() -> Message:
        return next(incoming)

    async def send(message: Message) -> None:
        heard.append(message["type"])

    scope = {"type": "http", "method": "POST", "path": "/look", "query_string": b"", "headers": []}
    asyncio.run(BodyCap(route)(scope, receive, send))

    assert heard == ["http.request", "http.disconnect"]
