"""A tap, and what the book has of it → taken, kept for later, set aside with a reason, or answered again."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Literal

from sqlalchemy.orm import Session

from shoptrack.flows.entry_kinds import Said
from shoptrack.flows.envelopes import Tap, plain
from shoptrack.store import log
from shoptrack.store.known import Known, Line, Wanted, line_of, look_up

LONGEST_AGO = timedelta(days=400)
"""A tap that comes out older than this has a broken time; a replay over centuries would stop the shop."""
SOON = timedelta(minutes=2)

CONFLICT = "Another tap with the same id is in the book already."
SAME_NUMBER = "Another tap of this tablet has the same number."
NO_ENTRY = "The entry this tap means is not in this shop's book."
TOO_OLD = "By the tablet's clock this tap was made more than a year ago, so its time can't be right."
NOT_YET = "The time it is moved to has not come yet."
FAR_AWAY = "The time it is moved to is more than a year from where it was."


@dataclass(frozen=True)
class Pending:
    """A tap to be placed: whose it is, and when it was made by the server's clock as far as that is known.

    ``settling``: it was answered "done" before and only now gets its time.
    """

    tap: Tap
    device: str
    at: datetime
    settling: bool = False


@dataclass(frozen=True)
class Verdict:
    """What is to be done with a tap."""

    what: Literal["again", "take", "keep", "set aside"]
    reason: str = ""


@dataclass
class Desk:
    """What the book already has of the taps at hand; grows as taps are taken.

    ``prints`` are the fingerprints of taps in the log, ``kept`` of those kept, ``reasons`` why taps were set
    aside, ``entries`` the instants of those that taps mean.
    """

    session: Session
    now: datetime
    behind: bool
    kept: dict[str, str]
    prints: dict[str, str] = field(default_factory=dict)
    reasons: dict[tuple[str, str], str] = field(default_factory=dict)
    known: Known = field(default_factory=Known)
    entries: dict[str, datetime] = field(default_factory=dict)
    lines: dict[str, Line] = field(default_factory=dict)

    def look(self, pendings: Sequence[Pending]) -> None:
        """Read all that these taps can meet, once for all of them."""
        ids = {row_id(p.tap) for p in pendings}
        self.prints |= log.stored(self.session, ids)
        self.reasons |= log.set_aside_reasons(self.session, ids)
        self.known = look_up(self.session, _wanted(p.tap.said for p in pendings if p.tap.said))
        self.entries |= self.known.entries
        for device in {p.device for p in pendings}:
            seqs = {p.tap.said.seq for p in pendings if p.tap.said and p.device == device}
            self.lines[device] = line_of(self.session, device, seqs)

    def judge(self, pending: Pending) -> Verdict:
        """What is to be done with a tap: what was done before, else by what it says."""
        tap = pending.tap
        before = self._before(pending)
        if before is not None:
            return before
        reason = tap.reason or self._wrong(pending)
        if reason:
            return Verdict("set aside", reason)
        assert tap.said is not None  # else it had a reason
        return Verdict("keep" if self.behind or tap.said.of in self.kept else "take")

    def place(self, pending: Pending, said: Said) -> datetime:
        """The corrected instant of a tap: never in the future, never out of its device's own order."""
        return self.lines[pending.device].fit(said.seq, min(pending.at, self.now))

    def note(self, pending: Pending, said: Said, tapped_at: datetime) -> None:
        """Remember a tap that has been taken."""
        self.prints[said.id] = pending.tap.print
        self.entries[said.id] = tapped_at - timedelta(minutes=said.ago_min)
        self.lines[pending.device].add(said.seq, said.id, tapped_at)
        self.kept.pop(said.id, None)

    def _before(self, pending: Pending) -> Verdict | None:
        tap = pending.tap
        kept = None if pending.settling else self.kept.get(tap.id)
        print = self.prints.get(tap.id, kept)
        if print == tap.print:
            return Verdict("again")
        reason = self.reasons.get((row_id(tap), tap.print))
        if reason is not None and not pending.settling:
            return Verdict("again", reason)
        return Verdict("set aside", CONFLICT) if print is not None else None

    def _wrong(self, pending: Pending) -> str:
        """Why a tap that reads well can't be taken into this book; empty when it can."""
        said = pending.tap.said
        assert said is not None
        taken_by = self.lines[pending.device].taken.get(said.seq, said.id)
        if taken_by != said.id:
            return SAME_NUMBER
        if said.of is not None and said.of not in self.entries and said.of not in self.kept:
            return NO_ENTRY
        return self._missing(said) or (
            "" if pending.settling or self.behind else self._wrong_time(pending, said)
        )

    def _missing(self, said: Said) -> str:
        known = self.known
        for stage in (*said.stages, *([said.way_back] if said.way_back else ())):
            if stage not in known.stages:
                return f"There is no stage {stage} in this shop's book."
        for person in (said.person, said.helper):
            if person is not None and person not in known.people:
                return f"There is no person {person} in this shop's book."
        if said.job is not None and said.job not in known.jobs:
            return f"There is no job {said.job} in this shop's book."
        if said.pool is not None and said.pool not in known.pools:
            return f"There are no clamps {said.pool} in this shop's book."
        if said.room is not None and said.room not in known.rooms:
            return f"There is no room {said.room} in this shop's book."
        if said.tool is not None and said.tool not in known.tools:
            return f"There is no tool {said.tool} in this shop's book."
        if said.edge is not None and known.edges.get(said.edge) != said.tool:
            return f"There is no edge {said.edge} of this tool in this shop's book."
        if said.way_back and known.stages[said.way_back] != known.stages[said.stages[0]]:
            return "The stage it goes back to belongs to another job."
        return ""

    def _wrong_time(self, pending: Pending, said: Said) -> str:
        if pending.at < self.now - LONGEST_AGO:
            return TOO_OLD
        if said.to_at is None:
            return ""
        if said.to_at > self.now + SOON:
            return NOT_YET
        meant = self.entries.get(said.of or "", said.to_at)
        return FAR_AWAY if abs(said.to_at - meant) > LONGEST_AGO else ""


def row_id(tap: Tap) -> str:
    """The id under which a tap is set aside: as sent, in signs that can be kept."""
    return str(plain(tap.id))


def _wanted(all_said: Iterable[Said]) -> Wanted:
    said = list(all_said)
    return Wanted(
        stages=frozenset(i for s in said for i in (*s.stages, s.way_back) if i is not None),
        jobs=frozenset(s.job for s in said if s.job is not None),
        people=frozenset(i for s in said for i in (s.person, s.helper) if i is not None),
        pools=frozenset(s.pool for s in said if s.pool is not None),
        rooms=frozenset(s.room for s in said if s.room is not None),
        tools=frozenset(s.tool for s in said if s.tool is not None),
        edges=frozenset(s.edge for s in said if s.edge is not None),
        entries=frozenset(s.of for s in said if s.of is not None),
    )
