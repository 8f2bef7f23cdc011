"""The drop's verdict and its finding are one rule: a badge in the table of loads has its finding."""

import pytest

from server.checks.supply import drop_findings
from server.engine.analysis import analyse_mode
from tests.engine.demo import demo_boat

CODES = {"fail": "drop-over-limit", "cannot-tell": "drop-too-close"}


@pytest.mark.parametrize("name", ["1-sloop", "2-trawler", "3-workboat", "4-outboard"])
def test_each_drop_that_does_not_pass_has_its_finding_and_no_other(name: str) -> None:
    boat = demo_boat(name)
    for mode in boat.modes:
        answer = analyse_mode(boat, mode.id)
        badges = {
            ((load.part, load.input), CODES[load.drop.verdict])
            for load in answer.loads
            if load.drop is not None and load.drop.limit_fraction is not None and load.drop.verdict != "pass"
        }

        assert {(one.subjects, one.code) for one in drop_findings(boat, answer)} == badges


def test_a_drop_passes_by_its_likeliest_figure_and_fails_by_its_lowest() -> None:
    """The sloop's autopilot: 2.4 to 4.1 %, likeliest 3.04 %; its pump 1.5 to 3.8 %, likeliest 2.3 %; 3 %."""
    boat = demo_boat("1-sloop")
    answers = [analyse_mode(boat, mode.id) for mode in boat.modes]
    loads = {load.id: load.drop for one in answers for load in one.loads if load.drop is not None}
    pilot, pump, light = (
        loads[name] for name in ("autopilot.supply", "bilge-pump.automatic", "tricolour.supply")
    )

    assert pilot.judged_low_fraction < 0.03 < pilot.judged_fraction
    assert pump.judged_fraction < 0.03 < pump.judged_high_fraction
    assert light.judged_low_fraction > 0.03
    assert (pilot.verdict, pump.verdict, light.verdict) == ("cannot-tell", "pass", "fail")
