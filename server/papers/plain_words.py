"""What a finding means for an owner, in plain words: what can happen to what, without figures of a standard.

Every code has its sentence; the finding's own words, with figures and sources, are for the yard.
"""

from collections.abc import Sequence

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.events import events_of
from server.boat.finding import Finding
from server.boat.leads import leads
from server.checks.words import agreed, conductor_words, part_of, the, when
from server.units import Ampere

FAR = 2.0
"""From so many times the limit on, a device is called far too big: our own word, no rule's."""

_SOMETHING = "something on this boat"

SENTENCES: dict[str, str] = {
    "restarts": "{when}{it} {loses} power for a moment and {starts} anew.",
    "too-close": "{when}{it} may restart: it is too close to call.",
    "dips-low": "{when}{it} {runs} on only because the dip is short.",
    "dips-briefly": "{when}lights may flicker and devices may stumble for an instant.",
    "outputs-brown-out": "{when}everything that {it} feeds may go dark at once.",
    "spike-high": "{when}{it} {gets} more voltage than it stands: it can be damaged.",
    "limit-not-known": "Nobody has said how little voltage {it} can run on.",
    "coil-kicks": "Each time {it} lets go, a spike of voltage can damage what shares its wires.",
    "drop-over-limit": "{it} {loses} too much voltage in the cables, all the time.",
    "drop-too-close": "Whether {it} {loses} too much voltage in the cables is too close to call.",
    "feeder-shared": "{when}devices suffer because they share cables with something heavy.",
    "link-offset": "{when}current runs through the data cable “{it}” and can damage what is on it.",
    "low-voltage": "{it} {has} too little voltage all the while, not only at a start.",
    "backbone-drop": "{it} {loses} too much voltage over its length: the farthest device may not work.",
    "cannot-run": "{it} cannot run: too little voltage reaches it.",
    "not-connected": "{it} {is} not connected on both sides and cannot work.",
    "no-convergence": "What voltage {it} has cannot be worked out yet.",
    "does-not-settle": "{it} may switch on and off without end.",
    "device-above-conductor": "The fuse or breaker of {it} is too big. The cable can burn before it opens.",
    "device-above-negative": "In a short circuit {it}, on the way back, can burn before the fuse opens.",
    "unprotected-lead": (
        "No fuse or breaker protects the cable to {it}: chafed through, it burns until something gives way."
    ),
    "one-end-unprotected": (
        "The cable behind {it} is fed from both ends and protected at one: chafed through, it can burn."
    ),
    "source-without-device": "No fuse or breaker protects the cable from {it}: chafed through, it can burn.",
    "source-end-unprotected": "{it} {feeds} a short circuit on its own cable, and no fuse there stops it.",
    "device-too-far": "{it} {sits} too far from the battery: the cable up to it is not protected.",
    "interrupting-too-low": "{it} may burst in a short circuit: it cannot break so much current.",
    "interrupting-below-table": "{it} {is} too weak to break a short circuit from batteries of this size.",
    "fault-does-not-open": "A short circuit at {it} never opens its fuse: the cable can heat up and burn.",
    "fault-may-not-open": "A short circuit at {it} may heat its cable for minutes before the fuse opens.",
    "burns-before-opening": "In a short circuit {it} can burn before its fuse opens.",
    "opens-at-start": "{when}{it} may open although nothing is wrong.",
    "opens-out-of-turn": "In a short circuit {it} may open too, and more goes dark than has to.",
    "stall-does-not-open": "If {it} jams, its fuse may not open in time, and its cable can burn.",
    "shorted": "Plus and minus meet at {it}: a short circuit.",
    "conductor-over-ampacity": "{it} {carries} more current than it can bear and gets too hot.",
    "conductor-too-thin": "{it} {is} thinner than a wire on a boat should be, and can break.",
    "over-rating": "{when}{it} {carries} more current than it is made for.",
    "switch-intermittent": "{when}more current runs through {it} than it is made for: its contacts can burn.",
    "switch-continuous": "More current runs through {it} than it is made for: its contacts can burn.",
    "panel-load": "{it} may have to carry more than it is laid out for.",
    "voltage-rating-low": "{it} {is} made for a lower voltage: it may not be able to switch off.",
    "friction-joint": "A push-on terminal on {it} carries more than such terminals should, and can get hot.",
    "conductor-too-thick": "{it} {is} too thick for its connector: a poor joint, which can get hot.",
    "charge-lead-feeds": "{when}the thin charging cable has to help, and carries more than it can bear.",
    "burns-in-its-place": "If a negative cable comes loose, {it} carries its current and can burn.",
    "start-beside-its-way": "{when}part of the starting current runs through {it}, which can burn from it.",
    "return-through-heavy": "The current of {it} comes back through something heavy: a start disturbs it.",
    "negative-below-feeder": "The negative cable {it} is thinner than what feeds the same panel.",
    "returned-to-block": "The negative of {it} sits on the engine, where every start disturbs it.",
    "uncounted": "The battery monitor does not count what {it} draws.",
    "monitor-error": "The battery monitor shows more charge left than there is.",
    "metal-as-return": "The current of {it} runs through the boat's metal, which it can eat away.",
    "several-earth-links": (
        "The wiring is joined to the boat's metal in too many places: current can eat it away."
    ),
    "no-earth-link": "Where the wiring is joined to the boat's metal was not found.",
    "fed-twice": "{it} {is} fed from two sides: switched off at one, it stays alive.",
    "alive-when-off": "{it} {stays} alive with every battery switch off, and nobody has said why.",
    "no-battery-switch": "Nothing switches {it} off in a fire.",
    "unlike-banks-joined": "Batteries of different kinds are joined: heavy current can run between them.",
    "paralleling-current": "When batteries are joined by {it}, a heavy current runs for a moment.",
    "charging-too-high": "{it} {gets} more voltage while the batteries charge than it stands.",
    "pack-discharge": "{it} {gives} more than it may: it can switch itself off, and all on it goes dark.",
    "pack-charge": "{it} {takes} more than it may: it can switch itself off, and all on it goes dark.",
    "pack-trips": "{when}{it} can switch itself off, and all on it goes dark.",
    "pack-opens": "If {it} switches itself off while something charges it, what is on it can be damaged.",
    "source-alone": "{it} {is} running without a battery: its voltage can rise and damage what is on.",
    "turn-loses-battery": "One turn of {it} takes the battery off a charging source: what is on can suffer.",
    "turn-through-off": "Turning {it} passes its off position, where everything goes dark for a moment.",
    "midpoint-fed": "{it} {is} fed from one half of a pair of batteries, which wears that half out.",
    "switched-off": "{it} {is} switched off here.",
    "leaves-its-state": "{when}{it} may let go, and what hangs on it goes dark.",
    "drops-out": "{when}{it} may let go, and what hangs on it goes dark.",
    "lug-off-stud": "The lug of {it} does not fit where it is bolted: a poor joint, which can get hot.",
    "loose-end": "An end of {it} lands on nothing.",
    "name-used-twice": "Two things on this boat have the same name: mind which one is meant.",
    "trunking-full": "The trunking “{it}” is full: cables in it get warm and nothing more fits.",
    "few-spare-ways": "{it} {has} hardly a way left for anything that is added later.",
    "spark-in-vapour": "{it} can spark where petrol or gas can gather: that can explode.",
    "stud-full": "Too many cables are bolted to one stud of {it}: they can work loose and get hot.",
}
"""The sentence of every code; ``{it}`` is what the finding is about, ``{when}`` the moment it happens."""

