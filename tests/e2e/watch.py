"""Notes everything that must not happen in a page while a test runs in it."""

import re
from dataclasses import dataclass, field

from playwright.sync_api import ConsoleMessage, Error, Page, Request

_STATUS = re.compile(r"the server responded with a status of (\d+)")


@dataclass
class Watch:
    """The troubles of some pages: console messages, script errors, requests that leave the machine.

    Attributes:
        url: the server; requests to anywhere else leave the machine.
        expected_statuses: error answers that are no trouble, because the test provokes them.
    """

    url: str
    expected_statuses: set[int] = field(default_factory=set)
    troubles: list[str] = field(default_factory=list)

    def over(self, page: Page) -> None:
        """Watch a page from now on."""
        page.on("console", self._console)
        page.on("pageerror", self._script)
        page.on("request", self._request)

    def _console(self, message: ConsoleMessage) -> None:
        status = _STATUS.search(message.text)
        if status is None or int(status[1]) not in self.expected_statuses:
            self.troubles.append(f"console {message.type}: {message.text}")

    def _script(self, error: Error) -> None:
        self.troubles.append(f"script: {error}")

    def _request(self, sent: Request) -> None:
        if not sent.url.startswith((self.url + "/", "data:", "blob:")):
            self.troubles.append(f"left the machine: {sent.url}")
