"""What may lie beside a coil to take its kick: what is left of it, and how long the coil then holds on."""

from collections.abc import Iterator

from server.boat.devices import Suppression
from server.boat.edits import ChangeValue, apply
from server.boat.finding import Mend
from server.boat.parts import Load
from server.boat.value import nominal
from server.checks.coils import coils_of
from server.checks.mending.patient import Patient
from server.checks.paths import Node
from server.checks.words import the
from server.engine.transient.coil_release import coil_releases

CLAMP = 2.0
"""A zener or varistor beside a coil clamps at so many times its voltage (common practice, no source)."""


def suppressed(patient: Patient) -> Iterator[Mend]:
    """A diode with a zener, a diode alone, a varistor and a resistor across the coil that kicks.

    The quicker a kind lets the coil go, the higher the kick that is left: that with the zener comes first.
    """
    owner = patient.finding.subjects[0]
    for at, coil in coils_of(patient.boat).items():
        if at[0] == owner:
            clamp_v = round(CLAMP * coil.rated_voltage_v, 1)
            ohm = round(coil.rated_voltage_v / nominal(coil.current_a), 1)
            yield _across(patient, at, Suppression(kind="diode-and-zener", clamp_v=clamp_v))
            yield _across(patient, at, Suppression(kind="diode"))
            yield _across(patient, at, Suppression(kind="varistor", clamp_v=clamp_v))
            yield _across(patient, at, Suppression(kind="resistor", resistance_ohm=ohm))


def _across(patient: Patient, at: Node, beside: Suppression) -> Mend:
    """The mend with what it leaves, computed: the kick, and for how long the coil's current lasts."""
    value = beside.model_dump(mode="json", exclude_none=True)
    edit = ChangeValue(id=at[0], field=_field(patient, at), value=value)
    after = apply(patient.boat, edit)
    release = dict(zip(coils_of(after), coil_releases(after), strict=True))[at]
    words = {
        "diode": "A diode",
        "diode-and-zener": f"A diode with a {beside.clamp_v:g} V zener" if beside.clamp_v else "",
        "varistor": f"A varistor of {beside.clamp_v:g} V" if beside.clamp_v else "",
        "resistor": f"A resistor of {beside.resistance_ohm:g} Ω" if beside.resistance_ohm else "",
    }[beside.kind]
    left = "" if release.kick_v is None else f": about {release.kick_v:.2g} V are left"
    falls = release.falls_s
    times = "" if falls is None else f"{falls.low * 1e3:.2g} to {falls.high * 1e3:.2g} ms"
    held = f", and it lets go {times} later" if times else ""
    return Mend(
        label=f"{words} across the coil of {the(patient.parts[at[0]].name)}{left}{held}", edits=(edit,)
    )


def _field(patient: Patient, at: Node) -> str:
    owner = patient.parts[at[0]]
    names = [one.id for one in owner.inputs] if isinstance(owner, Load) else []
    return f"inputs.{names.index(at[1])}.demand.suppression" if names else "coil.suppression"