TOLD_AS_STARTS = frozenset(
    {"restarts", "too-close", "dips-low", "dips-briefly", "limit-not-known", "outputs-brown-out"}
)
"""Those that the sheet tells with each start."""


def plainly(boat: Boat, finding: Finding) -> str:
    """What a finding means, in a sentence or two."""
    told = subjects_named(boat, finding.subjects)
    it = told[0] if told else _SOMETHING
    if finding.code == "device-above-conductor" and finding.figure and finding.limit:
        return too_big(it, finding.figure.value, finding.limit.value)
    event = next((one for one in events_of(boat) if one.id == finding.event), None)
    moment = "" if event is None else f"{when(boat, event)}, "
    said = SENTENCES[finding.code].format(it=it, when=moment, **_verbs(it))
    return f"{said[:1].upper()}{said[1:]}"


def subjects_named(boat: Boat, subjects: Sequence[str]) -> tuple[str, ...]:
    """What a person calls the subjects of a finding, as far as they have names."""
    names = {part.id: the(part.name) for part in boat.parts}
    names |= {one.id: _cable(boat, one) for one in boat.conductors if one.id in subjects}
    names |= {link.id: link.name for link in boat.links} | {run.id: run.name for run in boat.runs}
    return tuple(names[one] for one in subjects if one in names)


def _cable(boat: Boat, one: Conductor) -> str:
    """A cable by its name or number, and what it is the lead of."""
    name = conductor_words(boat, one)
    of = next((lead for lead in leads(boat) if one.id in lead.conductors), None)
    told = "" if of is None else the(part_of(boat, of.part).name)
    return f"{name} (to {told})" if told and told not in name else name


def too_big(cable: str, device_a: Ampere, limit_a: Ampere) -> str:
    """That what stands before a cable does not protect it, and how much would.

    >>> too_big("cable 41", 300.0, 35.0).partition(".")[0]
    'The fuse or breaker of cable 41 is far too big: 300 A where 35 A protects it'
    """
    far = "far " if device_a >= FAR * limit_a else ""
    figures = f"{device_a:g} A where {limit_a:g} A protects it"
    return f"The fuse or breaker of {cable} is {far}too big: {figures}. The cable can burn before it opens."


def _verbs(it: str) -> dict[str, str]:
    """The verbs of the sentences as they go with a name."""
    regular = ("loses", "starts", "runs", "gets", "feeds", "sits", "gives", "takes", "stays")
    forms = {one: one.removesuffix("s") for one in regular} | {"has": "have", "is": "are", "carries": "carry"}
    return {one: agreed(it, one, many) for one, many in forms.items()}
