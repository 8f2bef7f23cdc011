"""How far the lowest and the highest voltages may lie when every assumption may lie anywhere in its band.

Each uncertain figure is moved to both ends of its band, and the event solved anew each time; its effect runs
in straight lines through the three values. Then all figures are drawn at once, ``DRAWS`` times from a seeded
generator, and their effects added up: exact for every figure alone, first order between figures. A release's
peak is a product of several figures, so at the ends of the bands that is not enough: the draws that lie
furthest out are solved whole, and an end moves out by as much as the added effects fell short there. The
event is shortened for all that to its start and its release, without ripple, which moves neither much.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.engine.answer import Band
from server.engine.arrays import Floats, Indices
from server.engine.figures import Figures
from server.engine.needs import Need
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.draw import Draw
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import Pairs
from server.engine.transient.solver import solve
from server.engine.transient.waves import Wave
from server.engine.transient.wiring import Wiring
from server.units import Second, Volt

DRAWS = 1000
SEED = 20_260_101
OUTSIDE_PER_CENT = 0.5
"""Of the draws, this share may lie below the band and as much above it."""
SOLVED = 3
"""So many draws are solved whole at each end of the lowest and of the highest voltages."""
UNMOVED = 1e-9
"""A spread below this is rounding."""
SHORTENED_S: Second = 0.3
AFTER_RELEASE_S: Second = 0.01
CHORD_V = 0.005
STEP_V = 1e-2
"""Against steps thirty times finer the ends of no band move by more than 5 mV."""


@dataclass(frozen=True, slots=True)
class DrawnBand:
    """Bands of one point: its lowest and highest voltage, and its longest times below its need's two ends.

    ``matters_most`` is the title of the figure that moves the lowest voltage most.
    """

    lowest: Band
    highest: Band
    surely_below_s: Second
    perhaps_below_s: Second
    matters_most: str | None


@dataclass(frozen=True, eq=False)
class _Measured:
    """What is read off a solved event for every point: lowest, highest, times below both ends (rows)."""

    figures: Floats
    wiring: Wiring

    @classmethod
    def of(
        cls,
        circuit: TransientCircuit,
        pairs: Pairs,
        needs: Sequence[Need | None],
        like: Wiring | None = None,
    ) -> "_Measured":
        solved = solve(circuit, STEP_V, like)
        times, volts, extremes = solved.waves_and_extremes(pairs, CHORD_V)
        rows = zip(volts, needs, extremes.low.tolist(), strict=True)
        below = [_times_below(Wave(times, row), need, low) for row, need, low in rows]
        surely, perhaps = np.array(below).reshape(-1, 2).T
        return cls(np.stack([extremes.low, extremes.high, surely, perhaps]), solved.wiring)


def _times_below(wave: Wave, need: Need | None, lowest_v: Volt) -> tuple[Second, Second]:
    if need is None or need.low_v is None or need.high_v is None or lowest_v >= need.high_v:
        return 0.0, 0.0
    return wave.longest_below(need.low_v), wave.longest_below(need.high_v)


def drawn_bands(
    model: BoatModel, pairs: Pairs, needs: Sequence[Need | None], lowest: Floats, highest: Floats
) -> tuple[DrawnBand, ...]:
    """The bands of all points around their lowest and highest voltages.

    Raises:
        TransientError: with some figure at an end of its band the event cannot be solved.
    """
    if not pairs:
        return ()
    undrawn = _Measured.of(shortened(model.circuit()), pairs, needs)
    nominal = undrawn.figures

    def measured(circuit: TransientCircuit) -> Floats:
        return _Measured.of(circuit, pairs, needs, undrawn.wiring).figures

    moved = list(moved_figures(model))
    low, high = (
        np.array(
            [np.zeros_like(nominal) if circuit is None else measured(circuit) - nominal for circuit in ends]
        ).reshape(len(moved), *nominal.shape)
        for ends in ([one.low for one in moved], [one.high for one in moved])
    )
    positions = np.random.default_rng(SEED).triangular(-1.0, 0.0, 1.0, size=(DRAWS, len(moved)))
    drawn = nominal + added_up(positions, low, high)
    bottom, top = np.percentile(drawn, [OUTSIDE_PER_CENT, 100 - OUTSIDE_PER_CENT], axis=0)
    for ends, outermost in _outermost(drawn) if moved else ():
        circuits = (shortened(model.circuit(draw_at(model, moved, positions[n]))) for n in outermost)
        off = [measured(circuit) - drawn[n] for n, circuit in zip(outermost, circuits, strict=True)]
        bottom[ends] += np.min(off, axis=0, initial=0.0)[ends]
        top[ends] += np.max(off, axis=0, initial=0.0)[ends]
    titles = [one.title for one in moved]
    width = np.abs(low[:, 0]) + np.abs(high[:, 0])
    return tuple(
        DrawnBand(
            lowest=_around(float(lowest[k]), bottom[0, k] - nominal[0, k], top[0, k] - nominal[0, k]),
            highest=_around(float(highest[k]), bottom[1, k] - nominal[1, k], top[1, k] - nominal[1, k]),
            surely_below_s=max(float(bottom[2, k]), 0.0),
            perhaps_below_s=max(float(top[3, k]), 0.0),
            matters_most=titles[int(width[:, k].argmax())] if width[:, k].any() else None,
        )
        for k in range(len(pairs))
    )


def _around(value: float, below: float, above: float) -> Band:
    return Band(value + min(float(below), 0.0), value, value + max(float(above), 0.0))


def added_up(positions: Floats, low: Floats, high: Floats) -> Floats:
    """The added effects of all figures in every draw, by each one's effect at both ends of its band."""
    up, down = np.maximum(positions, 0.0), np.maximum(-positions, 0.0)
    total: Floats = np.tensordot(up, high, axes=1) + np.tensordot(down, low, axes=1)
    return total


