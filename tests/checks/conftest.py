"""Whatever a test of the checks brings up: a finding that cannot tell names what to look at on the boat."""

import re
from typing import Any

import pytest

from server.boat.finding import Finding

TO_DO = re.compile(r"\b(look|measure|enter|read|say|state|see|ask|judge by)\b", re.I)
"""What somebody aboard, or with the manual, can do about it."""


@pytest.fixture(autouse=True)
def every_cannot_tell_names_what_to_look_at(monkeypatch: pytest.MonkeyPatch) -> None:
    ordinary = Finding.__init__

    def told(finding: Finding, **values: Any) -> None:  # noqa: ANN401 - whatever a finding is made of
        ordinary(finding, **values)
        assert finding.severity != "cannot-tell" or TO_DO.search(finding.message), finding.message

    monkeypatch.setattr(Finding, "__init__", told)
