"""The one path to a browser never ends in a silent skip."""

import pytest
from playwright.sync_api import Browser, Error

from tests.e2e import browser as finder


class NoBrowser:
    """Stands for a playwright that can start nothing."""

    class Chromium:
        def launch(self, **_: object) -> Browser:
            raise Error("cannot start")

    chromium = Chromium()


def test_a_named_browser_that_fails_is_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TAPCHART_BROWSER", "/nowhere/chromium")

    with pytest.raises(pytest.fail.Exception, match="TAPCHART_BROWSER=/nowhere/chromium: cannot start"):
        finder.launch(NoBrowser())  # type: ignore[arg-type]


def test_without_any_browser_the_failure_names_what_was_tried_and_the_remedy(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("TAPCHART_BROWSER", raising=False)
    monkeypatch.setattr(finder, "fetch", lambda: "playwright install ended with 1 and said: refused")

    with pytest.raises(
        pytest.fail.Exception, match=r"(?s)playwright's own: .*said: refused.*sudo apt install"
    ):
        finder.launch(NoBrowser())  # type: ignore[arg-type]
