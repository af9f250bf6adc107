"""The first day's pattern, a plain row of stages, and the first job made from it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import ClampNeed
from shoptrack.errors import BadInput
from shoptrack.flows.first_day.starting_things import KINDS
from shoptrack.flows.first_day.steps import go_on
from shoptrack.store.db import Store
from shoptrack.store.edits import note_made
from shoptrack.store.jobs import add_job, open_jobs
from shoptrack.store.patterns import PatternNeed, PatternStage, list_patterns, make_pattern, newest_revision
from shoptrack.store.shop import list_kinds, list_rooms, list_stations
from shoptrack.store.tables import PatternRow

STARTING = {kind.name: kind for kind in KINDS}


@dataclass(frozen=True, slots=True)
class RowAnswer:
    """One stage: its kind, and how much of it one piece takes, or the whole job where it counts once."""

    kind: int
    amount: float


@dataclass(frozen=True, slots=True)
class PatternAnswer:
    """A name, stages one after the other, and what their glue-ups and coats are done with."""

    name: str
    rows: Sequence[RowAnswer]
    glue: int | None = None
    finish: int | None = None
    pool: int | None = None
    clamps: int = 0


def save_pattern(store: Store, said: PatternAnswer, who: int | None, now: datetime) -> str | None:
    """Make the pattern unless there is one of that name; gives the next step.

    Raises BadInput, by its field, where no stage was chosen or a kind of stage is not there.
    """
    with store.writing() as session:
        if all(p.name.casefold() != said.name.casefold() for p in list_patterns(session)):
            revision = make_pattern(session, said.name, stages=_stages(session, said), now=now)
            note_made(session, session.get_one(PatternRow, revision.pattern_id), who, now)
        return go_on(session, "pattern")


@dataclass(frozen=True, slots=True)
class _Ground:
    """What stands in the shop, by which the stages of a pattern find their kind, station and room."""

    kinds: dict[int, str]
    stations: dict[str, int]
    rooms: dict[str, int]

    def room_for(self, takes: str) -> int | None:
        """Where a glue-up or a coat cures: the room for it where there is one, else the first."""
        first = next(iter(self.rooms.values()), None)
        return {"glue": first, "finish": self.rooms.get("finish room", first)}.get(takes)


def _stages(session: Session, said: PatternAnswer) -> list[PatternStage]:
    if not said.rows:
        raise BadInput("Choose at least one stage.", "kind-1")
    ground = _Ground(
        {k.id: k.name for k in list_kinds(session)},
        {s.name: s.id for s in list_stations(session)},
        {r.name: r.id for r in list_rooms(session)},
    )
    return [_stage(said, row, place, ground) for place, row in enumerate(said.rows, start=1)]


def _stage(said: PatternAnswer, row: RowAnswer, place: int, ground: _Ground) -> PatternStage:
    name = ground.kinds.get(row.kind)
    if name is None:
        raise BadInput("This kind of stage is not there any more.", f"kind-{place}")
    usual = STARTING.get(name, STARTING["fitting"])
    glued = usual.takes == "glue"
    return PatternStage(
        row.kind,
        name,
        fixed=row.amount if usual.once else 0,
        per_piece=0 if usual.once else row.amount,
        needs=[PatternNeed(place - 1)] if place > 1 else [],
        clamps=[ClampNeed(said.pool, said.clamps)] if glued and said.pool and said.clamps else [],
        station=next((ground.stations[at] for at in usual.at if at in ground.stations), None),
        room=ground.room_for(usual.takes),
        recipe={"glue": said.glue, "finish": said.finish}.get(usual.takes),
        joint="plain edge" if glued and said.glue else None,
        rounds=usual.takes == "finish",
    )


@dataclass(frozen=True, slots=True)
class JobAnswer:
    """The first order. ``after``: the newest job when the form was drawn, so that sent twice it is one."""

    pattern: int
    title: str
    customer: str
    pieces: int
    promised_on: date | None
    after: int = 0


def save_job(store: Store, said: JobAnswer, who: int | None, now: datetime) -> str | None:
    """Take the order and end the first day; gives the step that is still next, None where none is.

    Raises BadInput for a pattern that is not there.
    """
    with store.writing() as session:
        revision = newest_revision(session, said.pattern)
        if revision is None:
            raise BadInput("Choose a pattern.", "pattern")
        sent_before = any(
            job.id > said.after and (job.title, job.customer) == (said.title, said.customer)
            for job in open_jobs(session)
        )
        if not sent_before:
            made = add_job(
                session,
                title=said.title,
                customer=said.customer,
                pieces=said.pieces,
                promised_on=said.promised_on,
                revision_id=revision.id,
                now=now,
            )
            note_made(session, made, who, now)
        return go_on(session, "job")
