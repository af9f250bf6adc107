"""Rows of past times → times that the shop learns from, each known again by a key of its own."""

import hashlib
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TypeVar

from sqlalchemy.orm import Session

from shoptrack.flows import bring_in_cells as cells
from shoptrack.flows.bring_in_measures import in_unit
from shoptrack.flows.bring_in_shapes import Already, Found, Reading, Subject, Ways
from shoptrack.flows.bring_in_sheet import Column, Row
from shoptrack.store import past_times as store
from shoptrack.store.past_times import Names, PastTime, StageTime

V = TypeVar("V")
COLUMNS = (
    Column("finished_on", needed=True),
    Column("job"),
    Column("pattern"),
    Column("stage"),
    Column("kind", needed=True),
    Column("measure", needed=True, number=True),
    Column("unit"),
    Column("minutes", needed=True, number=True),
    Column("person"),
)
NOBODY = "Some people are not in the shop’s list: their names are kept as text."
NO_PATTERN = "Some patterns are not in the shop’s list: their names are kept as text."
_KINDS_NAMED = 20


def base_of(time: StageTime | PastTime) -> str:
    """What two equal rows have in common, whichever program saved them."""
    texts = (cells.plain_lines(text) for text in (time.job, time.pattern, time.stage, time.person))
    parts = (time.finished_on.isoformat(), str(time.kind_id), repr(time.quantity), repr(time.minutes), *texts)
    return "\x1f".join(parts)


def key_of(base: str, ordinal: int) -> str:
    """The key of the nth of equal rows."""
    return hashlib.sha256(f"{base}\x1f{ordinal}".encode("utf-8", "surrogatepass")).hexdigest()


@dataclass(slots=True)
class _Judge:
    """Says of each row whether it comes in, in the order they stand in the file.

    A row that equals one in the log is that one: so a file that was taken out here brings nothing back in.
    """

    names: Names
    kinds: Mapping[str, tuple[int, str]]
    people: Mapping[str, int]
    patterns: Mapping[str, int]
    logged: Counter[str]
    keys: set[str]
    today: date
    mark: str
    seen: Counter[str] = field(default_factory=Counter)

    def __call__(self, row: Row) -> Found[PastTime] | Already:
        time = self._read(row)
        base = base_of(time)
        ordinal = self.seen[base]
        self.seen[base] += 1
        if ordinal < self.logged[base]:
            return Already.THERE
        key = key_of(base, ordinal - self.logged[base])
        if key in self.keys:
            return Already.THERE
        return Found(replace(time, row_key=key), _notes(time))

    def _read(self, row: Row) -> PastTime:
        reading = Reading(row)
        on = reading.read("finished_on", lambda text: cells.day(text, self.today), self.today)
        kind_id, unit = self._kind(reading)
        measure = reading.read("measure", lambda text: cells.measure(text, self.mark), 1.0)
        if kind_id:
            measure = reading.read("unit", lambda said: in_unit(measure, said, unit), measure)
        minutes = reading.read("minutes", lambda text: cells.minutes(text, self.mark), 1.0)
        job, pattern, stage, person = (
            reading.read(column, cells.words, "") for column in ("job", "pattern", "stage", "person")
        )
        reading.settle()
        return PastTime(
            finished_on=on,
            job=job,
            pattern=pattern,
            pattern_id=_meant(self.patterns, self.names.patterns, pattern),
            stage=stage or reading.said("kind").strip(),
            kind_id=kind_id,
            quantity=measure,
            minutes=minutes,
            person=person,
            person_id=_meant(self.people, self.names.people, person),
            row_key="",
        )

    def _kind(self, reading: Reading) -> tuple[int, str]:
        said = reading.said("kind")
        found = _meant(self.kinds, self.names.kinds, said)
        if found is not None:
            return found
        there = ", ".join(self.names.kinds_in_use[:_KINDS_NAMED]) or "none yet"
        if said.strip():
            short = " ".join(said.split())[:40]
            reading.refuse("kind", f"There is no kind of stage called “{short}”; there are: {there}.")
        else:
            reading.refuse("kind", f"It is missing; the kinds of stage are: {there}.")
        return 0, ""


def _notes(time: PastTime) -> tuple[str, ...]:
    nobody = time.person and time.person_id is None
    no_pattern = time.pattern and time.pattern_id is None
    return (NOBODY,) * bool(nobody) + (NO_PATTERN,) * bool(no_pattern)


def _meant(folded: Mapping[str, V], exact: Mapping[str, V], name: str) -> V | None:
    """What a name means: the thing of just that name, else one that differs in capitals and space alone."""
    return exact.get(name) or folded.get(cells.fold(name))


def judging(session: Session, ways: Ways, mark: str) -> _Judge:
    """The judge of past times against what the shop has logged and been given."""
    names = store.known_names(session)
    return _Judge(
        names=names,
        kinds={cells.fold(name): kind for name, kind in names.kinds.items()},
        people={cells.fold(name): id for name, id in names.people.items()},
        patterns={cells.fold(name): id for name, id in names.patterns.items()},
        logged=Counter(base_of(time) for time in store.logged_times(session)),
        keys=store.past_keys(session),
        today=ways.today,
        mark=mark,
    )


def write(session: Session, times: Sequence[PastTime], ways: Ways, who: int | None, now: datetime) -> None:
    """Write the times down; who brought them in is not kept, when is."""
    store.add_past_times(session, times, now)


PAST_TIMES = Subject("past-times", "past times", "past time", COLUMNS, judging, write)
