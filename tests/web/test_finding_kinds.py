"""Every code that a check gives is of a kind that findings can be chosen by."""

import ast

from server.bundled import bundled
from server.checks.supply import STATE_SEVERITIES
from server.web.views.finding_kinds import KIND_OF, KINDS

CHECKS = bundled("seed_boats").parent / "server" / "checks"


def codes() -> set[str]:
    """What stands behind ``code=`` in the checks, and the states that loads and parts can be in."""
    found = set(STATE_SEVERITIES)
    for path in CHECKS.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "code":
                found |= {
                    part.value
                    for part in ast.walk(node.value)
                    if isinstance(part, ast.Constant) and isinstance(part.value, str)
                }
    return found


def test_every_code_of_a_check_has_a_kind() -> None:
    assert len(codes()) > 40
    assert codes() - set(KIND_OF) == set()
    assert set(KIND_OF.values()) == set(KINDS)
