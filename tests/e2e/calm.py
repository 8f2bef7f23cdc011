"""Hands that wait, as a person's do, until the page listens.

Before an act and before a look at one place, nothing that a hand asked for is under way: no request, no swap,
no way to another page. What the page asks for by itself only ``still`` waits for. What a test does
while a pointer is down, or inside ``at_once()``, is done at once: so races are tried on purpose.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from itertools import count
from weakref import WeakSet

import pytest
from playwright.sync_api import Locator, Page

CALM_TIMEOUT_MS = 240_000
TOUCH_FRAMES = 2
"""After a touch the browser makes the click by itself, a little later."""

WATCH = """(() => {
  let [fetches, leaves] = [0, false];
  const fetch = window.fetch;
  window.fetch = (...asked) => {
    fetches += 1;
    return fetch(...asked).finally(() => { fetches -= 1; });
  };
  addEventListener("beforeunload", () => { leaves = true; });
  const busy = ".htmx-request:not([hx-trigger*='load']), .htmx-swapping, .htmx-settling, .htmx-added";
  let [asker, frames] = [0, 0];
  window.isCalm = (by, many) => {
    if (by !== asker) [asker, frames] = [by, 0];
    const calm = document.readyState === "complete" && !leaves && !fetches && !document.querySelector(busy);
    frames = calm ? frames + 1 : 0;
    return frames >= many;
  };
  window.isStill = () => !document.querySelector(".htmx-request");
})();"""
"""Runs in each page before its own scripts."""

_IS_CALM = "([by, many]) => location.href === 'about:blank' || isCalm(by, many)"
_PAGE_ACTS = ("goto", "reload", "click", "fill", "select_option")
_ACTS = ("click", "tap", "hover", "fill", "press", "check", "select_option", "set_input_files", "focus")
_LOOKS = ("bounding_box", "get_attribute", "input_value", "inner_text", "text_content", "count", "all")

_askers = count(1)
_watched: WeakSet[Page] = WeakSet()
_touched: WeakSet[Page] = WeakSet()
_in_haste: WeakSet[Page] = WeakSet()


def calm(page: Page) -> None:
    """Wait until the page listens; at once where a pointer is down."""
    if page not in _watched or page in _in_haste:
        return
    frames = TOUCH_FRAMES if page in _touched else 1
    _touched.discard(page)
    page.wait_for_function(_IS_CALM, arg=[next(_askers), frames], timeout=CALM_TIMEOUT_MS)


def still(page: Page) -> None:
    """Wait until nothing comes by itself either: where things stand on the screen does not change then."""
    calm(page)
    if page not in _in_haste:
        page.wait_for_function("() => isStill()", timeout=CALM_TIMEOUT_MS)


def touched(page: Page) -> None:
    """Remember that a finger was lifted."""
    _touched.add(page)


def haste(page: Page, *, on: bool) -> None:
    """Whether what follows is done without waiting."""
    (_in_haste.add if on else _in_haste.discard)(page)


@contextmanager
def at_once(page: Page) -> Iterator[None]:
    """What is done inside does not wait for the page: a race that is tried on purpose."""
    haste(page, on=True)
    yield
    haste(page, on=False)


def watch(page: Page) -> None:
    """Let all hands on a page wait from now on; ``WATCH`` runs in it."""
    _watched.add(page)
    for owner, name in (
        *((page, name) for name in _PAGE_ACTS),
        (page.keyboard, "press"),
        (page.keyboard, "type"),
        (page.mouse, "click"),
        (page.touchscreen, "tap"),
    ):
        setattr(owner, name, _after_calm(getattr(owner, name), lambda *_: page, is_touch=name == "tap"))
    down, up = _after_calm(page.mouse.down, lambda: page), page.mouse.up

    def press() -> None:
        down()
        haste(page, on=True)

    def release() -> None:
        up()
        haste(page, on=False)

    page.mouse.down = press  # type: ignore[assignment, method-assign]
    page.mouse.up = release  # type: ignore[assignment, method-assign]


def patient_locators(patch: pytest.MonkeyPatch) -> None:
    """Let what locators do and tell wait on the pages that are watched."""
    for name in (*_ACTS, *_LOOKS):
        act = _after_calm(getattr(Locator, name), lambda locator, *_: locator.page, is_touch=name == "tap")
        patch.setattr(Locator, name, act)


def _after_calm(
    act: Callable[..., object], page_of: Callable[..., Page], *, is_touch: bool = False
) -> Callable[..., object]:
    @wraps(act)
    def patient(*asked: object, **named: object) -> object:
        page = page_of(*asked)
        calm(page)
        if is_touch:
            touched(page)
        return act(*asked, **named)

    return patient
