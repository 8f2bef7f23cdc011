"""An event solved: before, closed, arc, open, in the order in which contacts move and arcs go out."""

from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.course import Course
from server.engine.transient.draws import DrawLaws, at_rest
from server.engine.transient.solution import TransientSolution
from server.engine.transient.stepper import STEP_V
from server.engine.transient.variants import Variants
from server.engine.transient.wiring import Wiring
from server.units import Volt


def solve(circuit: TransientCircuit, step_v: Volt = STEP_V, like: Wiring | None = None) -> TransientSolution:
    """Every voltage and current of an event in time; a step errs by far less than ``step_v``.

    ``like`` is the wiring of a circuit solved before; if the graph is the same, its trees serve again.

    Raises:
        TransientError: a piece of the model has no solution, or a part swings between its states without end;
            the message says which and why.
    """
    wiring = Wiring.of(circuit) if like is None else like.with_figures_of(circuit)
    laws = DrawLaws.of(circuit.draws, wiring.draw)
    rest = at_rest(wiring, laws.with_conversions(wiring))
    course = Course(Variants(wiring, rest.lines), laws, step_v)
    course.rest(rest.z[wiring.slack :])
    course.through_all_instants()
    return TransientSolution(
        circuit, wiring, rest.lines, tuple(course.segments), tuple(course.live.tracks), tuple(course.changes)
    )
