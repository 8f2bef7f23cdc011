"""Runs drawn by touch on an upright tablet: leads go through them, and a moved part changes drops."""

import re

from playwright.sync_api import Page, expect

from tests.e2e.conftest import OpenPage


def save(page: Page, answered: str, **typed: str) -> None:
    """Fill in the form of what is chosen and touch its button; wait for what then stands in the lists."""
    for name, text in typed.items():
        page.locator(f"#plan-{name}").fill(text)
    page.locator("#plan-save").tap()
    expect(page.locator("#plan-change-title")).to_have_text(answered)


def choose(page: Page, link: str, title: str | re.Pattern[str]) -> None:
    """Touch a link of the plan and wait for its form."""
    page.locator(link).tap()
    expect(page.locator("#plan-chosen-title")).to_have_text(title)


def carry(page: Page, thing: str, by: tuple[float, float]) -> None:
    """Drag a thing over the plan by so many pixels, with one pointer."""
    page.locator(".plan-picture").scroll_into_view_if_needed()
    box = page.locator(f"#spot-{thing} .plan-dot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0] / 2, y + by[1] / 2, steps=3)
    page.mouse.move(x + by[0], y + by[1], steps=3)
    page.mouse.up()


def test_leads_go_through_runs_and_a_moved_part_changes_their_drops(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/new-boat")
    page.locator("#new-name").fill("Heron")
    page.locator("#pattern-selector").check()
    page.locator("#new-begin").tap()
    page.wait_for_url("**/boats/*")
    page.goto(f"{page.url.split('?')[0]}/plan")

    choose(page, "#plan-hull-shape", "Hull")
    save(page, "Hull of Heron", length="10", beam="3.2")
    expect(page.locator(".plan-hull")).to_be_visible()
    for name, x, y in (("Nav", "5.5", "-0.8"), ("Aft", "9", "0.2")):
        choose(page, "#plan-new-waypoint", "New waypoint")
        save(page, f"Waypoint {name}", name=name, x=x, y=y)
    choose(page, "#plan-new-run", "New run")
    save(page, "Run Nav – Aft", start="Nav", end="Aft", length="5")
    lead = page.locator("#row-autopilot-pos")
    expect(lead).to_contain_text("along the cable run")
    expect(lead).to_contain_text("Nav → Aft")

    page.locator("#plan-wires-title").tap()
    choose(page, "#go-row-autopilot-pos", re.compile("Main panel to Autopilot"))
    expect(page.locator(".plan-run.on-way")).to_have_count(1)
    expect(page.locator("#plan-chosen-title")).to_be_in_viewport()
    expect(page.locator("#plan-wires-fold")).to_have_attribute("open", "")
    choose(page, "#go-row-autopilot", "Autopilot")
    page.locator("#plan-put").tap()
    expect(page.locator("#plan-put")).to_have_attribute("aria-pressed", "true")
    picture = page.locator(".plan-picture").bounding_box()
    assert picture is not None
    page.touchscreen.tap(picture["x"] + picture["width"] * 0.2, picture["y"] + picture["height"] * 0.5)
    expect(page.locator("#plan-change-drops")).to_contain_text("Autopilot")
    expect(page.locator("#plan-change-title")).to_contain_text("Autopilot")
    page.locator("#plan-undo-change").tap()
    expect(page.locator("#plan-change-title")).to_contain_text("Undone: ")

    far = page.locator("#spot-autopilot").get_attribute("data-x")
    carry(page, "autopilot", (-60, 0))
    expect(page.locator("#spot-autopilot")).not_to_have_attribute("data-x", far or "")
    expect(page.locator("#plan-change-wires")).to_contain_text("Main panel to Autopilot")
    page.locator("#spot-autopilot").focus()
    near = float(page.locator("#spot-autopilot").get_attribute("data-x") or "nan")
    for steps in (1, 2):
        page.keyboard.press("ArrowLeft")
        expect(page.locator("#spot-autopilot")).to_have_attribute("data-x", f"{near - 0.1 * steps:.3f}")
        expect(page.locator("#spot-autopilot")).to_be_focused()
