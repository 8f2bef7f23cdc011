"""Any mixture of edits, stale edits, repeated requests, undo, redo and reopening obeys a plain list.

The model is what a person expects of undo: a pile of bodies to go back to and a pile to go forward to.
"""

import shutil
import tempfile
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from server.store import Repository, Revision
from server.store.errors import NothingToRedoError, NothingToUndoError, RequestReusedError, StaleError

bodies = st.binary(max_size=6)


class StoreMachine(RuleBasedStateMachine):
    """One boat, edited by a hand that also makes every mistake."""

    @initialize(body=bodies)
    def start(self, body: bytes) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="store-machine-"))
        self.ticks = count()
        self.store = self.reopened()
        self.boat_id = self.store.create(
            body=body, name="n", role="working", author="a", request_id="r1", label="start"
        ).id
        self.shown = [body]  # the body of each revision, in order
        self.behind: list[bytes] = []
        self.ahead: list[bytes] = []
        self.done: list[tuple[str, int, bytes, Revision]] = []  # what was asked, and the answer

    def reopened(self) -> Repository:
        return Repository.open(self.folder, lambda: next(self.ticks), lambda: "b1", reserve_bytes=0)

    @property
    def head(self) -> int:
        return len(self.shown)

    def ask(self, kind: str, base: int, body: bytes, key: str) -> Revision:
        sha = f"{kind} {base} {body!r}"
        if kind == "undo":
            return self.store.undo(self.boat_id, base, author="a", request_id=key, request_sha=sha)
        if kind == "redo":
            return self.store.redo(self.boat_id, base, author="a", request_id=key, request_sha=sha)
        return self.store.append(
            self.boat_id, base, body=body, edit="{}", label=key, author="a", request_id=key, request_sha=sha
        )

    def fresh_key(self) -> str:
        return f"r{self.head + 1}"

    def acknowledged(self, kind: str, body: bytes, made: Revision) -> None:
        self.done.append((kind, self.head, body, made))
        self.shown.append(made.body)

    @rule(body=bodies)
    def edit(self, body: bytes) -> None:
        made = self.ask("edit", self.head, body, self.fresh_key())
        self.behind.append(self.shown[-1])
        self.ahead.clear()
        self.acknowledged("edit", body, made)
        assert (made.rev, made.body, made.step) == (self.head, body, "edit")

    @rule()
    def undo(self) -> None:
        if not self.behind:
            with pytest.raises(NothingToUndoError):
                self.ask("undo", self.head, b"", self.fresh_key())
            return
        made = self.ask("undo", self.head, b"", self.fresh_key())
        self.ahead.append(self.shown[-1])
        self.acknowledged("undo", b"", made)
        assert (made.body, made.step) == (self.behind.pop(), "undo")

    @rule()
    def redo(self) -> None:
        if not self.ahead:
            with pytest.raises(NothingToRedoError):
                self.ask("redo", self.head, b"", self.fresh_key())
            return
        made = self.ask("redo", self.head, b"", self.fresh_key())
        self.behind.append(self.shown[-1])
        self.acknowledged("redo", b"", made)
        assert (made.body, made.step) == (self.ahead.pop(), "redo")

    @precondition(lambda self: len(self.shown) > 1)
    @rule(data=st.data(), kind=st.sampled_from(["edit", "undo", "redo"]), body=bodies)
    def stale(self, data: st.DataObject, kind: str, body: bytes) -> None:
        base = data.draw(st.integers(1, self.head - 1))
        with pytest.raises(StaleError) as refused:
            self.ask(kind, base, body, self.fresh_key())
        assert refused.value.head.body == self.shown[-1]
        assert [entry.rev for entry in refused.value.since] == list(range(base + 1, self.head + 1))

    @precondition(lambda self: self.done)
    @rule(data=st.data())
    def repeat(self, data: st.DataObject) -> None:
        kind, base, body, made = data.draw(st.sampled_from(self.done))
        assert self.ask(kind, base, body, made.request_id) == made

    @precondition(lambda self: self.done)
    @rule(data=st.data())
    def reuse(self, data: st.DataObject) -> None:
        *_, made = data.draw(st.sampled_from(self.done))
        with pytest.raises(RequestReusedError):
            self.ask("edit", self.head, b"something else", made.request_id)

    @rule()
    def reopen(self) -> None:
        self.store.close()
        self.store = self.reopened()

    @invariant()
    def everything_acknowledged_is_there(self) -> None:
        head = self.store.head(self.boat_id)
        assert (head.rev, head.body) == (self.head, self.shown[-1])
        assert (self.store.can_undo(self.boat_id) is None) == (not self.behind)
        assert (self.store.can_redo(self.boat_id) is None) == (not self.ahead)

    def teardown(self) -> None:
        """At the end every revision still shows what it showed, and the store's own check agrees."""
        found = [self.store.revision(self.boat_id, rev).body for rev in range(1, self.head + 1)]
        report = self.store.check()
        self.store.close()
        shutil.rmtree(self.folder)
        assert found == self.shown
        assert (report.revisions, report.bodies, report.problems) == (self.head, len(set(self.shown)), ())


StoreMachine.TestCase.settings = settings(
    max_examples=8,
    stateful_step_count=30,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
TestStoreMachine = StoreMachine.TestCase
