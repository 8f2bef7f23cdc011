"""The lists of a complaint's boat while it is put together: what nobody saw is a range, and is listed."""

from dataclasses import dataclass, field

from server.actions.complaint_answers import CableSeen, Complaint
from server.boat.boat import NotSeen
from server.boat.conductors import Cable, Conductor, Joint, LengthBasis, Size
from server.boat.constructors import at
from server.boat.parts import AnyPart
from server.boat.value import Known, Span
from server.practice.sizes import ConductorSize, size
from server.units import Metre

INSULATION_C = 105.0
RING = Joint(style="crimped-ring")
BUILT_IN = "common practice, no source"


@dataclass(frozen=True)
class Usual:
    """What a cable may be where nobody has seen it: sizes and lengths, thick and short to thin and long."""

    sizes: tuple[str, str, str]
    length: Span


HEAVY = ("4/0 AWG", "1/0 AWG", "2 AWG")
FEED = ("4 AWG", "8 AWG", "12 AWG")
THIN = ("12 AWG", "14 AWG", "18 AWG")
USUAL: dict[str, Usual] = {
    "plus": Usual(HEAVY, Span(low=0.3, value=1.0, high=3.0)),
    "feed": Usual(HEAVY, Span(low=0.5, value=2.0, high=5.0)),
    "minus": Usual(HEAVY, Span(low=0.3, value=1.0, high=3.0)),
    "strap": Usual(HEAVY, Span(low=0.5, value=2.0, high=5.0)),
    "windlass": Usual(("2/0 AWG", "2 AWG", "6 AWG"), Span(low=4.0, value=8.0, high=14.0)),
    "panel": Usual(FEED, Span(low=0.5, value=2.0, high=6.0)),
    "leads": Usual(THIN, Span(low=1.0, value=3.0, high=8.0)),
    "house": Usual(HEAVY, Span(low=0.3, value=1.0, high=3.0)),
    "charge": Usual(("2 AWG", "6 AWG", "8 AWG"), Span(low=0.5, value=1.5, high=4.0)),
}


@dataclass(slots=True)
class Sketch:
    """The lists of the boat while it is put together."""

    said: Complaint
    parts: list[AnyPart] = field(default_factory=list)
    cables: list[Cable] = field(default_factory=list)
    conductors: list[Conductor] = field(default_factory=list)
    not_seen: list[NotSeen] = field(default_factory=list)
    _studs: dict[str, int] = field(default_factory=dict)

    def stud(self, part: str) -> str:
        """The next free stud of the bar or the block."""
        number = self._studs.get(part, 0) + 1
        self._studs[part] = number
        return f"{part}.stud-{number}"

    def wire(self, name: str, ends: tuple[str, str], seen: CableSeen, usual: Usual, colour: str) -> None:
        """A single cable between two terminals; what of it was not seen is a range."""
        number = str(len(self.cables) + 1)
        self.cables.append(Cable(id=f"c-{name}", number=number, construction="single"))
        length, basis = _length(seen, usual)
        is_whole = seen.size is not None and seen.length_m is not None
        self.conductors.append(
            Conductor(
                id=name,
                kind="wire",
                cable=f"c-{name}",
                tail=at(ends[0]),
                head=at(ends[1]),
                tail_joint=RING,
                head_joint=RING,
                size=None if seen.size is None else _printed(size(seen.size)),
                material="tinned-copper",
                insulation_c=INSULATION_C,
                colour=colour,
                length_m=length,
                length_basis=basis,
                resistance_ohm=_resistance(seen, usual, length),
                trace="seen" if is_whole else "assumed",
            )
        )
        if not is_whole:
            self.miss(name, f"Cable {number}{self._between(ends)}: {_missing(seen, usual)}")

    def _between(self, ends: tuple[str, str]) -> str:
        """The names of the parts at a cable's ends, where both are drawn already."""
        names = {part.id: part.name for part in self.parts}
        parts = [end.partition(".")[0] for end in ends]
        known = [names[one] for one in parts if one in names]
        return f", {' to '.join(known)}" if len(known) == len(parts) else ""

    def link(self, name: str, one: str, other: str) -> None:
        """A joint, metal on metal."""
        self.conductors.append(Conductor(id=name, kind="link", tail=at(one), head=at(other)))

    def miss(self, subject: str, what: str) -> None:
        """Say what was assumed of something."""
        self.not_seen.append(NotSeen(id=f"not-seen-{len(self.not_seen) + 1}", what=what, subject=subject))


def _printed(row: ConductorSize) -> Size:
    return Size(label=row.label, area_mm2=row.area_mm2, resistance_ohm_per_m=row.ohm_per_m, source=row.source)


def _length(seen: CableSeen, usual: Usual) -> tuple[Known, LengthBasis]:
    return (usual.length, "estimated") if seen.length_m is None else (seen.length_m, "measured")


def _resistance(seen: CableSeen, usual: Usual, length: Known) -> Span | None:
    """The range of a cable whose size nobody saw; it goes as soon as a size is put in."""
    if seen.size is not None:
        return None
    metres = (length, length, length) if isinstance(length, float) else _ends(usual.length)
    thick, middle, thin = (size(label).ohm_per_m for label in usual.sizes)
    low, value, high = (ohm * m for ohm, m in zip((thick, middle, thin), metres, strict=True))
    return Span(low=low, value=value, high=high)


def _ends(span: Span) -> tuple[Metre, Metre, Metre]:
    return span.low, span.nominal, span.high


def _missing(seen: CableSeen, usual: Usual) -> str:
    words = []
    if seen.size is None:
        thin, thick = size(usual.sizes[2]), size(usual.sizes[0])
        areas = f"{thin.area_mm2:.2g} and {thick.area_mm2:.3g} mm²"
        words.append(f"its size, taken between {areas} ({thin.label} and {thick.label})")
    if seen.length_m is None:
        words.append(f"its length, taken as {usual.length.low:g} to {usual.length.high:g} m")
    return f"{' and '.join(words)}; {BUILT_IN}."
