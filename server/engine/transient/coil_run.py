"""What a coil does to itself and to the loads when it is let go, solved in the boat's own wiring."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.boat import Boat
from server.engine.netlist_rows import Terminal
from server.engine.solution import Solution
from server.engine.transient.coil_model import CoilModel, CoilSolution
from server.engine.transient.coil_release import GONE
from server.engine.transient.coils import every_coil
from server.engine.transient.event_in_time import EventInTime
from server.engine.transient.waves import Wave
from server.units import Second, Volt

JUST_BEFORE_S: Second = 1e-9


@dataclass(frozen=True, slots=True)
class CoilLetGo:
    """A coil let go in a mode.

    ``kick_v`` stands across it backwards at most, ``falls_s`` is the time in which its current falls to a
    tenth; ``moved_v`` is the most by which any load's voltage leaves where it stood, ``load`` names which
    (empty: none is on).
    """

    key: Terminal
    is_bare: bool
    kick_v: Volt
    falls_s: Second
    load: str
    moved_v: Volt


def coils_let_go(boat: Boat, mode_id: str) -> tuple[CoilLetGo, ...]:
    """Every coil that is fed in a mode, pressed until its current stands and let go; others are left out.

    Raises:
        UnknownModeError: the boat has no such mode.
        TransientError: a piece of the model cannot be solved.
    """
    solution = Solution.of(boat, mode_id)
    found = (CoilSolution.of(solution, coil) for coil in every_coil(boat, solution.net))
    return tuple(_LetGo(solution, one).answer() for one in found if one is not None)


@dataclass(frozen=True, eq=False)
class _LetGo(EventInTime):
    solved: CoilSolution

    @cached_property
    def model(self) -> CoilModel:
        """Its circuit."""
        return CoilModel(self.solution, self.solved)

    @cached_property
    def first_release_s(self) -> Second:
        """When the coil is let go."""
        return self.model.release_s

    def answer(self) -> CoilLetGo:
        """What it does."""
        plus, minus = self.model.across
        release_s = self.model.release_s
        low = self.waves.extremes(plus, minus, release_s)[0]
        current = Wave(*self.waves.branch_current(self.model.coil_branch))
        held = float(current.at(np.array([release_s]))[0])
        gone_s = current.between(release_s, self.waves.end_s).first_below(GONE * held)
        load, moved_v = self._most_moved(release_s)
        is_bare = len(self.waves.circuit.branches) == self.model.coil_branch + 1
        falls_s = (self.waves.end_s if gone_s is None else gone_s) - release_s
        return CoilLetGo(self.solved.coil.key, is_bare, max(-low, 0.0), falls_s, load, moved_v)

    def _most_moved(self, release_s: Second) -> tuple[str, Volt]:
        if not self.points:
            return "", 0.0
        stood = self.waves.at_times(self.pairs, np.array([release_s - JUST_BEFORE_S]))[:, 0]
        after = self.after_release
        moved = np.maximum(after.high - stood, stood - after.low)
        worst = int(np.argmax(moved))
        return self.points[worst].name, float(moved[worst])
