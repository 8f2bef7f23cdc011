"""The workbench's picture: a boat as it is or was before the last change, and a held lead's taps over it."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions import in_time, pictures
from server.actions.choices import UnknownChoiceError, choose
from server.actions.yard import OpenBoat, Revision, Yard, document, revision_of
from server.web.views.bench import DiagramView, OverlayView, OverviewView
from server.web.views.loads import worst_first
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.drawing.circuit import Polarity
    from server.drawing.part_overlay import PartAnswer
    from server.drawing.shapes import Portrait
    from server.engine.answer import InputAnswer, ModeAnswer, PickUp
    from server.engine.transient.instant import InstantAnswer

    InHand = PickUp | tuple[PartAnswer, ...] | None
    """One lead with its places, both leads with their panels, or nothing."""


@dataclass(frozen=True)
class Scene:
    """One boat in one view: what its picture is made of."""

    yard: Yard
    opened: OpenBoat
    state: ViewState
    answer: "ModeAnswer | None"

    @property
    def load(self) -> "InputAnswer | None":
        """The selected input; of a selected part, the input that is worst off."""
        if self.answer is None or self.state.selected is None:
            return None
        named = [load for load in self.answer.loads if self.state.selected in {load.part, load.id}]
        return min(named, key=lambda load: worst_first(load, self.state.event), default=None)

    @property
    def folds(self) -> "pictures.Folds":
        """Which panels show their loads one by one; what is selected is always seen."""
        seen = None if self.state.selected is None else self.state.selected.partition(".")[0]
        opened = frozenset(one for one in self.state.panels if not one.startswith("-"))
        shut = frozenset(one[1:] for one in self.state.panels if one.startswith("-"))
        return pictures.Folds(opened, shut, seen)

    def overview(self) -> OverviewView:
        """The whole picture in small, with what stands where in the large one."""
        drawing = pictures.overview(
            self.yard,
            self.opened,
            self.answer,
            event=self.state.event,
            selected=self.load,
            folds=self.folds,
            portrait=self.side(),
        )
        return OverviewView(drawing)

    def side(self, held: "InHand" = None) -> "Portrait":
        """The one polarity that a narrow picture shows; None where both are drawn.

        A panel is known by its positive bars: there both leads of a load are put down.
        """
        polarity: Polarity | None = (
            None if held is None else "positive" if isinstance(held, tuple) else held.polarity
        )
        return pictures.drawn_side(self.state.portrait, self.state.side, polarity)

    def diagram(
        self,
        held: "InHand" = None,
        earlier: Revision | None = None,
        instant: "InstantAnswer | None" = None,
    ) -> DiagramView:
        """The wiring; with an earlier revision the moved lead's ghost, at an instant the figures of then."""
        load = self.load
        drawing = pictures.diagram(
            self.yard,
            self.opened,
            self.answer,
            event=self.state.event,
            selected=load,
            earlier=earlier,
            folds=self.folds,
            portrait=self.side(held),
            instant=instant,
            chosen=self.state.selected,
        )
        calls = self._called(earlier) if self.state.portrait and held is None else None
        about = f"{self.state.selected or ''} {self.state.since or ''}"
        return DiagramView(drawing, calls=calls or "", about=about if calls else "")

    def _called(self, earlier: Revision | None) -> "Polarity | None":
        """The side of what was touched in the picture, else of the lead that the last change moved."""
        if self.load is not None:
            return pictures.side_of_change(self.yard, self.opened.boat, earlier)
        touched = pictures.side_of_thing(self.opened.boat, self.state.selected)
        return touched or pictures.side_of_change(self.yard, self.opened.boat, earlier)

    def overlay(self, held: "InHand") -> OverlayView:
        """What every tap answers to a held lead, or every panel to both leads, on the same layout."""
        load = self.load
        drawing = pictures.overlay(
            self.yard,
            self.opened,
            self.answer,
            event=self.state.event,
            selected=load,
            held=held,
            folds=self.folds,
            portrait=self.side(held),
        )
        return OverlayView(drawing)


def scene(yard: Yard, opened: OpenBoat, asked: ViewState, *, hurried: bool = False) -> Scene:
    """A boat in the mode and event asked for, or in its worst; ``hurried`` without what may follow.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    chosen = choose(yard, opened.sha, opened.boat, asked.mode, asked.event)
    if chosen is None:
        return Scene(yard, opened, asked, None)
    state = replace(asked, mode=chosen.mode, event=chosen.event)
    return Scene(yard, opened, state, in_time.shown(yard, opened, chosen, state.selected, hurried=hurried))


def earlier_revision(yard: Yard, opened: OpenBoat, state: ViewState) -> Revision | None:
    """The revision that the last change was made on, where the reader still looks at that change."""
    if state.since is None or not 1 <= state.since < opened.rev:
        return None
    return revision_of(yard, opened.id, state.since)


def before_diagram(yard: Yard, now: Scene) -> DiagramView:
    """The wiring and its figures before the last change; as it is now, where there was none.

    A boat that had no such mode or event is drawn without figures.
    """
    earlier = earlier_revision(yard, now.opened, now.state)
    if earlier is None:
        return now.diagram()
    boat = document(yard, earlier)
    then = replace(now.opened, revision=earlier, boat=boat)
    try:
        past = scene(yard, then, now.state)
    except UnknownChoiceError:
        past = Scene(yard, then, now.state, None)
    return replace(past.diagram(), before=True)
