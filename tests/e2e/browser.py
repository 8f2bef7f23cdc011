"""One path to a browser: named, playwright's own, the system's, fetched; else a failure with remedies."""

import os
import shutil
import subprocess
import sys
from typing import NoReturn

import pytest
from playwright.sync_api import Browser, Error, Playwright

# Chromium looks up outside hosts by itself at start; this stops it, and shows that our pages need none.
FLAGS = ["--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"]
LAUNCH_TIMEOUT_MS = 20_000
SYSTEM_NAMES = (
    "chromium-headless-shell",
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
)
MAC_CHROME = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"


def launch(playwright: Playwright) -> Browser:
    """A Chromium from the first place that has one."""
    tried: list[str] = []

    def attempt(label: str, executable: str | None) -> Browser | None:
        try:
            return playwright.chromium.launch(
                executable_path=executable, args=FLAGS, timeout=LAUNCH_TIMEOUT_MS
            )
        except Error as error:
            tried.append(f"{label}: {error.message.strip().splitlines()[0]}")
            return None

    if named := os.environ.get("TAPCHART_BROWSER"):
        return attempt(f"TAPCHART_BROWSER={named}", named) or give_up(tried)
    found = (path for name in (*SYSTEM_NAMES, MAC_CHROME) if (path := shutil.which(name)))
    for label, executable in (("playwright's own", None), *((path, path) for path in found)):
        if browser := attempt(label, executable):
            return browser
    tried.append(fetch())
    return attempt("the one playwright was asked to fetch", None) or give_up(tried)


def fetch() -> str:
    """Let playwright fetch its own browser; answers what came of it."""
    command = [sys.executable, "-m", "playwright", "install", "--only-shell", "chromium"]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    said = (run.stderr or run.stdout).strip().splitlines() or ["nothing"]
    return f"playwright install ended with {run.returncode} and said: {said[-1]}"


def give_up(tried: list[str]) -> NoReturn:
    """Fail, naming what was tried and the remedies."""
    pytest.fail(
        "No Chromium can be started. Tried:\n  "
        + "\n  ".join(tried)
        + "\nInstall one: on Debian or Ubuntu `sudo apt install chromium libatomic1`, elsewhere Chrome,"
        "\nor name one: TAPCHART_BROWSER=/path/to/chromium",
        pytrace=False,
    )
