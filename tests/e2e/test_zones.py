"""A zone drawn on an upright tablet: its corners touched, one carried, one moved and taken out by keys."""

from playwright.sync_api import Page, expect

from tests.e2e.conftest import OpenPage


def touch(page: Page, across: float, down: float) -> None:
    """Touch the plan at a share of its width and height, and wait for one more corner."""
    box = page.locator(".plan-picture").bounding_box()
    assert box is not None
    before = page.locator(".plan-corner").count()
    page.touchscreen.tap(box["x"] + box["width"] * across, box["y"] + box["height"] * down)
    expect(page.locator(".plan-corner")).to_have_count(before + 1)


def carry(page: Page, corner: str, right: float, up: float) -> None:
    """Drag a corner with one pointer."""
    box = page.locator(f"{corner} .plan-corner-dot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right, y - up, steps=4)
    page.mouse.up()


def test_a_zone_is_drawn_by_touching_its_corners(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto("/boats/sloop/plan?on=new-zone")
    page.locator("#plan-name").fill("Chain locker")
    corners = page.locator("#plan-corners")

    page.locator("#plan-corners-touch").tap()
    expect(page.locator("#plan-corners-touch")).to_have_attribute("aria-pressed", "true")
    for across, down in ((0.1, 0.5), (0.2, 0.3), (0.3, 0.5), (0.2, 0.7)):
        touch(page, across, down)
    expect(page.locator("#plan-corners-told")).to_have_text("4 corners. Save to keep them.")
    drawn = corners.input_value().splitlines()
    assert len(drawn) == 4

    carry(page, "#plan-corner-at-1", 30, 20)
    expect(corners).not_to_have_value("\n".join(drawn))
    carried = corners.input_value().splitlines()
    assert [line for line in carried if line not in drawn] == [carried[1]]
    page.locator("#plan-corner-at-1").focus()
    page.keyboard.press("ArrowRight")
    expect(corners).not_to_have_value("\n".join(carried))
    expect(page.locator("#plan-corner-at-1")).to_be_focused()
    page.keyboard.press("Delete")
    expect(page.locator(".plan-corner")).to_have_count(3)

    page.locator("#plan-corners-save").tap()
    expect(page.locator("#plan-change-title")).to_have_text("Chain locker put on the plan")
    expect(page.locator("#plan-zones")).to_contain_text("drawn, 3 corners")
    page.locator("#plan-zones a", has_text="Chain locker").tap()
    expect(page.locator("#plan-chosen-title")).to_have_text("Chain locker")
    expect(corners).to_have_value("\n".join(line for line in carried if line != carried[1]))
    expect(page.locator(".plan-corner")).to_have_count(3)
