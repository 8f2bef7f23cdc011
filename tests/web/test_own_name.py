"""A person gives the name under which this device writes its changes down."""

import pytest
from fastapi.testclient import TestClient

from server.web.own_name import LONGEST, NAME_COOKIE
from tests.web.reading import element, form_with, words
from tests.web.test_options_pages import begun

HISTORY = "/boats/sloop/history"


def named(client: TestClient, name: str) -> str:
    """Where the answer leads after a name was given on the page of the history."""
    form = form_with(client.get(HISTORY).text, "own-name-keep")
    answer = client.post(form.action, data=form.fields | {"name": name})
    assert answer.status_code == 303
    return answer.headers["location"]


def changed(client: TestClient, base: int, value: str) -> None:
    fields = {
        "revision": str(base),
        "request_id": f"length-request-{base}",
        "conductor": "plotter-neg",
        "value": value,
    }
    assert client.post("/boats/sloop/length", data=fields).status_code == 303


def test_changes_are_written_down_under_the_name_that_was_given(sloop: TestClient) -> None:
    changed(sloop, 1, "7")
    assert named(sloop, "  Ida\tBergström ") == HISTORY
    changed(sloop, 2, "8")
    option = begun(sloop, "Plan A")
    page = sloop.get(HISTORY).text

    assert "Ida Bergström cable 25: 8 m" in words(element(page, "revision-3"))
    assert "this device cable 25: 7 m" in words(element(page, "revision-2"))
    assert "as by “Ida Bergström”" in words(element(page, "own-name-told"))
    assert 'value="Ida Bergström"' in element(page, "own-name")
    assert "Ida Bergström Option opened" in words(
        element(sloop.get(f"/boats/{option}/history").text, "revision-1")
    )


def test_without_a_name_it_is_this_device_again(sloop: TestClient) -> None:
    named(sloop, "Ida")
    named(sloop, " ")
    page = sloop.get(HISTORY).text

    assert NAME_COOKIE not in sloop.cookies
    assert "as by “this device”" in words(element(page, "own-name-told"))
    assert 'value=""' in element(page, "own-name")


def test_two_devices_have_two_names(sloop: TestClient) -> None:
    named(sloop, "Ida")
    changed(sloop, 1, "7")
    sloop.cookies.clear()
    named(sloop, "Ole")
    changed(sloop, 2, "8")
    page = sloop.get(HISTORY).text

    assert "Ida cable" in words(element(page, "revision-2"))
    assert "Ole cable" in words(element(page, "revision-3"))


@pytest.mark.parametrize("cookie", ["%00%0A", "%ED%A0%80", "x" * 4000, "%3Cb%3E"])
def test_a_cookie_from_elsewhere_does_no_harm(sloop: TestClient, cookie: str) -> None:
    sloop.cookies.set(NAME_COOKIE, cookie)
    changed(sloop, 1, "7")
    page = sloop.get(HISTORY)

    assert page.status_code == 200
    assert "<b>" not in page.text
    assert "x" * (LONGEST + 1) not in page.text


def test_the_way_back_leads_nowhere_else(sloop: TestClient) -> None:
    answer = sloop.post("/own-name", data={"name": "Ida", "back": "//elsewhere.example"})

    assert answer.status_code == 422
