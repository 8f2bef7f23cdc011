"""Hands that do not wait, and answers that come late: no change is lost or hidden by what overtakes it."""

import json
import re

from playwright.sync_api import Page, Route, expect

from tests.e2e.calm import at_once, still
from tests.e2e.conftest import OpenPage
from tests.e2e.hand import wait_for_answers, wait_for_shape
from tests.e2e.test_moving_a_lead import BENCH, expect_cleared, row_of_the_bus


def test_figures_that_come_while_a_lead_is_put_down_do_not_take_its_form_away(open_page: OpenPage) -> None:
    """What the page asks for by itself comes before the put-down's answer, which still finds its places."""
    page = open_page("desk")
    kept: list[Route] = []

    def keep(route: Route) -> None:
        """Keep back what comes late, so that the list is not followed in time yet, and the put-down."""
        asked = route.request
        by_hand = "/pick-up?" in asked.url and "refined" not in asked.url
        is_over = any("/put-down" in one.request.url for one in kept)
        if by_hand or is_over or "hx-request" not in asked.headers:
            route.continue_()
        else:
            kept.append(route)

    page.route("**/boats/sloop/**", keep)
    page.goto(BENCH)
    expect(page.locator("#scene[data-shape]")).to_be_attached()
    page.locator("#pick-up-autopilot--negative").click()
    wait_for_answers(page, "autopilot", "negative")
    with page.expect_request("**/put-down"):
        row_of_the_bus(page).click()
    assert sum("refined=yes" in one.request.url for one in kept) == 1
    for route in sorted(kept, key=lambda one: "put-down" in one.request.url):
        with page.expect_response(route.request.url):
            route.continue_()

    expect_cleared(page)


def test_a_value_that_is_set_before_the_upright_picture_has_come_is_not_lost(open_page: OpenPage) -> None:
    page = open_page("tablet")
    held: list[Route] = []
    page.route(
        "**/boats/sloop/shape?*",
        lambda route: route.continue_() if held or not _by_script(route) else held.append(route),
    )
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    field = page.locator("#selected > form.field").first
    with at_once(page):
        field.locator("input:not([type=hidden])").first.fill("6.5")
        expect(page.locator("#shape-form")).to_have_class(re.compile("htmx-request"))
        field.get_by_role("button").tap()

    expect(page.locator("#change-title")).to_be_focused()
    held[0].continue_()
    wait_for_shape(page)
    expect(page.locator("#diagram")).to_have_class(re.compile("portrait"))


def _by_script(route: Route) -> bool:
    return "hx-request" in route.request.headers


def test_what_is_typed_stays_when_another_answer_brings_its_part_anew(page: Page) -> None:
    page.goto("/boats/sloop?mode=starting&event=engine-start&selected=autopilot")
    wait_for_shape(page)
    first = page.locator("#selected > form.field input:not([type=hidden])").first
    first.fill("6.5")

    page.locator("#position-float select").select_option("Up")
    page.locator("#position-float button").click()

    expect(page.locator("#change-title")).to_be_focused()
    expect(first).to_have_value("6.5")


def test_a_save_is_neither_overtaken_nor_lost_by_a_hand_that_does_not_wait(open_page: OpenPage) -> None:
    """What is pressed before its answer is done after it; what was asked for before does not hide it."""
    page = open_page("desk")
    held: list[Route] = []

    def keep(route: Route) -> None:
        held.append(route)

    page.goto("/boats/sloop/plan?on=hull-shape")
    page.route("**/plan/*", keep)
    page.locator("#plan-length").fill("10")
    page.locator("#plan-beam").fill("3.2")
    with at_once(page):
        with page.expect_request("**/plan/*"):
            page.locator("#plan-save").click()
        page.locator("#plan-new-zone").click()
    held.pop().continue_()
    expect(page.locator("#plan-chosen-title")).to_have_text("New zone")
    expect(page.locator("#plan-undo")).to_have_attribute("title", re.compile("^Hull"))

    page.unroute("**/plan/*", keep)
    page.route("**/plan?*on=new-run*", keep)
    with at_once(page):
        with page.expect_request("**/plan?*on=new-run*"):
            page.locator("#plan-new-run").click()
        page.locator("#plan-name").fill("Forepeak")
        page.locator("#plan-save").click()
        expect(page.locator("#plan-change-title")).to_contain_text("Forepeak")
    with page.expect_response("**/plan?*on=new-run*"):
        held.pop().continue_()
    still(page)
    expect(page.locator("#plan-change-title")).to_contain_text("Forepeak")

    page.route("**/plan/*", keep)
    with at_once(page):
        with page.expect_request("**/plan/*"):
            page.locator("#plan-undo-change").click()
        page.locator("#place-lists").click()
    held.pop().continue_()
    page.wait_for_url("**/lists*")
    page.goto("/boats/sloop/plan?on=new-zone")
    expect(page.locator("#plan")).not_to_contain_text("Forepeak")


def test_rows_at_typing_speed_are_all_put_in_and_the_next_stays_typed(open_page: OpenPage) -> None:
    """The first row's answer is kept back until two more have been pressed and a fourth is being typed."""
    page = open_page("desk")
    held: list[Route] = []

    def keep(route: Route) -> None:
        if held or route.request.method != "POST":
            route.continue_()
        else:
            held.append(route)

    page.goto("/boats/sloop/survey")
    page.route("**/boats/sloop/survey*", keep)
    with at_once(page):
        for number in ("401", "402", "403"):
            page.locator("#survey-number").fill(number)
            page.locator("#survey-what").fill(f"Lamp {number}")
            page.locator("#survey-length").fill("2")
            page.locator("#survey-in").click()
        page.locator("#survey-what").fill("Lamp 404")
        page.locator("#survey-note").fill("not sent")
    held[0].continue_()

    for number in ("401", "402", "403"):
        expect(page.locator("#survey-rows-table tr", has_text=f"Lamp {number}")).to_have_count(1)
    expect(page.locator("#survey-what")).to_have_value("Lamp 404")
    still(page)
    boat = page.request.get("/boats/sloop/export").text()
    assert "not sent" not in boat
    put_in = [one for one in json.loads(boat)["cables"] if one["number"] in {"401", "402", "403", "404"}]
    assert [one["number"] for one in put_in] == ["401", "402", "403"]
    assert len({str(one.get("length")) for one in put_in}) == 1
