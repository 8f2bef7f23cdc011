"""Cables, and the conductors they hold.

A cable is what is bought and pulled; a conductor is one metal path between two terminals.
"""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.value import Id, Known, Name, Positive, Temperature, TerminalRef, Text, Trace, Value, YesNo


class Size(Value):
    """A conductor's size as printed, with its real area and its tabulated resistance at 20 °C."""

    label: Name
    area_mm2: Positive
    resistance_ohm_per_m: Positive
    source: Text | None = None


JointStyle = Literal["crimped-ring", "crimped-spade", "cage", "soldered", "bolted", "bare", "plug"]


class Joint(Value):
    """How a conductor's end meets its terminal."""

    style: JointStyle | None = None
    resistance_ohm: Known | None = None
    hole: Name | None = None
    stack_position: Annotated[int, Field(ge=1, le=20)] | None = None
    condition: Text | None = None


class Cable(Value):
    """One cable: its number on the boat, its make-up and what its maker states."""

    id: Id
    number: Name | None = None
    construction: Literal["single", "twin", "multi-core", "harness"]
    sheathed: bool = False
    jacket: Name | None = None
    cores: Annotated[int, Field(ge=1, le=200)] = 1
    ohm_per_m: Positive | None = None
    makers_ampacity_a: Positive | None = None
    notes: Text | None = None


LengthBasis = Literal["measured", "routed", "estimated", "carried-over"]
"""How a length came about; carried over: kept from before the conductor was moved."""


class Conductor(Value):
    """One metal path between two terminals; a missing end is a loose end.

    A ``wire`` has a size and a length; a ``link`` is a bolted joint, metal on metal. Where
    ``exposure_basis`` says so, ``in_engine_space`` follows from the runs the conductor takes.
    """

    id: Id
    kind: Literal["wire", "link"]
    name: Name | None = None
    cable: Id | None = None
    core: Name | None = None
    tail: TerminalRef | None = None
    head: TerminalRef | None = None
    tail_joint: Joint | None = None
    head_joint: Joint | None = None
    size: Size | None = None
    material: Literal["copper", "tinned-copper"] | None = None
    insulation_c: Temperature | None = None
    colour: Name | None = None
    length_m: Known | None = None
    length_basis: LengthBasis | None = None
    length_fixed: bool = False
    in_engine_space: YesNo | None = None
    exposure_basis: Literal["routed"] | None = None
    sheathed: YesNo | None = None
    bundle: Name | None = None
    parallel_group: Name | None = None
    resistance_ohm: Known | None = None
    measured_resistance_ohm: Known | None = None
    reading: Id | None = None
    trace: Trace | None = None
    notes: Text | None = None
