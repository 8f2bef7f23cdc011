"""A boat fed by a published starting profile in the place of its batteries, for reading."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.drawing.chart import Chart, Curve
from server.drawing.chart_axis import duration
from server.web.views.bench import Drawn
from server.web.views.controls import HeadView
from server.web.views.event_chart import (
    BADNESS,
    DRAWN_AS,
    CursorView,
    limits_drawn,
    named_places,
    worst_first,
)
from server.web.views.event_figures import VERDICT_MARKS, below_words, falls_words, margin_words
from server.web.views.figures import amperes, band_volts, sag_volts
from server.web.views.forms import ChoiceView

if TYPE_CHECKING:
    from server.engine.transient.answer import EventRun, PointAnswer
    from server.engine.transient.fed_model import Post
    from server.practice.supply import StartingLevel

MEANT: "dict[StartingLevel, str]" = {
    "I": "a warm engine",
    "II": "a cold engine, a good battery",
    "III": "a cold engine, an aged battery",
    "IV": "",
}
"""What each level stands for, as published with the profiles."""
NONE_PUBLISHED = (
    "No starting profile is published for the system voltages of this boat's batteries: it needs one of 12 or"
    " 24 V for every battery."
)


@dataclass(frozen=True)
class FedRowView:
    """One load over the wave."""

    id: str
    name: str
    shown: bool
    verdict: str
    verdict_mark: str
    margin: str
    lowest: str
    band: str
    when: str
    below: str
    before: str


@dataclass(frozen=True)
class FedView:
    """``events/fed.html``; ``trouble`` says why there is no answer."""

    title: str
    head: HeadView
    back_url: str
    action: str
    hidden: tuple[tuple[str, str], ...]
    levels: tuple[ChoiceView, ...]
    modes: tuple[ChoiceView, ...]
    told: tuple[str, ...] = ()
    trouble: str = ""
    counts: str = ""
    drawing: Drawn | None = None
    cursor: CursorView | None = None
    rows: tuple[FedRowView, ...] = ()
    happens: tuple[str, ...] = ()
    not_assessed: tuple[str, ...] = ()
    deck_url: str = ""
    caution: str = (
        "A planning aid: a device's own test decides whether it stands the profile, and a measurement"
        " what a boat does to it."
    )


def level_choices(levels: "Sequence[StartingLevel]", chosen: str) -> tuple[ChoiceView, ...]:
    """The levels that the boat can be fed with."""
    return tuple(
        ChoiceView(one, f"{one}: {MEANT[one]}" if MEANT[one] else one, one == chosen) for one in levels
    )


def wave_words(posts: "Sequence[Post]") -> tuple[str, ...]:
    """What stands in the place of the batteries: a sentence for each system voltage."""
    by_voltage = {one.system_v: one.profile for one in posts}
    return tuple(
        f"At {system_v:g} V it falls to {one.lowest_v:g} V in {duration(one.fall_s)}, stays there for"
        f" {duration(one.lowest_s)}, rises to {one.plateau_v:g} V in {duration(one.rise_to_plateau_s)}, holds"
        f" that for {duration(one.plateau_s)}, and is up again in {duration(one.recovery_s)} ({one.source})."
        for system_v, one in by_voltage.items()
    )


def count_words(points: "Sequence[PointAnswer]") -> str:
    """How many loads fare how, in one sentence."""
    worst_first_words = sorted(VERDICTS.items(), key=lambda pair: BADNESS[pair[0]])
    counted = [(sum(one.verdict == verdict for one in points), words) for verdict, words in worst_first_words]
    told = "; ".join(f"{words}: {number}" for number, words in counted if number)
    return f"{told[0].upper()}{told[1:]}."


def fed_chart(run: "EventRun", points: "Sequence[PointAnswer]") -> Chart:
    """The test wave and the worst-hit loads over what the supply gives."""
    waves = {wave.key: wave for wave in run.waveforms}
    wave, current = waves["test-supply"], waves["heavy-current"]
    drawn = points[: len(DRAWN_AS)]
    falls = "; ".join(f"{one.name} {falls_words(one)}" for one in drawn)
    return Chart(
        title=f"{run.name}, a test wave: {falls}. The table below has every load.",
        phases=run.phases,
        volts=(
            *(
                Curve(role, one.name, f"lowest {sag_volts(one.lowest.value)}", waves[one.key])
                for role, one in zip(DRAWN_AS, drawn, strict=False)
            ),
            Curve("fourth", "test wave", f"lowest {sag_volts(float(wave.values.min()))}", wave),
        ),
        current=Curve("current", "test supply", f"peak {amperes(run.inrush_a.value)}", current),
        limits=limits_drawn(tuple(drawn)),
        points=named_places(drawn[0]),
    )


def fed_rows(points: "Sequence[PointAnswer]", shown: str) -> tuple[FedRowView, ...]:
    """Every load, in the order given."""
    return tuple(
        FedRowView(
            id=f"fed-row-{one.key.replace('.', '-')}",
            name=one.name,
            shown=one.key == shown,
            verdict=VERDICTS[one.verdict],
            verdict_mark=VERDICT_MARKS[one.verdict],
            margin=margin_words(one),
            lowest=sag_volts(one.lowest.value),
            band="" if one.lowest_band is None else band_volts(one.lowest_band),
            when=f"{duration(one.lowest.at_s)} into the dip",
            below=below_words(one),
            before=sag_volts(one.before_v),
        )
        for one in points
    )


def ordered(run: "EventRun", selected: str | None) -> "tuple[PointAnswer, ...]":
    """The selected load first, then the worst off."""
    chosen = {one.key for one in run.points if selected in {one.key, one.key.partition(".")[0]}}
    return tuple(sorted(run.points, key=lambda one: (one.key not in chosen, worst_first(one))))
