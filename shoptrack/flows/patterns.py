"""Patterns: listed, one with its revisions to read, saved as a new revision, copied, retired."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.feasible import Problem as Problem  # pages read it here
from shoptrack.errors import BadInput, Refused, ShopError
from shoptrack.flows.pattern_checks import check
from shoptrack.store import patterns
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.names import people_names
from shoptrack.store.pattern_stages import settled, stages_of
from shoptrack.store.pattern_things import Things, things
from shoptrack.store.patterns import PatternStage
from shoptrack.store.tables import PatternRevisionRow, PatternRow


class Impossible(ShopError):
    """Stages that can't be done here, with all reasons."""

    def __init__(self, found: tuple[Problem, ...]) -> None:
        super().__init__(found[0].sentence)
        self.problems = found


class Overtaken(Refused):
    """Somebody else saved a revision since the one that was being changed; ``newest`` is its number."""

    def __init__(self, newest: int) -> None:
        super().__init__(f"Revision {newest} was saved meanwhile.")
        self.newest = newest


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A revision by its number: when, by whom, and what was said of it."""

    number: int
    made_at: datetime
    who: str
    note: str


@dataclass(frozen=True, slots=True)
class PatternLine:
    """A pattern in the list, with the stages of its newest revision."""

    id: int
    name: str
    retired_at: datetime | None
    newest: RevisionLine
    stages: tuple[PatternStage, ...]


@dataclass(frozen=True, slots=True)
class PatternView:
    """A pattern as one of its revisions has it; the revisions are newest first."""

    id: int
    name: str
    retired_at: datetime | None
    shown: RevisionLine
    stages: tuple[PatternStage, ...]
    revisions: tuple[RevisionLine, ...]
    things: Things

    @property
    def newest(self) -> int:
        """The number of the newest revision."""
        return self.revisions[0].number


def pattern_lines(store: Store, now: datetime) -> tuple[tuple[PatternLine, ...], Things]:
    """The patterns by name, those in use first, and what their stages name."""
    with store.reading() as session:
        rows = [*patterns.list_patterns(session), *patterns.retired_patterns(session)]
        found = tuple(_line(session, row) for row in rows if row.revisions)
        return found, things(session, now)


def _line(session: Session, row: PatternRow) -> PatternLine:
    newest = row.revisions[-1]
    (said,) = _revision_lines(session, [newest])
    return PatternLine(row.id, row.name, row.retired_at, said, stages_of(session, newest.id))


def pattern_view(store: Store, pattern: int, number: int | None, now: datetime) -> PatternView:
    """A pattern as a revision has it, the newest where no number is given. Raises NotFound."""
    with store.reading() as session:
        row = patterns.pattern_row(session, pattern)
        shown = patterns.revision_of(session, pattern, number or row.revisions[-1].number)
        lines = _revision_lines(session, list(reversed(row.revisions)))
        return PatternView(
            id=row.id,
            name=row.name,
            retired_at=row.retired_at,
            shown=next(line for line in lines if line.number == shown.number),
            stages=stages_of(session, shown.id),
            revisions=lines,
            things=things(session, now),
        )


def what_there_is(store: Store, now: datetime) -> Things:
    """What the stages of a new pattern may name."""
    with store.reading() as session:
        return things(session, now)


def _revision_lines(session: Session, rows: Sequence[PatternRevisionRow]) -> tuple[RevisionLine, ...]:
    names = people_names(session)
    return tuple(RevisionLine(r.number, r.made_at, names.get(r.person_id or 0, ""), r.note) for r in rows)


@dataclass(frozen=True, slots=True)
class Written:
    """A pattern as somebody wants it: its name, a word on what is new, its stages.

    ``base`` is the number of the revision they began from, nought for a new pattern.
    """

    name: str
    note: str
    stages: tuple[PatternStage, ...]
    base: int = 0


def make(store: Store, written: Written, who: int | None, now: datetime) -> int:
    """Add a pattern and give its number; the same once more, as by a form sent twice, gives the first's.

    Raises BadInput for a name that is taken, Impossible where a stage can't be done.
    """
    with store.writing() as session:
        there = patterns.pattern_named(session, written.name)
        if there is not None and there.revisions and _same(session, there.revisions[-1], written.stages):
            return there.id
        patterns.refuse_name(session, written.name)
        _refuse(session, written.stages, now)
        made = patterns.make_pattern(
            session, written.name, stages=written.stages, now=now, note=written.note, who=who
        )
        return made.pattern_id


def revise(store: Store, pattern: int, written: Written, who: int | None, now: datetime) -> int:
    """Save what was written as the next revision and give its number; the newest's where nothing is new.

    The name is changed in any case. Raises NotFound, BadInput for a name that is taken, Impossible where a
    stage can't be done, Overtaken where a newer revision than the one begun from says something else.
    """
    with store.writing() as session:
        row = patterns.pattern_row(session, pattern)
        patterns.refuse_name(session, written.name, besides=row.id)
        newest = row.revisions[-1]
        if not _same(session, newest, written.stages):
            if newest.number != written.base:
                raise Overtaken(newest.number)
            _refuse(session, written.stages, now)
            newest = patterns.revise_pattern(
                session, pattern, stages=written.stages, now=now, note=written.note, who=who
            )
        edit(session, row, who, now, name=written.name)
        return newest.number


def _same(session: Session, revision: PatternRevisionRow, stages: Sequence[PatternStage]) -> bool:
    """Whether stages say what a revision says; a new stage has no line yet, so lines are not compared."""
    there = [replace(s, line=None) for s in stages_of(session, revision.id)]
    return there == [_plain(settled(session, s)) for s in stages]


def _plain(stage: PatternStage) -> PatternStage:
    return replace(
        stage,
        line=None,
        needs=tuple(sorted(stage.needs, key=lambda n: n.position)),
        clamps=tuple(sorted(stage.clamps, key=lambda c: c.pool)),
        tools=tuple(sorted(stage.tools)),
        hands_at_min=tuple(stage.hands_at_min),
    )


def _refuse(session: Session, stages: Sequence[PatternStage], now: datetime) -> None:
    if not stages:
        raise BadInput("A pattern needs at least one stage.", "stages")
    found = check(stages, things(session, now))
    if found:
        raise Impossible(found)


def copy(store: Store, pattern: int, name: str, who: int | None, now: datetime) -> int:
    """A new pattern with the stages of another's newest revision; gives its number.

    The same once more gives the first's. Raises NotFound, BadInput for a name that is taken.
    """
    with store.writing() as session:
        row = patterns.pattern_row(session, pattern)
        stages = tuple(replace(s, line=None) for s in stages_of(session, row.revisions[-1].id))
        there = patterns.pattern_named(session, name)
        if there is not None and there.id != pattern and _same(session, there.revisions[-1], stages):
            return there.id
        note = f"copied from {row.name}, revision {row.revisions[-1].number}"
        made = patterns.make_pattern(session, name, stages=stages, now=now, note=note, who=who)
        return made.pattern_id


def set_retired(store: Store, pattern: int, retired: bool, who: int | None, now: datetime) -> None:
    """Take a pattern out of use, or bring it back; said again it changes nothing. Raises NotFound."""
    with store.writing() as session:
        row = patterns.pattern_row(session, pattern)
        if (row.retired_at is not None) != retired:
            edit(session, row, who, now, retired_at=now if retired else None)