def _outermost(drawn: Floats) -> Iterator[tuple[Indices, Indices]]:
    """For the lowest and the highest voltages: the rows they bound, and the draws furthest below and above.

    How far out a draw lies is averaged over all points, each by its own spread. A time below a need's end
    goes with the lowest voltage.
    """
    spread = drawn.std(axis=0)
    out = (drawn - drawn.mean(axis=0)) / np.where(spread > UNMOVED, spread, 1.0)
    for row, bounded in ((0, (0, 2, 3)), (1, (1,))):
        order = np.argsort(out[:, row].mean(axis=1), kind="stable")
        yield np.array(bounded), np.concatenate([order[:SOLVED], order[-SOLVED:]])


def shortened(circuit: TransientCircuit) -> TransientCircuit:
    """The same with every run cut short, and without ripple."""
    motors = tuple(
        replace(
            motor,
            release_s=min(motor.release_s, motor.press_s + SHORTENED_S),
            ripple_fraction=0.0,
        )
        for motor in circuit.motors
    )
    after_s = circuit.end_s - max(motor.release_s for motor in circuit.motors)
    last_s = max(motor.release_s for motor in motors)
    end_s = last_s + min(after_s, AFTER_RELEASE_S)
    switched = tuple(one.within(end_s) for one in circuit.switched)
    return replace(circuit, motors=motors, end_s=end_s, switched=switched)


@dataclass(frozen=True, eq=False)
class Moved:
    """A figure that moves something: the shortened circuits at both ends of its band; None for no effect."""

    number: int
    is_own: bool
    title: str
    low: TransientCircuit | None
    high: TransientCircuit | None


def moved_figures(model: BoatModel) -> Iterator[Moved]:
    """Every figure that moves anything."""
    nominal = shortened(model.circuit())
    for figures, is_own in ((model.net.figures, False), (model.own, True)):
        for number, level in enumerate(figures.levels):
            if level.low == level.high:
                continue
            alone = Moved(number, is_own, "", None, None)
            ends = (draw_at(model, [alone], np.array([end])) for end in (-1.0, 1.0))
            circuits = [shortened(model.circuit(end)) for end in ends]
            if not all(_same(circuit, nominal) for circuit in circuits):
                silent = _without_ripple(nominal)
                low, high = (None if _same(_without_ripple(one), silent) else one for one in circuits)
                yield replace(alone, title=_title(model, figures, number), low=low, high=high)


def draw_at(model: BoatModel, moved: Sequence[Moved], positions: Floats) -> Draw:
    """The draw in which some figures have these positions and all others their values."""
    draw = Draw(np.zeros(len(model.net.figures.levels)), np.zeros(len(model.own.levels)))
    for one, position in zip(moved, positions, strict=True):
        (draw.own if one.is_own else draw.net)[one.number] = position
    return draw


def _title(model: BoatModel, figures: Figures, number: int) -> str:
    used = figures.used[number]
    if used is not None:
        return used.title
    entered_as = next((own for own, entered in figures.numbers.items() if entered == number), None)
    if entered_as is None:  # taken only by a contact that joins on the way
        taken = model.net.choice.layout.figures.used[number]
        return "" if taken is None else taken.title
    what, subject = entered_as
    name = model.solution.names.element(subject or "")
    return f"{what.removeprefix('range of ').capitalize()} of {name}, entered as a range"


def _without_ripple(circuit: TransientCircuit) -> TransientCircuit:
    """A shortened circuit whose motors have no rate of the ripple that they have not."""
    motors = tuple(replace(motor, ripples_per_s_at_speed=0.0) for motor in circuit.motors)
    return replace(circuit, motors=motors)


def _same(one: TransientCircuit, other: TransientCircuit) -> bool:
    """Whether two shortened circuits of one boat have the same figures."""
    stands = ~(one.idle & other.idle)
    same_branches = all(
        np.array_equal(getattr(one.branches, name)[stands], getattr(other.branches, name)[stands])
        for name in ("ohm", "henry", "emf_v")
    )
    records = (
        (one.capacitors, other.capacitors, ("farad", "ohm")),
        (one.draws, other.draws, ("amount",)),
    )
    same_arrays = all(
        np.array_equal(getattr(a, name), getattr(b, name)) for a, b, names in records for name in names
    )
    moving = [[part for part in circuit.switched if part.moves] for circuit in (one, other)]
    return same_branches and same_arrays and one.motors == other.motors and moving[0] == moving[1]
