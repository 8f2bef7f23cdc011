"""How far the lowest and the highest voltages may lie when every assumption may lie anywhere in its band.

Each uncertain figure is moved to both ends of its band, and the event solved anew each time; its effect runs
in straight lines through the three values. Then all figures are drawn at once, ``DRAWS`` times from a seeded
generator, and their effects added up: exact for every figure alone, first order between figures. The event is
shortened for that to its start and its release, without ripple, which moves neither much.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from server.engine.answer import Band
from server.engine.arrays import Floats
from server.engine.figures import Figures
from server.engine.needs import Need
from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.draw import Draw
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import Pairs
from server.engine.transient.solver import solve
from server.engine.transient.waves import Wave
from server.units import Second

DRAWS = 1000
SEED = 20_260_101
OUTSIDE_PER_CENT = 0.5
"""Of the draws, this share may lie below the band and as much above it."""
SHORTENED_S: Second = 0.3
AFTER_RELEASE_S: Second = 0.01
CHORD_V = 0.005
STEP_V = 1e-3


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

    @classmethod
    def of(cls, circuit: TransientCircuit, pairs: Pairs, needs: Sequence[Need | None]) -> "_Measured":
        times, volts, extremes = solve(circuit, STEP_V).waves_and_extremes(pairs, CHORD_V)
        waves = [Wave(times, row) for row in volts]
        below = [_times_below(wave, need) for wave, need in zip(waves, needs, strict=True)]
        surely, perhaps = np.array(below).reshape(-1, 2).T
        return cls(np.stack([extremes.low, extremes.high, surely, perhaps]))


def _times_below(wave: Wave, need: Need | None) -> tuple[Second, Second]:
    if need is None or need.low_v is None or need.high_v is None:
        return 0.0, 0.0
    return wave.longest_below(need.low_v), wave.longest_below(need.high_v)


def drawn_bands(
    model: BoatModel, pairs: Pairs, needs: Sequence[Need | None], lowest: Floats, highest: Floats
) -> tuple[DrawnBand, ...]:
    """The bands of all points around their lowest and highest voltages.

    Raises:
        TransientError: with some figure at an end of its band the event cannot be solved.
    """
    nominal = _Measured.of(_shortened(model.circuit()), pairs, needs).figures
    titles, lows, highs = [], [], []
    for title, low, high in _moved(model):
        ends = [
            np.zeros_like(nominal)
            if circuit is None
            else _Measured.of(_shortened(circuit), pairs, needs).figures - nominal
            for circuit in (low, high)
        ]
        titles.append(title)
        lows.append(ends[0])
        highs.append(ends[1])
    effect = tuple(np.array(ends).reshape(len(ends), *nominal.shape) for ends in (lows, highs))
    drawn = nominal + _added_up(*effect)
    bottom, top = np.percentile(drawn, [OUTSIDE_PER_CENT, 100 - OUTSIDE_PER_CENT], axis=0)
    width = np.abs(effect[0][:, 0]) + np.abs(effect[1][:, 0])
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


def _added_up(low: Floats, high: Floats) -> Floats:
    """The added effects of all figures in every draw; positions are triangular between the ends."""
    positions = np.random.default_rng(SEED).triangular(-1.0, 0.0, 1.0, size=(DRAWS, len(low)))
    up, down = np.maximum(positions, 0.0), np.maximum(-positions, 0.0)
    total: Floats = np.tensordot(up, high, axes=1) + np.tensordot(down, low, axes=1)
    return total


def _shortened(circuit: TransientCircuit) -> TransientCircuit:
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
    return replace(circuit, motors=motors, end_s=last_s + min(after_s, AFTER_RELEASE_S))


Moved = tuple[str, TransientCircuit | None, TransientCircuit | None]


def _moved(model: BoatModel) -> Iterator[Moved]:
    """Every figure that moves anything, with the circuits at both ends of its band; None for no effect."""
    nominal = model.circuit()
    net_size, own_size = len(model.net.figures.levels), len(model.own.levels)
    for figures, is_own in ((model.net.figures, False), (model.own, True)):
        for number, level in enumerate(figures.levels):
            if level.low == level.high:
                continue
            ends: list[TransientCircuit | None] = []
            for position in (-1.0, 1.0):
                draw = Draw(np.zeros(net_size), np.zeros(own_size))
                (draw.own if is_own else draw.net)[number] = position
                circuit = model.circuit(draw)
                ends.append(None if _same(circuit, nominal) else circuit)
            if any(end is not None for end in ends):
                yield _title(model, figures, number), ends[0], ends[1]


def _title(model: BoatModel, figures: Figures, number: int) -> str:
    used = figures.used[number]
    if used is not None:
        return used.title
    what, subject = next(own for own, entered in figures.numbers.items() if entered == number)
    name = model.solution.names.element(subject or "")
    return f"{what.removeprefix('range of ').capitalize()} of {name}, entered as a range"


def _same(one: TransientCircuit, other: TransientCircuit) -> bool:
    """Whether two circuits of one boat have the same figures, as far as the shortened event goes."""
    records = (
        (one.branches, other.branches, ("ohm", "henry", "emf_v")),
        (one.capacitors, other.capacitors, ("farad", "ohm")),
        (one.draws, other.draws, ("amount",)),
    )
    same_arrays = all(
        np.array_equal(getattr(a, name), getattr(b, name)) for a, b, names in records for name in names
    )
    return same_arrays and _shortened(one).motors == _shortened(other).motors
