"""Charge that preheating and earlier attempts took before the press, and what it takes off the rest voltage.

Ampere-seconds over 3,600 are ampere-hours; each battery gives the share of them that it gives of the current
of the start: side by side their shares add up to one, in series each gives the whole.
Its rest voltage falls along the table of rest voltages, by its ampere-hours over its capacity. That a battery
stays below its rest voltage for a while after a current is not in this.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from server.boat.modes import Conditions
from server.boat.parts import Battery
from server.engine.answer import AssumedValue
from server.engine.arrays import Floats
from server.engine.solution import EventSolution, Solution
from server.practice.batteries import open_circuit_voltage, rest_voltage_table, series_count
from server.units import Ampere, AmpereHour, Ratio, Second, Volt

SECONDS_AN_HOUR = 3600.0
LEAST_SHARE: Ratio = 1e-3
"""A battery that gives a smaller share of the start than the one that gives most takes no part in it."""


@dataclass(frozen=True, slots=True)
class Current:
    """A current that was drawn before the press, and what for."""

    amps: Ampere
    seconds: Second
    times: int
    what: str

    @property
    def charge_ah(self) -> AmpereHour:
        """What it took in all.

        >>> Current(60.0, 20.0, 3, "").charge_ah
        1.0
        """
        return self.amps * self.seconds * self.times / SECONDS_AN_HOUR


@dataclass(frozen=True, slots=True)
class Taken:
    """What one battery gave before the press, and how far its rest voltage fell; None: not known how far."""

    row: int
    part_id: str
    charge_ah: AmpereHour
    fall_v: Volt | None


@dataclass(frozen=True, eq=False)
class Drained:
    """What all batteries gave.

    An earlier attempt is taken to last as long as this one (``held_s``), at the running current as entered;
    that is None where the heavy load is no motor.
    """

    solution: Solution
    solved: EventSolution
    conditions: tuple[Conditions, ...]
    running_a: Ampere | None
    held_s: Second

    @cached_property
    def currents(self) -> tuple[Current, ...]:
        """What was drawn before the press, as the conditions state it."""
        amps, seconds, found = self._preheat_a, self._preheat_s, list[Current]()
        if amps is not None and seconds is not None:
            found.append(Current(amps, seconds, 1, f"preheating with {amps:g} A for {seconds:g} s"))
        if self._attempts and self.running_a is not None:
            earlier = "an earlier attempt" if self._attempts == 1 else f"{self._attempts} earlier attempts"
            what = f"{earlier} with the running current of {self.running_a:g} A for {self.held_s:.3g} s"
            found.append(Current(self.running_a, self.held_s, self._attempts, what))
        return tuple(found)

    @property
    def _preheat_a(self) -> Ampere | None:
        return next((c.preheat_before_a for c in self.conditions if c.preheat_before_a), None)

    @property
    def _preheat_s(self) -> Second | None:
        return next((c.preheat_before_s for c in self.conditions if c.preheat_before_s), None)

    @property
    def _attempts(self) -> int:
        """How many there were before this one."""
        return next((c.attempt for c in self.conditions if c.attempt is not None), 1) - 1

    @cached_property
    def taken(self) -> tuple[Taken, ...]:
        """The batteries that gave something."""
        charge_ah = sum(one.charge_ah for one in self.currents)
        if charge_ah <= 0:
            return ()
        heavy_a = abs(float(self.solved.present.current_a[self.solved.heavy_element]))
        return tuple(
            self._of(row, self.solved.net.labels[row].element, charge_ah * amps / heavy_a)
            for row, amps in self._given_a.items()
        )

    @property
    def _given_a(self) -> dict[int, Ampere]:
        """What each battery that takes part adds for the start: element and current."""
        more = self.solved.present.current_a - self.solved.absent.current_a
        labels = enumerate(self.solved.net.labels)
        given = {row: abs(float(more[row])) for row, label in labels if label.kind == "battery"}
        least_a = LEAST_SHARE * max(given.values(), default=0.0)
        return {row: amps for row, amps in given.items() if amps > least_a}

    def _of(self, row: int, part_id: str, charge_ah: AmpereHour) -> Taken:
        battery = self.solution.parts[part_id]
        if not isinstance(battery, Battery) or battery.capacity_ah is None:
            return Taken(row, part_id, charge_ah, None)
        before = self._charge_percent(battery)
        after = max(before - 100.0 * charge_ah / battery.capacity_ah, 0.0)
        full, less = (
            open_circuit_voltage(battery.chemistry, percent, battery.nominal_voltage_v).value
            for percent in (before, after)
        )
        return Taken(row, part_id, charge_ah, full - less)

    def _charge_percent(self, battery: Battery) -> float:
        """As stated, or as its rest voltage tells, or as assumed."""
        stated = next((c.state_of_charge for c in self.conditions if c.state_of_charge is not None), None)
        if stated is None and battery.rest_voltage_v is not None:
            table = rest_voltage_table(battery.chemistry)
            blocks = series_count(battery.chemistry, battery.nominal_voltage_v)
            volts = [voltage.value * blocks for _, voltage in table]
            return float(np.interp(battery.rest_voltage_v, volts, [percent for percent, _ in table]))
        charge = battery.state_of_charge if stated is None else stated
        if charge is not None:
            return charge * 100.0
        return self.solved.net.figures.level("battery_state_of_charge", battery.id).value

    def taken_off(self, emf_v: Floats) -> Floats:
        """The sources' voltages (by element) after that."""
        lower = emf_v.copy()
        for one in self.taken:
            lower[one.row] -= one.fall_v or 0.0
        return lower

    @property
    def derived(self) -> Iterator[AssumedValue]:
        """What was taken and how far rest voltages fell, with how each follows."""
        what = " and ".join(one.what for one in self.currents)
        for one in self.taken:
            name = self.solution.names.parts[one.part_id].name
            title = f"{name}: charge taken before the press"
            how = f"{what}, in ampere-seconds over 3,600; its share by what it gives to the start"
            yield _derived("charge_taken", title, one.part_id, one.charge_ah, "Ah", how)
            if one.fall_v is not None:
                title = f"{name}: rest voltage lower by what was taken"
                how = "the table of rest voltages, by the charge taken over the capacity entered"
                yield _derived("rest_voltage_fallen", title, one.part_id, one.fall_v, "V", how)

    @property
    def not_in_it(self) -> Iterator[str]:
        """What of all this is not computed, and what to enter."""
        if self._preheat_a is not None and self._preheat_s is None:
            yield "what preheating before the start takes from the battery: enter for how long it preheats"
        if self._attempts and self.running_a is None:
            yield "what earlier attempts took from the battery: the heavy load has no running current"
        for one in self.taken:
            if one.fall_v is None:
                name = self.solution.names.parts[one.part_id].name
                yield f"{name}: how far its rest voltage fell by what was taken before: enter its capacity"
        if self.taken:
            yield "that a battery stays below its rest voltage for a while after preheating or an attempt"


def _derived(  # noqa: PLR0913, PLR0917 - each is a column of the figure
    key: str, title: str, part_id: str, value: float, unit: str, how: str
) -> AssumedValue:
    return AssumedValue(key, title, part_id, value, value, value, unit, how, "derived", False)
