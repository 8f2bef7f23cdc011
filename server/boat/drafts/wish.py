"""What a person is asked before a boat is drawn up."""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.value import Name, Value

EngineSize = Literal["small", "medium", "large"]
"""A diesel of up to 1.5 litres, up to 3 litres, or more."""

PatternName = Literal["blank", "one-bank", "selector", "combining-relay", "two-engines", "lithium-house"]


class Wish(Value):
    """Pattern, name, voltage, length and engine of a boat that is to be drawn up."""

    pattern: PatternName
    name: Name
    nominal_voltage_v: Literal[12, 24] = 12
    length_m: Annotated[float, Field(ge=4, le=30)] = 10.0
    engine: EngineSize = "small"
    profile: Literal["us-recreational", "iso-metric"] = "us-recreational"
