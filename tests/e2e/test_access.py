"""The pages for everybody: accessible by rule, reachable by keys, targets large enough for a finger."""

from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.e2e.calm import still
from tests.e2e.conftest import LiveServer, OpenPage

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
WORKBENCH = "/boats/sloop?mode=starting&event=engine-start"
PAGES = {
    "boats": "/boats",
    "workbench": WORKBENCH,
    "selected and held": "/boats/sloop/pick-up?mode=starting&event=engine-start&selected=autopilot"
    "&part=autopilot&terminal=negative",
    "new boat": "/new-boat",
    "complaint": "/complaint",
    "survey": "/boats/sloop/survey",
    "many rows": "/boats/sloop/fitting/rows",
    "putting in": "/boats/sloop/fitting?what=electronics",
    "lists": "/boats/sloop/lists",
    "ticked": "/boats/sloop/ticked?ticked=vhf&ticked=autopilot",
    "photos": "/boats/sloop/photos",
    "switching": "/boats/sloop/switching",
    "plan": "/boats/sloop/plan?on=autopilot",
    "rules": "/rules",
    "findings": "/boats/sloop/findings",
    "options": "/boats/sloop/options",
    "compare": "/boats/sloop/compare?left=sloop&right=trawler",
    "prices": "/boats/sloop/prices",
    "folded": "/boats/large-yacht",
    "touched": "/boats/sloop/here?selected=panel-feed&do=put",
}
FINGER_PX = 44


@pytest.fixture(scope="module")
def live_server(lasting_server: LiveServer) -> LiveServer:
    return lasting_server


@pytest.mark.parametrize(("device", "scheme"), [("desk", "light"), ("tablet", "dark")])
@pytest.mark.parametrize("path", PAGES.values(), ids=PAGES)
def test_a_page_breaks_no_rule_of_access(
    open_page: OpenPage, path: str, device: Literal["desk", "tablet"], scheme: Literal["light", "dark"]
) -> None:
    page = open_page(device)
    page.emulate_media(color_scheme=scheme)
    page.goto(path)
    still(page)

    found = Axe().run(page, options={"runOnly": RULES}).response["violations"]

    assert [f"{one['id']}: {[node['target'] for node in one['nodes'][:3]]}" for one in found] == []


_SMALLER = """(all, least) => all.filter(one => {
  const { width, height } = one.getBoundingClientRect();
  return Math.min(width, height) < least; }).map(one => one.innerText)"""


def test_buttons_are_large_enough_for_a_finger(open_page: OpenPage) -> None:
    page = open_page("tablet")
    page.goto(f"{WORKBENCH}&selected=autopilot")
    page.locator("#selected .lead .button").first.click()
    expect(page.locator("#taps form button").first).to_be_visible()
    still(page)

    small = page.locator("button:visible, a.button:visible").evaluate_all(_SMALLER, FINGER_PX)

    assert small == []


def test_arrow_keys_walk_the_loads_of_the_drawing(open_page: OpenPage) -> None:
    page = open_page("desk")
    page.goto(WORKBENCH)
    still(page)
    page.locator("#load-starter").focus()
    page.keyboard.press("ArrowDown")
    first = page.evaluate("document.activeElement.id")
    page.keyboard.press("ArrowUp")

    assert first != "load-starter"
    assert page.evaluate("document.activeElement.id") == "load-starter"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_figures_in_the_drawing_stand_out(open_page: OpenPage, scheme: Literal["light", "dark"]) -> None:
    """Text against its plate: 7 to 1 in light, 4.5 to 1 in dark (WCAG 2.2, 1.4.6 and 1.4.3)."""
    page = open_page("desk")
    page.emulate_media(color_scheme=scheme)
    page.goto(WORKBENCH)
    still(page)

    worst = page.evaluate(_CONTRAST)

    assert worst >= (7 if scheme == "light" else 4.5)


_CONTRAST = """() => {
  const light = color => { const [r, g, b] = color.match(/[\\d.]+/g).map(Number).map(c => c / 255)
      .map(c => c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const against = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  let worst = 99;
  for (const rung of document.querySelectorAll('.rung.load')) {
    const plate = light(getComputedStyle(rung.querySelector('.plate')).fill);
    for (const text of rung.querySelectorAll('text'))
      worst = Math.min(worst, against(light(getComputedStyle(text).fill), plate));
  }
  return worst;
}"""
