"""The lists of a document while it is being drawn up."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from server.boat.boat import Boat, Zone
from server.boat.conductors import Cable, Conductor, Joint
from server.boat.constructors import at
from server.boat.drafts.sizing import INSULATION_C, bought, printed
from server.boat.drafts.wish import Wish
from server.boat.lengths import Allowance, estimated_length
from server.boat.parts import AnyPart, Fuse
from server.boat.value import Id, Place
from server.practice.sizes import ConductorSize, size
from server.units import Ampere, Metre, Volt

ENGINE_SPACE = "engine-space"
HEAVY, HEAVIEST = "2/0 AWG", "4/0 AWG"
RING = Joint(style="crimped-ring")


@dataclass(slots=True)
class Sheet:
    """Parts, cables and conductors so far; every terminal is written ``part.terminal``."""

    wish: Wish
    parts: dict[Id, AnyPart] = field(default_factory=dict)
    cables: list[Cable] = field(default_factory=list)
    conductors: list[Conductor] = field(default_factory=list)
    _studs: dict[Id, Iterator[str]] = field(default_factory=dict)

    @property
    def volts(self) -> Volt:
        """The nominal voltage."""
        return float(self.wish.nominal_voltage_v)

    def spot(self, share: float, side_m: float = 0.0, height_m: float = 0.5) -> Place:
        """A place at a share of the boat's length from the bow."""
        return Place(
            from_bow_m=round(share * self.wish.length_m, 2), from_centreline_m=side_m, height_m=height_m
        )

    def put(self, part: AnyPart) -> Id:
        """Add a part; answers its id."""
        self.parts[part.id] = part
        return part.id

    def stud(self, bar: Id) -> str:
        """The next free stud of a bar, block or bus.

        Raises:
            StopIteration: all its studs are taken.
        """
        count = getattr(self.parts[bar], "studs")  # noqa: B009 - bars, blocks and bonding share the word
        names = self._studs.setdefault(bar, (f"{bar}.stud-{n}" for n in range(1, count + 1)))
        return next(names)

    def wire(self, name: Id, tail: str, head: str, gauge: ConductorSize, colour: str) -> None:
        """Add a single cable between two terminals, its length estimated from their places."""
        self.cables.append(
            Cable(id=f"c-{name}", number=str(len(self.cables) + 1), construction="single", sheathed=True)
        )
        self.conductors.append(
            Conductor(
                id=name,
                kind="wire",
                cable=f"c-{name}",
                tail=at(tail),
                head=at(head),
                tail_joint=RING,
                head_joint=RING,
                size=printed(bought(gauge, self.wish)),
                material="tinned-copper",
                insulation_c=INSULATION_C,
                colour=colour,
                length_m=self.metres(tail, head),
                length_basis="estimated",
                in_engine_space="yes" if self.is_hot(tail, head) else "no",
                sheathed="yes",
            )
        )

    def heavy(self, name: Id, tail: str, head: str, colour: str = "red") -> None:
        """Add a cable that a start flows through."""
        self.wire(name, tail, head, size(HEAVY if self.wish.engine == "small" else HEAVIEST), colour)

    @property
    def main_fuse_a(self) -> Ampere:
        """The fuse of a bank, no larger than the heavy cable stands."""
        return 300.0 if self.wish.engine == "small" else 400.0

    def fuse(self, identity: Id, name: str, place: Place, rating_a: Ampere) -> Id:
        """Add a class T fuse, which breaks what any bank of a draft can drive; answers its id."""
        return self.put(
            Fuse(
                kind="fuse",
                id=identity,
                name=name,
                place=place,
                zone="battery-locker",
                ignition_protected="yes",
                device_class="class-t",
                rating_a=rating_a,
                voltage_rating_v=125.0,
                interrupting_a=20000.0,
                reset="replace",
            )
        )

    def fuse_on(self, bus: Id, slug: Id, rating_a: Ampere) -> Id:
        """Add a fuse bolted to a bus, named after what it feeds; answers its id."""
        words = slug.replace("-", " ").capitalize()
        fuse = self.fuse(f"{slug}-fuse", f"{words} fuse", self.place(f"{bus}.stud-1"), rating_a)
        self.link(f"{slug}-post", self.stud(bus), f"{fuse}.line")
        return fuse

    def link(self, name: Id, tail: str, head: str) -> None:
        """Add a bolted joint."""
        self.conductors.append(Conductor(id=name, kind="link", tail=at(tail), head=at(head)))

    def metres(self, tail: str, head: str) -> Metre:
        """How long a conductor between two terminals is, by the rule for estimated lengths."""
        one, other = self.place(tail), self.place(head)
        return estimated_length(one, other, Allowance.of(self.boat()))

    def is_hot(self, *ends: str) -> bool:
        """Whether one of the ends is in the engine space."""
        return any(self.parts[at(end).part].zone == ENGINE_SPACE for end in ends)

    def place(self, end: str) -> Place:
        """Where the part of a terminal sits.

        Raises:
            ValueError: it was put nowhere.
        """
        place = self.parts[at(end).part].place
        if place is None:
            raise ValueError(f"{end} has no place")
        return place

    def boat(self) -> Boat:
        """The boat with nothing but its name, to which the lists belong."""
        return Boat(
            format="tapchart.boat",
            version=1,
            name=self.wish.name,
            nominal_voltage_v=self.volts,
            length_m=self.wish.length_m,
        )


def zones() -> tuple[Zone, ...]:
    """The spaces every pattern tells apart."""
    return (
        Zone(id=ENGINE_SPACE, name="Engine space", engine_space=True),
        Zone(id="battery-locker", name="Battery locker", battery_space=True),
        Zone(id="cabin", name="Cabin"),
        Zone(id="helm", name="Helm", damp=True),
        Zone(id="bilge", name="Bilge", damp=True),
        Zone(id="bow", name="Bow", damp=True),
    )
