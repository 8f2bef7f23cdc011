"""A hand on the wiring diagram: mouse, finger and keys, aiming at what the drawing says of itself."""

import time
from dataclasses import dataclass

from playwright.sync_api import CDPSession, Locator, Page, expect

from tests.e2e import calm

LIFT_PX = 64
"""How far above a finger a carried lead's end rides."""

_PLACE = """selector => {
  const element = document.querySelector(selector);
  const matrix = document.querySelector('#diagram').getScreenCTM();
  const at = new DOMPoint(+element.dataset.x, +element.dataset.y).matrixTransform(matrix);
  return [at.x, at.y];
}"""

_TARGETS = """() => [...document.querySelectorAll('#taps form[data-tap]')].map(form =>
  [form.dataset.tap, ...(form.dataset.same || '').split(' ').filter(Boolean)]
    .filter(id => document.getElementById(id)))"""

_PANE = """() => { const box = document.querySelector('#scene').getBoundingClientRect();
  const bars = [...document.querySelectorAll('#answer-bar, #lead-back')]
    .map(bar => bar.getBoundingClientRect()).filter(bar => bar.height);
  const middle = (box.top + box.bottom) / 2;
  const above = bars.filter(bar => bar.top < middle).map(bar => bar.bottom);
  const below = bars.filter(bar => bar.top > middle).map(bar => bar.top);
  const top = Math.max(0, box.top, ...above);
  const bottom = Math.min(innerHeight, box.bottom, ...below);
  return [box.left, top, box.right, bottom]; }"""
"""The part of the scene that neither the window's edge nor a bar over it hides."""

Point = tuple[float, float]


def place(page: Page, selector: str) -> Point:
    """Where an element of the drawing stands on the screen."""
    calm.calm(page)
    x, y = page.evaluate(_PLACE, selector)
    return x, y


def grip(part: str, terminal: str) -> str:
    """The selector of a lead's grip."""
    return f"#grip-{part}--{terminal}"


def pane(page: Page) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of the part of the picture that is in view."""
    left, top, right, bottom = page.evaluate(_PANE)
    return left, top, right, bottom


def is_in_sight(page: Page, first: str, margin: float = 30) -> bool:
    """Whether a terminal that begins with ``first`` stands well inside the pane; nothing is carried yet."""
    left, top, right, bottom = pane(page)
    names = page.locator(f"#diagram [id^='tap-{first}']").evaluate_all("all => all.map(one => one.id)")
    return any(
        left + margin < x < right - margin and top + margin < y < bottom - margin
        for x, y in (place(page, f"#{name}") for name in names)
    )


def visible_target(page: Page, first: str, margin: float = 30) -> tuple[str, Point]:
    """The terminal of the first target that begins with ``first`` and stands well inside the pane."""
    left, top, right, bottom = pane(page)
    seen: list[tuple[str, Point]] = []
    for names in page.evaluate(_TARGETS):
        if not names or not names[0].startswith(f"tap-{first}"):
            continue
        for name in names:
            x, y = place(page, f"#{name}")
            seen.append((name, (x, y)))
            if left + margin < x < right - margin and top + margin < y < bottom - margin:
                return name, (x, y)
    message = f"no target {first} in sight of {(left, top, right, bottom)}: {seen}"
    raise AssertionError(message)


def wait_for_shape(page: Page) -> None:
    """Until the drawing has the shape that the screen asks for, and all that comes by itself has come."""
    expect(page.locator("#scene[data-shape]")).to_be_attached()
    calm.still(page)


def wait_for_answers(page: Page, part: str, terminal: str) -> None:
    """Until the ranked list speaks of the lead in the hand."""
    expect(page.locator(f"#taps[data-part='{part}'][data-terminal='{terminal}'] form").first).to_be_attached()
    expect(page.locator("#answer-line-1")).not_to_contain_text("Asking")  # the hand has taken them over


def wait_for_catch(page: Page) -> None:
    """Until the carried end has caught a target and kept it long enough to be put down."""
    expect(page.locator("#held-lead .held-catch")).not_to_have_attribute("r", "0")
    expect(page.locator("wiring-scene[data-settled]")).to_be_attached()


def short_click(page: Page, button: Locator) -> None:
    """Press a button by mouse for 50 ms by the events' own clock, whatever the machine needs for it."""
    calm.calm(page)
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    session, began = page.context.new_cdp_session(page), time.time()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for kind, after_s in (("mousePressed", 0), ("mouseReleased", 0.05)):
        session.send(
            "Input.dispatchMouseEvent",
            {"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1, "timestamp": began + after_s},
        )


@dataclass(frozen=True)
class Finger:
    """One finger on a touch screen, through the browser's own protocol."""

    page: Page
    session: CDPSession

    @classmethod
    def on(cls, page: Page) -> "Finger":
        """A finger for a page."""
        return cls(page, page.context.new_cdp_session(page))

    def down(self, at: Point, finger: int = 0) -> None:
        """Touch the screen once the page listens; while the finger is down, nothing waits."""
        calm.calm(self.page)
        calm.haste(self.page, on=True)
        self._send("touchStart", [(at, finger)])

    def move(self, at: Point, finger: int = 0) -> None:
        """Slide to a point."""
        self._send("touchMove", [(at, finger)])

    def slide(self, start: Point, end: Point, steps: int = 8) -> None:
        """Slide along a line."""
        for step in range(1, steps + 1):
            share = step / steps
            self.move((start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share))

    def up(self) -> None:
        """Lift the finger."""
        self._send("touchEnd", [])
        self._is_off()

    def cancel(self) -> None:
        """The system takes the touch away."""
        self._send("touchCancel", [])
        self._is_off()

    def _is_off(self) -> None:
        calm.haste(self.page, on=False)
        calm.touched(self.page)

    def _send(self, kind: str, points: list[tuple[Point, int]]) -> None:
        touches = [{"x": at[0], "y": at[1], "id": finger} for at, finger in points]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
