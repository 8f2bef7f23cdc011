"""A boat in a mode as the places of held leads are judged on it; worked out once for all leads."""

from dataclasses import dataclass
from functools import cached_property

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.modes import Mode
from server.boat.parts import AnyPart, Battery, Contact, MeasuringShunt
from server.boat.value import Known
from server.checks.feeds import Between, Device, between, capacity, devices_of, feeding, pieces
from server.checks.leads import monitored_negatives
from server.checks.paths import Node, Paths, Pieces, source_posts
from server.checks.protection import cranking_leads, is_short, is_too_large
from server.units import Ampere


@dataclass(frozen=True)
class Ground:
    """A boat in a mode, as far as every lead needs it; worked out once."""

    boat: Boat
    mode: Mode

    @cached_property
    def paths(self) -> Paths:
        """What is joined to what."""
        return Paths.of(self.boat, self.mode)

    @cached_property
    def parts(self) -> dict[str, AnyPart]:
        """The parts by id."""
        return {part.id: part for part in self.boat.parts}

    @cached_property
    def conductors(self) -> dict[str, Conductor]:
        """The conductors by id."""
        return {one.id: one for one in self.boat.conductors}

    @cached_property
    def piece(self) -> dict[Node, int]:
        """Pieces of copper between fuses and breakers."""
        return pieces(self.paths)

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """All fuses and breakers."""
        return devices_of(self.boat)

    @cached_property
    def joins(self) -> list[Between]:
        """All fuses and breakers with the pieces that they join."""
        return between(self.devices, self.piece)

    def is_too_large(self, conductor: Conductor, device: Device, length_m: Known | None) -> bool | None:
        """Whether a device is above a conductor that it has to protect; None where that is not known."""
        if conductor.kind != "wire" or conductor.id in self.cranking:
            return False
        if is_short(self.boat, conductor, length_m):
            return False
        key = conductor.id, device.rating_a
        if key not in self._too_large:
            self._too_large[key] = is_too_large(self.boat, conductor, device)
        return self._too_large[key]

    @cached_property
    def _too_large(self) -> dict[tuple[str, Ampere | None], bool | None]:
        return {}

    @cached_property
    def fed(self) -> dict[int, Device]:
        """The largest device that feeds each piece."""
        return feeding(self.joins, self.live)

    @cached_property
    def live(self) -> set[int]:
        """Pieces that a source feeds without any device."""
        return {self.piece[post] for _, post in source_posts(self.boat, "positive")}

    @cached_property
    def capacity(self) -> dict[int, Ampere]:
        """What the devices let through from a battery to each piece; where none feeds it, from any source."""
        posts = source_posts(self.boat, "positive")
        batteries = {self.piece[post] for part, post in posts if isinstance(part, Battery)}
        return capacity(self.joins, self.live) | capacity(self.joins, batteries)

    @cached_property
    def cranking(self) -> set[str]:
        """Conductors of cranking leads, which are exempt."""
        return cranking_leads(self.boat)

    @cached_property
    def alive(self) -> set[Node]:
        """Terminals that a battery keeps alive with every battery switch off."""
        if not any(isinstance(part, Contact) and part.is_battery_switch for part in self.boat.parts):
            return set()
        posts = source_posts(self.boat, "positive")
        return _reached(
            self.paths.pieces_without_switches, {post for part, post in posts if isinstance(part, Battery)}
        )

    @cached_property
    def monitored(self) -> set[Node]:
        """Negative posts of the batteries that a shunt counts."""
        shunts = [part for part in self.boat.parts if isinstance(part, MeasuringShunt)]
        return {post for shunt in shunts for post in monitored_negatives(self.boat, shunt)}

    @cached_property
    def uncounted(self) -> set[Node]:
        """Terminals from which a current comes back to a monitored bank past its shunt."""
        return _reached(self.paths.pieces_without_shunts, self.monitored) if self.monitored else set()

    @cached_property
    def unmonitored(self) -> set[Node]:
        """Terminals that batteries feed of which no shunt counts any."""
        batteries = [part.id for part in self.boat.parts if isinstance(part, Battery)]
        is_monitored = {name: (name, "negative") in self.monitored for name in batteries}
        piece = self.paths.closed_pieces
        fed = {piece[name, "positive"] for name in batteries if not is_monitored[name]}
        unseen = fed - {piece[name, "positive"] for name in batteries if is_monitored[name]}
        return {terminal for terminal, one in piece.items() if one in unseen}


def _reached(piece: Pieces, posts: set[Node]) -> set[Node]:
    """All terminals of the pieces on which some posts stand."""
    reached = {piece[post] for post in posts}
    return {terminal for terminal, one in piece.items() if one in reached}
