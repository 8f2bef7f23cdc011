"""Joining from another device; the limits are those of OWASP ASVS 5.0, 6.3.1, 6.5.4, 7.2 and 7.3."""

import math
import re
import socket
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from server.main import create_app
from server.settings import Settings
from server.web import lan
from server.web.lan import (
    ALPHABET,
    CODE_LENGTH,
    FAILURES_IN_ALL,
    FAILURES_PER_ADDRESS,
    SESSION_IDLE_S,
    SESSION_LIFE_S,
    JoinDesk,
    invitation,
    lan_names,
    new_code,
)

ADDRESS = "192.168.7.20"
ORIGIN = f"http://{ADDRESS}:8310"
PAGE = {"Accept": "text/html"}


@dataclass
class Clock:
    now_s: float = 1000.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def desk(clock: Clock) -> JoinDesk:
    return JoinDesk("ABCD2345", clock)


@pytest.fixture
def tablet(tmp_path: Path) -> Iterator[TestClient]:
    app = create_app(Settings(data_dir=tmp_path, lan=True, lan_names=(ADDRESS,)))
    with TestClient(app, base_url=ORIGIN, headers={"Origin": ORIGIN}, follow_redirects=False) as client:
        yield client


def code_of(client: TestClient) -> str:
    desk: JoinDesk = client.app.state.join_desk  # type: ignore[attr-defined]
    return desk.code


def test_a_code_holds_39_bits() -> None:
    assert len(set(ALPHABET)) == 30
    assert CODE_LENGTH * math.log2(len(ALPHABET)) > 39
    assert set(new_code()) <= set(ALPHABET)
    assert new_code() != new_code()


@pytest.mark.parametrize("typed", ["ABCD2345", " abcd-2345 ", "ab cd 23 45"])
def test_a_code_is_read_as_people_type_it(desk: JoinDesk, typed: str) -> None:
    assert desk.admits(desk.join("tablet", typed))


@pytest.mark.parametrize("typed", ["", "ABCD2346", "ABCD23456", "ÄBCD2345", "\ud800"])
def test_another_code_opens_nothing(desk: JoinDesk, typed: str) -> None:
    assert desk.join("tablet", typed) is None


@pytest.mark.parametrize("session", [None, "", "guess"])
def test_an_unknown_session_is_not_admitted(desk: JoinDesk, session: str | None) -> None:
    assert not desk.admits(session)


def test_an_address_waits_after_five_wrong_codes_and_others_do_not(desk: JoinDesk, clock: Clock) -> None:
    for _ in range(FAILURES_PER_ADDRESS):
        assert desk.wait_s("one") == 0
        desk.join("one", "wrong")
        clock.now_s += 1

    assert desk.wait_s("one") == 60 - FAILURES_PER_ADDRESS
    assert desk.wait_s("two") == 0
    clock.now_s += 60 - FAILURES_PER_ADDRESS
    assert desk.wait_s("one") == 0


def test_all_addresses_wait_after_twenty_wrong_codes(desk: JoinDesk) -> None:
    for number in range(FAILURES_IN_ALL):
        desk.join(f"address {number}", "wrong")

    assert desk.wait_s("a new one") == 60


def test_right_codes_are_not_counted(desk: JoinDesk) -> None:
    for _ in range(100):
        desk.join("a class behind one address", "ABCD2345")

    assert desk.wait_s("a class behind one address") == 0


def test_a_session_ends_when_idle(desk: JoinDesk, clock: Clock) -> None:
    session = desk.join("tablet", desk.code)
    clock.now_s += SESSION_IDLE_S - 1
    assert desk.admits(session)
    clock.now_s += SESSION_IDLE_S

    assert not desk.admits(session)


def test_a_session_ends_after_its_life_even_in_use(desk: JoinDesk, clock: Clock) -> None:
    session = desk.join("tablet", desk.code)
    for _ in range(int(SESSION_LIFE_S / 3600) - 1):
        clock.now_s += 3600
        assert desk.admits(session)
    clock.now_s += 3600

    assert not desk.admits(session)


def test_ended_sessions_are_forgotten(desk: JoinDesk, clock: Clock) -> None:
    first = desk.join("tablet", desk.code)
    clock.now_s += SESSION_LIFE_S
    second = desk.join("tablet", desk.code)
    clock.now_s -= SESSION_LIFE_S

    assert not desk.admits(first)
    assert desk.admits(second)


def test_who_has_not_joined_is_led_to_the_form(tablet: TestClient) -> None:
    answer = tablet.get("/", headers=PAGE)

    assert (answer.status_code, answer.headers["location"]) == (303, "/join")


def test_without_a_session_only_the_form_and_the_static_files_are_open(tablet: TestClient) -> None:
    assert tablet.get("/join").status_code == 200
    assert tablet.get("/static/css/base.css").status_code == 200
    assert tablet.get("/lib/htmx-2.min.js").status_code == 200
    assert tablet.post("/look", data={"theme": "dark"}).status_code == 401
    assert tablet.get("/", headers={"HX-Request": "true"} | PAGE).headers["hx-redirect"] == "/join"
    assert tablet.get("/static/../", headers={"Accept": "*/*"}).status_code in {401, 404}


def test_the_right_code_opens_the_pages(tablet: TestClient) -> None:
    answer = tablet.post("/join", data={"code": code_of(tablet)})

    cookie = answer.headers["set-cookie"]
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert tablet.get("/", headers=PAGE).status_code == 200


def test_a_wrong_code_is_kept_in_the_form_and_explained(tablet: TestClient) -> None:
    answer = tablet.post("/join", data={"code": "wr<ng"})

    assert answer.status_code == 422
    assert 'value="wr&lt;ng"' in answer.text
    assert 'aria-describedby="join-error"' in answer.text


def test_guessing_is_slowed_even_for_the_right_code(tablet: TestClient) -> None:
    for _ in range(FAILURES_PER_ADDRESS):
        tablet.post("/join", data={"code": "wrong"})

    answer = tablet.post("/join", data={"code": code_of(tablet)})
    assert answer.status_code == 429
    assert 0 < int(answer.headers["retry-after"]) <= 60


@pytest.mark.parametrize(
    ("host", "status"), [(f"{ADDRESS}:8310", 303), ("127.0.0.1", 303), ("192.168.7.21", 421)]
)
def test_only_this_machines_names_are_served(tablet: TestClient, host: str, status: int) -> None:
    assert tablet.get("/", headers={"Host": host} | PAGE).status_code == status


def test_without_lan_there_is_nothing_to_join(client: TestClient) -> None:
    assert client.get("/join").status_code == 404


def test_the_invitation_shows_address_code_and_picture() -> None:
    text = invitation(ORIGIN, "ABCD2345")

    assert ORIGIN in text
    assert "ABCD-2345" in text
    assert re.search("[▀▄█]", text)


def test_this_machine_has_a_name_and_no_loopback_address() -> None:
    names = lan_names()

    assert names
    assert not any(name.startswith("127.") for name in names)


def test_a_machine_without_network_still_has_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(*_: object) -> None:
        raise socket.gaierror

    monkeypatch.setattr(lan, "PROBE", ("255.255.255.255", 9))  # refused without a permission to broadcast
    monkeypatch.setattr(socket, "getaddrinfo", unknown)
    name = socket.gethostname().lower()

    assert lan_names() == (name, f"{name}.local")
