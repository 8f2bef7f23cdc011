"""A conductor's length and size, edited in place."""

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


def length_field(state: ViewState, revision: int, conductor: Conductor) -> FieldView:
    """The length of one conductor."""
    value = "" if conductor.length_m is None else f"{nominal(conductor.length_m):g}"
    return FieldView(
        id=f"length-{conductor.id}",
        form=change_form(state, "/length", revision, conductor=conductor.id),
        label=f"Length of {conductor_name(conductor)}",
        value=value,
        unit="m",
        note=BASES[conductor.length_basis],
    )


def size_field(state: ViewState, revision: int, conductor: Conductor) -> FieldView:
    """The size of one conductor."""
    label = "" if conductor.size is None else conductor.size.label
    listed = [size.label for size in sizes()]
    own = [label] if label not in listed else []
    return FieldView(
        id=f"size-{conductor.id}",
        form=change_form(state, "/size", revision, conductor=conductor.id),
        label=f"Size of {conductor_name(conductor)}",
        value=label,
        unit="",
        note="" if conductor.size is None else f"{conductor.size.area_mm2:g} mm²",
        options=tuple(ChoiceView(one, one or "not known", one == label) for one in (*own, *listed)),
    )


def conductor_name(conductor: Conductor) -> str:
    """What a conductor is called on the page; its id stands in for a missing name nowhere else."""
    return conductor.name or "this conductor"
