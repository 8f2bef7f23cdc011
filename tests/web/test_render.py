"""Pages and fragments."""

from dataclasses import dataclass

import pytest
from fastapi import Request
from fastapi.testclient import TestClient
from jinja2 import UndefinedError

from server.web.render import Part, fragments, is_htmx, page
from server.web.views.house import ErrorView, JoinView

MESSAGE = ("errors/message", ErrorView("A <b>", "first"))


def request(**headers: str) -> Request:
    pairs = [(name.replace("_", "-").lower().encode(), value.encode()) for name, value in headers.items()]
    return Request({"type": "http", "method": "GET", "path": "/here", "query_string": b"", "headers": pairs})


def test_what_a_person_typed_stays_text() -> None:
    html = bytes(page(request(), "errors/page", ErrorView("A <b>", "</script>")).body).decode()

    assert "A &lt;b&gt;" in html
    assert "&lt;/script&gt;" in html


def test_a_name_that_the_view_lacks_is_an_error() -> None:
    @dataclass(frozen=True)
    class Untitled:
        pass

    with pytest.raises(UndefinedError):
        page(request(), "join/page", Untitled())


def test_the_first_fragment_goes_to_the_target_and_the_others_out_of_band() -> None:
    answer = fragments(request(HX_Request="true"), MESSAGE, MESSAGE, page_url="/here")

    first, second, _ = bytes(answer.body).decode().split('<div id="message"')[1:]
    assert "hx-swap-oob" not in first
    assert second.startswith(' class="message-place message" role="alert" hx-swap-oob="true">')


@pytest.mark.parametrize(("status", "cleared"), [(200, True), (422, False)])
def test_a_change_that_went_well_clears_the_message_before(status: int, cleared: bool) -> None:
    answer = fragments(request(HX_Request="true"), page_url="/here", status=status)

    assert (b'<div id="message" class="message-place" hx-swap-oob="true"></div>' in answer.body) == cleared


def test_a_late_part_leaves_the_message_standing() -> None:
    answer = fragments(request(HX_Request="true"), MESSAGE, page_url="/here", is_late=True)

    assert bytes(answer.body).count(b'id="message"') == 1


def test_without_script_a_change_leads_back_to_its_page() -> None:
    answer = fragments(request(), MESSAGE, page_url="/here")

    assert (answer.status_code, answer.headers["location"]) == (303, "/here")


def test_without_script_a_refusal_is_the_whole_page() -> None:
    def whole() -> Part:
        return "join/page", JoinView()

    answer = fragments(request(), MESSAGE, page_url="/here", status=422, whole=whole)

    assert answer.status_code == 422
    assert bytes(answer.body).startswith(b"<!DOCTYPE html>")


def test_a_refusal_without_a_page_is_a_mistake_in_the_route() -> None:
    with pytest.raises(ValueError, match="needs a whole page"):
        fragments(request(), MESSAGE, page_url="/here", status=422)


def test_htmx_going_back_in_history_wants_the_whole_page() -> None:
    assert is_htmx(request(HX_Request="true"))
    assert not is_htmx(request(HX_Request="true", HX_History_Restore_Request="true"))


@pytest.mark.parametrize(("cookie", "theme"), [("night", "night"), ('"><b>', "auto"), ("", "auto")])
def test_the_look_is_kept_in_a_cookie(client: TestClient, cookie: str, theme: str) -> None:
    answer = client.get("/", headers={"Cookie": f"tapchart_theme={cookie}"})

    assert f'data-theme="{theme}"' in answer.text


def test_choosing_a_look_goes_back_to_the_page(client: TestClient) -> None:
    answer = client.post("/look", data={"theme": "night", "back": "/boats/sloop"})

    assert answer.headers["location"] == "/boats/sloop"
    assert client.get("/").text.count('data-theme="night"') == 1


@pytest.mark.parametrize("back", ["//other.example", "http://other.example", "/\\other.example", "boats"])
def test_choosing_a_look_leads_to_no_other_host(client: TestClient, back: str) -> None:
    assert client.post("/look", data={"theme": "night", "back": back}).status_code == 422


def test_the_way_back_keeps_the_view(client: TestClient) -> None:
    assert 'name="back" value="/?sort=name"' in client.get("/?sort=name").text
