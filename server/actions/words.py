"""Verdicts, states and what a place breaks as people say them, the same on the pages and in a terminal."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from server.engine.answer import Break, LoadState, Verdict

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
BREAKS: "dict[Break, str]" = {
    "unprotected": "no fuse or breaker would protect it",
    "always-live": "it would stay alive with the battery switch off",
    "uncounted": "the battery monitor would not count it",
    "stud-full": "the stud is full",
    "way-occupied": "the way is taken",
    "other-voltage": "that is another voltage",
    "other-polarity": "that is the other pole",
    "wrong-switching": "it would be switched with something else",
    "device-too-small": "the fuse or breaker there is too small for it",
    "device-too-large": "the fuse or breaker there is too large for its wire",
    "engine-return": "an engine's metal is no return for it",
}
