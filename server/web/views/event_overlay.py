"""A published starting profile drawn over an event, beginning with its first press."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from server.drawing.chart import Curve
from server.web.views.figures import sag_volts
from server.web.views.forms import ChoiceView

if TYPE_CHECKING:
    from server.engine.transient.answer import EventRun
    from server.engine.transient.profiles import Requirement
    from server.engine.transient.waves import Wave

    Profiles = Sequence[tuple[Requirement, Wave]]


def profile_choices(profiles: "Profiles", chosen: str) -> tuple[ChoiceView, ...]:
    """The profiles that can be laid over the chart, and none; nothing where none is published."""
    if not profiles:
        return ()
    named = (ChoiceView(one.key, one.title, one.key == chosen) for one, _ in profiles)
    return (ChoiceView("", "none", not chosen), *named)


def profile_curve(run: "EventRun", profiles: "Profiles", chosen: str) -> Curve | None:
    """The chosen profile as a curve, as far as the event lasts; None where none of that name is published."""
    from server.engine.transient.answer import Waveform

    found = next(((one, wave) for one, wave in profiles if one.key == chosen), None)
    if found is None:
        return None
    requirement, wave = found
    seen = wave.between(run.phases[0].start_s, run.phases[-1].end_s)
    name = requirement.title.replace(" starting profile, ", ", ")
    waveform = Waveform(requirement.key, name, "V", seen.time_s, seen.values)
    return Curve("fourth", name, f"lowest {sag_volts(float(seen.values.min()))}", waveform)
