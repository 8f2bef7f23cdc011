"""What the runs of a boat tell the checks: bundles, engine spaces, and how far a fuse sits from a battery."""

from typing import Any

import pytest

from server.boat.boat import Boat
from server.boat.edits import PlacePart, PutRun, apply
from server.boat.finding import Finding
from server.boat.laid import Laid
from server.boat.value import Place
from server.checks.installation import sparks_in_vapour
from server.checks.location import distant_devices
from server.checks.mending.patient import Patient
from server.checks.protection import conductor_ampacity
from server.checks.runs import FILL_KEY, few_spare_ways, trunkings_too_full
from server.checks.working import working
from server.practice.sourced import Sourced
from tests.checks.small import read, small

RUN = {"id": "run", "name": "Starboard side", "start": "aft", "end": "fore", "length_m": 3.0, "zone": "cabin"}
PLACED = {"fuse": "aft", "switch": "aft", "plus": "aft", "minus": "aft", "radio": "fore", "house": "aft"}


def laid(run: dict[str, Any] | None = None, **figures: Any) -> Boat:  # noqa: ANN401 - figures of the boat
    """The small boat with its radio at the other end of a run from all else."""
    body = small() | figures
    body["zones"] = [{"id": "cabin", "name": "Cabin"}, {"id": "hot", "name": "Engine", "engine_space": True}]
    body["waypoints"] = [{"id": "aft", "name": "Aft"}, {"id": "fore", "name": "Fore"}]
    body["parts"] = [
        part | ({"waypoint": PLACED[part["id"]], "zone": "cabin"} if part["id"] in PLACED else {})
        for part in body["parts"]
    ]
    third = body["conductors"][3] | {"id": "third"}
    body["conductors"] = [*body["conductors"], third]
    boat = read(body)
    return apply(boat, PutRun.model_validate({"run": RUN | (run or {})}))


def amps(boat: Boat, name: str = "c4") -> float:
    found = conductor_ampacity(boat, next(one for one in boat.conductors if one.id == name))
    assert isinstance(found, Sourced)
    return found.value


def test_three_wires_in_a_run_are_a_bundle_and_derated() -> None:
    """ABYC E-11 (2008) 11.14.3.7.1, from memory: × 0.7 beyond 610 mm, whatever the count."""
    bundled, alone = laid(), laid({"length_m": 0.5})

    assert amps(alone) == 60.0
    assert amps(bundled) == pytest.approx(60.0 * 0.7)
    assert amps(bundled, "c1") == 60.0
    found = conductor_ampacity(bundled, bundled.conductors[3])
    assert isinstance(found, Sourced)
    assert found.status == "memory"
    assert "11.14.3.7.1" in found.source


def test_at_mains_like_voltages_the_law_derates_by_the_count() -> None:
    """33 CFR 183.425 Table 5 note 2: three conductors × 0.70, four to six × 0.60."""
    high = laid(nominal_voltage_v=60.0)

    assert amps(high) == pytest.approx(60.0 * 0.7)


def test_a_run_through_the_engine_space_derates_what_goes_through_it() -> None:
    """33 CFR 183.425 Table 5 note 1: × 0.85 for 105 °C insulation."""
    hot, alone = laid({"zone": "hot", "length_m": 0.5}), laid({"length_m": 0.5})

    assert amps(hot) == pytest.approx(amps(alone) * 0.85)
    assert amps(hot, "c2") == amps(alone, "c2")


def test_a_fuse_that_is_put_away_from_the_battery_is_too_far_by_its_way() -> None:
    """ABYC E-11 11.10.1: 1.83 m (72 in) in a sheath from a battery; the way is 0.5 + 3 + 0.1 m and ends."""
    near = apply(laid(), PlacePart(part="house", waypoint="aft", from_waypoint_m=0.5))
    near = apply(near, PlacePart(part="fuse", waypoint="aft", from_waypoint_m=0.1))
    far = apply(near, PlacePart(part="fuse", waypoint="fore", from_waypoint_m=0.1))

    assert list(distant_devices(near)) == []
    found = next(iter(distant_devices(far)))
    assert found.subjects[0] == "fuse"
    assert found.figure is not None
    assert found.figure.value == pytest.approx(0.5 + 3.0 + 0.1 + 2 * 0.2)


