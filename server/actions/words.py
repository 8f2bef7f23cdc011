"""Verdicts and states as people say them, the same on the pages and in a terminal."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.engine.answer import LoadState, Verdict

VERDICTS: "dict[Verdict, str]" = {
    "keeps-running": "keeps running",
    "restarts": "restarts",
    "too-close-to-call": "too close to call",
    "limit-not-known": "limit not known",
}
STATES: "dict[LoadState, str]" = {
    "fed": "",
    "not-connected": "not connected",
    "switched-off": "switched off",
    "shorted": "shorted",
    "cannot-run": "cannot run",
    "not-solved": "not solved",
}
