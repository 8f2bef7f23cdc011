"""What is accepted stays so while it is no worse; which of two is worse; what an edit does to all."""

import pytest

from server.boat.acceptance import Acceptance
from server.boat.boat import Boat
from server.boat.edits import AcceptFinding, apply
from server.boat.figure import Figure, Severity
from server.boat.finding import Finding
from server.checks.accepted import come_back, open_ones, with_acceptances
from server.checks.copper import bought
from server.checks.effects import brings_harm, effect, is_cure
from server.checks.worse import excess, is_worse
from tests.checks.small import read, small


def finding(
    code: str = "over-rating",
    value: float | None = 110.0,
    limit: float | None = 100.0,
    severity: Severity = "fault",
    subject: str = "switch",
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        subjects=(subject,),
        figure=None if value is None else Figure(value=value, unit="A", basis="computed"),
        limit=None if limit is None else Figure(value=limit, unit="A", basis="rule"),
        message="Look it up.",
        source="as entered",
        source_status="document",
    )


def accepting(one: Finding) -> Boat:
    """The small boat with a finding let stand."""
    shared = {name: getattr(one, name) for name in ("code", "subjects", "severity", "figure", "limit")}
    acceptance = Acceptance(**shared, by="A. Surveyor", reason="Renewed every spring.")
    return apply(read(small()), AcceptFinding(acceptance=acceptance))


@pytest.mark.parametrize(
    ("now", "is_open"),
    [
        (finding(value=110.0), False),
        (finding(value=104.0), False),
        (finding(value=110.0 + 1e-6), False),  # rounding
        (finding(value=112.0), True),
        (finding(value=110.0, limit=90.0), True),  # farther past a lower limit
        (finding(value=104.0, severity="danger"), True),
        (finding(value=120.0, severity="advice"), False),
        (finding(subject="fuse"), True),  # another one
    ],
)
def test_an_accepted_finding_comes_back_as_soon_as_it_is_worse(now: Finding, is_open: bool) -> None:
    (marked,) = with_acceptances(accepting(finding()), [now])

    assert (marked.accepted is None) == is_open
    assert (open_ones([marked]) == (marked,)) == is_open


def test_one_that_has_come_back_says_with_what_it_was_accepted() -> None:
    boat = accepting(finding())
    worse, same = with_acceptances(boat, [finding(value=120.0), finding()])

    assert come_back(boat, worse).startswith("Accepted by A. Surveyor at 110 A; it is worse now")
    assert come_back(boat, same) == ""
    assert come_back(read(small()), finding()) == ""
    without = finding(value=None, limit=None)
    danger = without.model_copy(update={"severity": "danger"})
    assert come_back(accepting(without), danger).startswith("Accepted by A. Surveyor; it is worse now")


def test_volts_that_a_load_needs_are_worse_when_lower_and_currents_when_higher() -> None:
    assert is_worse(finding("restarts", 7.0, 9.0), finding("restarts", 8.0, 9.0))
    assert not is_worse(finding("restarts", 8.0, 9.0), finding("restarts", 7.0, 9.0))
    assert is_worse(finding(value=12.0), finding(value=11.0))
    assert is_worse(finding("limit-not-known", 7.0, None), finding("limit-not-known", 8.0, None))


def test_how_far_a_figure_is_past_its_limit_is_a_share_of_the_limit() -> None:
    assert excess(finding(value=150.0)) == pytest.approx(0.5)
    assert excess(finding("restarts", 4.5, 9.0)) == pytest.approx(0.5)
    assert excess(finding(value=2.0, limit=0.0)) == 2.0
    assert excess(finding(value=None)) == 0.0


def test_an_edits_effect_is_what_goes_comes_and_changes() -> None:
    stays, went, came = finding(), finding(subject="fuse"), finding(subject="plus")
    moved = finding(value=105.0)
    plain, other = finding(value=None, subject="shunt"), finding(value=3.0, subject="shunt")
    found = effect([stays, went, plain], [moved, came, other])

    assert found.gone == (went,)
    assert found.come == (came,)
    assert found.changed == ((stays, moved), (plain, other))
    assert effect([stays], [finding(value=110.3)]).changed == ()  # less than is shown


def test_a_finding_that_opens_again_has_come() -> None:
    (accepted,) = with_acceptances(accepting(finding()), [finding()])

    assert effect([accepted], [finding(value=120.0)]).come == (finding(value=120.0),)


def test_an_edit_that_brings_or_worsens_something_as_bad_is_no_cure() -> None:
    mended = finding(severity="danger")
    advice, fault = finding(severity="advice", subject="fuse"), finding(subject="fuse")

    assert is_cure(mended, effect([mended], [advice]))
    assert not is_cure(mended, effect([mended], [fault]))  # no cure for the price of a fault
    assert not is_cure(
        mended, effect([mended, finding(subject="fuse")], [finding(value=140.0, subject="fuse")])
    )
    assert is_cure(mended, effect([mended, finding(subject="fuse")], [finding(value=105.0, subject="fuse")]))
    assert not is_cure(mended, effect([mended], [mended]))
    hint = finding(severity="advice")
    assert brings_harm(hint, effect([hint], [advice]))


def test_cable_that_is_cut_in_two_is_not_bought_again_and_one_that_does_not_reach_is_bought_whole() -> None:
    boat = read(small())
    first = boat.conductors[0]
    halves = [first.model_copy(update={"id": name, "length_m": 0.5}) for name in ("one", "two")]
    longer = first.model_copy(update={"length_m": 3.0})
    rerun = first.model_copy(update={"length_m": 1.04})

    assert bought(boat, boat.model_copy(update={"conductors": (*halves, *boat.conductors[1:])})) == ()
    assert bought(boat, boat.model_copy(update={"conductors": (rerun, *boat.conductors[1:])})) == ()
    (more,) = bought(boat, boat.model_copy(update={"conductors": (longer, *boat.conductors[1:])}))
    assert (more.label, more.length_m) == ("10 AWG", 3.0)
    assert more.copper_kg == pytest.approx(5.26 * 3.0 * 8.89e-3, rel=1e-3)
