"""A conductor's length and size, edited in place."""

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.value import nominal
from server.practice.sizes import sizes
from server.web.views.forms import ChoiceView, FieldView, change_form
from server.web.views.state import ViewState

BASES = {
    "measured": "measured",
    "routed": "along the cable run",
    "estimated": "estimated",
    "carried-over": "kept from before the move: check it",
    None: "",
}


def length_field(state: ViewState, revision: int, conductor: Conductor, name: str) -> FieldView:
    """The length of one conductor."""
    value = "" if conductor.length_m is None else f"{nominal(conductor.length_m):g}"
    return FieldView(
        id=f"length-{conductor.id}",
        form=change_form(state, "/length", revision, conductor=conductor.id),
        label=f"Length of {name}",
        value=value,
        unit="m",
        note=BASES[conductor.length_basis],
    )


def size_field(state: ViewState, revision: int, conductor: Conductor, name: str) -> FieldView:
    """The size of one conductor."""
    label = "" if conductor.size is None else conductor.size.label
    listed = [size.label for size in sizes()]
    own = [label] if label not in listed else []
    return FieldView(
        id=f"size-{conductor.id}",
        form=change_form(state, "/size", revision, conductor=conductor.id),
        label=f"Size of {name}",
        value=label,
        unit="",
        note="" if conductor.size is None else f"{conductor.size.area_mm2:g} mm²",
        options=tuple(ChoiceView(one, one or "not known", one == label) for one in (*own, *listed)),
    )


def conductor_name(boat: Boat, conductor: Conductor) -> str:
    """What a conductor is called: its own name, else its cable's number."""
    number = next((cable.number for cable in boat.cables if cable.id == conductor.cable), None)
    return conductor.name or (f"cable {number}" if number else "the unnumbered cable")