def test_a_pump_that_is_drawn_in_a_space_with_vapour_is_found_there() -> None:
    """Common practice, no source: what can spark lies outside of spaces with vapour, or is protected."""
    body = small()
    body["zones"] = [
        {
            "id": "tank",
            "name": "Tank space",
            "vapour_risk": True,
            "outline": [
                {"from_bow_m": x, "from_centreline_m": y} for x, y in ((1.0, -1.0), (3.0, -1.0), (3.0, 1.0))
            ],
        }
    ]
    inside = apply(read(body), PlacePart(part="switch", place=Place(from_bow_m=2.5, from_centreline_m=-0.5)))
    outside = apply(inside, PlacePart(part="switch", place=Place(from_bow_m=5.0)))

    assert [one.subjects for one in sparks_in_vapour(inside)] == [("tank", "switch")]
    assert list(sparks_in_vapour(outside)) == []


TRUNKED = {"trunking_mm2": 100.0}


def full(boat: Boat) -> Finding | None:
    return next(trunkings_too_full(boat), None)


def test_a_trunking_is_too_full_by_the_outside_of_its_cables_and_the_growth_asked_for() -> None:
    """Three conductors of 5.26 mm² (10 AWG), 3.5 times that outside: 55 mm², 40 % taken as the most."""
    copper = sum(one.size.area_mm2 for one in Laid.of(laid(TRUNKED)).in_run["run"] if one.size is not None)
    found = full(laid(TRUNKED))
    roomy = {"trunking_mm2": copper * 3.5 / 0.39}
    grown = full(laid(roomy, margin={"growth": 0.25}))

    assert full(laid()) is None
    assert found is not None
    assert found.figure is not None
    assert found.figure.value == pytest.approx(100 * copper * 3.5 / 100.0)
    assert (found.severity, found.source_status, found.subjects) == ("advice", "memory", ("run",))
    assert "40% is taken as the most" in found.message
    assert full(laid(roomy)) is None
    assert grown is not None
    assert grown.figure is not None
    assert grown.figure.value == pytest.approx(39 * 1.25)
    assert "49% with the growth asked for" in grown.message
    own = {"key": FILL_KEY, "low": 0.3, "value": 0.5, "high": 0.6, "source": "the yard's own"}
    assert full(laid(roomy, margin={"growth": 0.25}, assumptions=[own])) is None
    tight = full(laid(TRUNKED, assumptions=[own]))
    assert tight is not None
    assert tight.source == "the yard's own"


def test_what_is_of_unknown_size_in_a_trunking_makes_its_fill_a_least() -> None:
    boat = laid({"trunking_mm2": 50.0})
    known = boat.conductors
    partly = boat.model_copy(
        update={"conductors": (*known[:-1], known[-1].model_copy(update={"size": None}))}
    )
    found = full(partly)
    none = boat.model_copy(
        update={"conductors": tuple(one.model_copy(update={"size": None}) for one in known)}
    )

    assert found is not None
    assert "at least, as the size of 1 in it is not known" in found.message
    assert full(none) is None


def test_how_a_fill_comes_about_is_told_line_by_line() -> None:
    boat = laid(TRUNKED, margin={"growth": 0.25})
    found = full(boat)
    assert found is not None
    steps = working(Patient(boat, found, ()))

    assert [one.what for one in steps[:4]] == [
        "Copper of the conductors in it",
        "Outside of their cables",
        "Of the inside of its trunking",
        "With the growth asked for",
    ]
    assert steps[-1].result == "fails"


@pytest.mark.parametrize(("asked", "told"), [(5, "4 ways are free"), (4, "")])
def test_a_panel_with_fewer_spare_ways_than_asked_for_is_told(asked: int, told: str) -> None:
    """Six ways, two of them in use."""
    panel = {
        "kind": "panel",
        "id": "board",
        "name": "Main panel",
        "sections": [
            {
                "id": "main",
                "name": "Main",
                "polarity": "positive",
                "ways": [{"id": f"w{n}", "name": f"Way {n}"} for n in range(6)],
            }
        ],
    }
    body = small()
    body["parts"] = [*body["parts"], panel]
    used = [
        {"id": f"used{n}", "kind": "wire", "tail": {"part": "board", "terminal": f"main-w{n}"}}
        for n in range(2)
    ]
    body["conductors"] = [*body["conductors"], *used]
    body["margin"] = {"spare_ways": asked}
    found = next(few_spare_ways(read(body)), None)

    assert list(few_spare_ways(laid())) == []
    assert (found.message if found else "").startswith(told)
    assert (found is None) == (told == "")
