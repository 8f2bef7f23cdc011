"""What every finding on a demo boat says, and that it keeps its name."""

from server.actions.findings import all_findings
from server.actions.results import Results
from server.boat.boat import Boat
from server.boat.document import read_boat
from server.boat.finding import Finding
from server.bundled import bundled


def boat(name: str) -> Boat:
    return read_boat((bundled("seed_boats") / f"{name}.json").read_bytes())


def found(name: str) -> tuple[Finding, ...]:
    return all_findings(Results(), name, boat(name))


def test_every_finding_says_what_against_which_limit_and_from_which_source() -> None:
    for name in ("1-sloop", "2-trawler", "3-workboat"):
        for one in found(name):
            assert one.message.endswith(".")
            assert one.source
            assert one.limit is None or one.figure is not None


def test_a_finding_keeps_its_id_and_no_two_share_one() -> None:
    first, second = found("2-trawler"), found("2-trawler")

    assert [one.id for one in first] == [one.id for one in second]
    assert len({one.id for one in first}) == len(first)
