"""The workbench: the diagram with everything beside it."""

from dataclasses import dataclass
from typing import Protocol

from server.web.views.both import BothView
from server.web.views.changes import ChangeView
from server.web.views.controls import AssumptionsView, ControlsView, HeadView, PickUpView
from server.web.views.event_ask import AskView
from server.web.views.findings import FindingsView
from server.web.views.guide import GuideView
from server.web.views.loads import ResultsView
from server.web.views.selected import SelectedView
from server.web.views.switches import SwitchesView
from server.web.views.taps import TapsView
from server.web.views.thing import ThingView


class Drawn(Protocol):
    """A finished drawing, whose markup a template takes as it is."""

    def __html__(self) -> str:
        """The markup."""


@dataclass(frozen=True)
class DiagramView:
    """``workbench/_diagram.html``; ``before`` where it shows the boat before the last change.

    ``instant`` says which instant of the event it shows, empty for the whole event. On a narrow picture
    ``calls`` is the polarity of what was touched or changed, and ``about`` tells such things apart.
    """

    drawing: Drawn
    before: bool = False
    instant: str = ""
    calls: str = ""
    about: str = ""


@dataclass(frozen=True)
class OverlayView:
    """``workbench/_overlay.html``: what every tap answers, over the diagram."""

    drawing: Drawn


@dataclass(frozen=True)
class OverviewView:
    """``workbench/_overview.html``: the whole picture in small; no drawing where it is small itself."""

    drawing: Drawn | None


@dataclass(frozen=True)
class BenchView:
    """``workbench/page.html``."""

    title: str
    head: HeadView
    guide: GuideView
    controls: ControlsView
    diagram: DiagramView
    overlay: OverlayView
    overview: OverviewView
    asking: PickUpView
    change: ChangeView
    selected: SelectedView
    thing: ThingView
    taps: TapsView
    results: ResultsView
    event_ask: AskView
    findings: FindingsView
    switches: SwitchesView
    assumptions: AssumptionsView
    both: BothView | None = None
