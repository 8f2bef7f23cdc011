"""Which findings are shown: by part, kind, severity and mode, kept in the address."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.checks.words import conductor_words, part_of
from server.web.views.finding_kinds import KINDS, kind_of
from server.web.views.forms import ChoiceView

if TYPE_CHECKING:
    from server.boat.finding import Finding

SEVERITY_WORDS = {"danger": "Danger", "fault": "Faults", "advice": "Advice", "cannot-tell": "Cannot tell"}


@dataclass(frozen=True)
class FindingFilter:
    """What is left out shows all; an unknown value shows nothing, and the fields say so."""

    part: str = ""
    kind: str = ""
    severity: str = ""
    mode: str = ""

    @classmethod
    def of(cls, values: Mapping[str, str]) -> "FindingFilter":
        """The filter in an address or a form."""
        return cls(*(values.get(name, "") for name in NAMES))

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Name and value of each choice, for an address or for hidden fields."""
        values = (self.part, self.kind, self.severity, self.mode)
        return tuple((name, value) for name, value in zip(NAMES, values, strict=True) if value)

    def shows(self, finding: "Finding") -> bool:
        """Whether a finding is shown; one of the boat as a whole is shown in every mode."""
        return (
            (not self.part or self.part in finding.subjects)
            and (not self.kind or self.kind == kind_of(finding.code))
            and (not self.severity or self.severity == finding.severity)
            and (not self.mode or finding.mode in {None, self.mode})
        )


NAMES = ("of_part", "of_kind", "of_severity", "of_mode")


@dataclass(frozen=True)
class ChoicesView:
    """One list of the filter."""

    id: str
    name: str
    label: str
    options: tuple[ChoiceView, ...]


@dataclass(frozen=True)
class FilterView:
    """``findings/_filter.html``: a plain form that asks for the page again."""

    action: str
    hidden: tuple[tuple[str, str], ...]
    lists: tuple[ChoicesView, ...]
    all_url: str


def filter_view(
    boat: Boat,
    found: "Iterable[Finding]",
    chosen: FindingFilter,
    action: str,
    hidden: tuple[tuple[str, str], ...],
) -> FilterView:
    """The four lists, with what occurs among the findings alone."""
    found = tuple(found)
    names = {part.id: part.name for part in boat.parts} | _conductor_names(boat)
    about = {subject: names[subject] for one in found for subject in one.subjects if subject in names}
    parts = dict(sorted(about.items(), key=lambda pair: pair[1].casefold()))
    kinds = {kind: words for kind, words in KINDS.items() if any(kind_of(one.code) == kind for one in found)}
    severities = {
        key: words for key, words in SEVERITY_WORDS.items() if any(one.severity == key for one in found)
    }
    modes = {mode.id: mode.name for mode in boat.modes if any(one.mode == mode.id for one in found)}
    return FilterView(
        action=action,
        hidden=hidden,
        lists=(
            _choices("of_severity", "Severity", severities, chosen.severity),
            _choices("of_kind", "Kind", kinds, chosen.kind),
            _choices("of_part", "Part or conductor", parts, chosen.part),
            _choices("of_mode", "Mode", modes, chosen.mode),
        ),
        all_url=action,
    )


def _conductor_names(boat: Boat) -> dict[str, str]:
    """Conductors by id; the cores of one cable are told apart by their ends."""
    said = {one.id: _capital(conductor_words(boat, one)) for one in boat.conductors}
    often = Counter(said.values())
    return {
        one.id: said[one.id] if often[said[one.id]] == 1 else f"{said[one.id]}, {_between(boat, one)}"
        for one in boat.conductors
    }


def _between(boat: Boat, conductor: Conductor) -> str:
    ends = (conductor.tail, conductor.head)
    return " to ".join("loose end" if end is None else part_of(boat, end.part).name for end in ends)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _choices(name: str, label: str, options: Mapping[str, str], chosen: str) -> ChoicesView:
    rows = [ChoiceView(key, text, key == chosen) for key, text in {"": "all", **options}.items()]
    return ChoicesView(name.replace("_", "-"), name, label, tuple(rows))
