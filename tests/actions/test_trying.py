"""Mends are tried a few at a time: what was found stays, and who comes back goes on from there."""

from collections.abc import Iterator

from server.actions.trying import MOST_OFFERED, Offer, Trial
from server.boat.finding import Mend
from server.checks.effects import effect


def offer(label: str) -> Offer:
    return Offer(Mend(label=label), effect((), ()), ())


def labels(offers: tuple[Offer, ...]) -> list[str]:
    return [one.mend.label for one in offers]


def test_without_time_one_candidate_is_tried_at_each_call() -> None:
    trial = Trial(iter([None, offer("a"), None, offer("b")]))

    assert [labels(trial.go_on(0.0)) for _ in range(4)] == [[], ["a"], ["a"], ["a", "b"]]
    assert not trial.is_over
    assert labels(trial.go_on(0.0)) == ["a", "b"]
    assert trial.is_over


def test_it_ends_with_enough_and_never_tries_more_than_is_offered() -> None:
    tried = list[int]()

    def candidates() -> Iterator[Offer | None]:
        for number in range(20):
            tried.append(number)
            yield offer(str(number))

    trial = Trial(candidates())
    assert labels(trial.go_on(enough=1)) == ["0"]
    assert tried == [0]
    assert len(trial.go_on()) == MOST_OFFERED
    assert trial.is_over
    assert len(trial.go_on()) == MOST_OFFERED
    assert tried == [0, 1, 2]
