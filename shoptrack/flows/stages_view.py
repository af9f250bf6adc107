"""The stages of a job, as they are planned and as they stand → what a page to change them shows."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Job, Need, Pass, Standing
from shoptrack.errors import NotFound
from shoptrack.flows.shopfloor import Sight, sight_of
from shoptrack.store import job_stages as rows_of
from shoptrack.store.db import Store
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.pattern_things import Things, things
from shoptrack.store.tables import StageRow
from shoptrack.store.waits import waits_of


@dataclass(frozen=True, slots=True)
class StageNow:
    """A stage as the page of stages shows it; ``stays`` is why it can't be taken out, empty where it can.

    ``done`` of ``quantity`` are in rounds or finished. ``fixed`` is why nothing of it can be changed now.
    """

    id: int
    number: int
    position: int
    name: str
    kind: str
    unit: str
    quantity: float
    done: float
    state: str
    minutes: float
    after: tuple[str, ...]
    rounds: bool
    stays: str
    fixed: str


@dataclass(frozen=True, slots=True)
class StagesView:
    """The stages of a job, those taken out of it, and the highest number of any, by which a form is known."""

    job: Job
    stages: tuple[StageNow, ...]
    removed: tuple[StageNow, ...]
    newest: int


@dataclass(frozen=True, slots=True)
class OneStage:
    """One stage to be changed, or a new one: what is said of it, the others, and all it may name.

    ``stamp`` changes with what is said of it, so that a page that is out of date is known.
    """

    view: StagesView
    stage: StageNow | None
    said: StageSaid | None
    things: Things
    stamp: str


def stages_view(store: Store, job_id: int, now: datetime) -> StagesView:
    """The stages of a job. Raises NotFound."""
    with store.reading() as session:
        sight = sight_of(store, session, now, (job_id,))
        return view_of(session, sight, job_id)


def one_stage(store: Store, job_id: int, stage_id: int | None, now: datetime) -> OneStage:
    """A stage with what a form for it needs, or the form of a new one. Raises NotFound."""
    with store.reading() as session:
        view = view_of(session, sight_of(store, session, now, (job_id,)), job_id)
        known = things(session, now)
        if stage_id is None:
            return OneStage(view, None, None, known, "")
        stage = next((s for s in (*view.stages, *view.removed) if s.id == stage_id), None)
        if stage is None:
            raise NotFound("There is no such stage in this job.")
        said = said_now(session, job_id, stage_id)
        return OneStage(view, stage, said, known, stamp_of(said))


def stamp_of(said: StageSaid) -> str:
    """A short word for what is said of a stage."""
    return hashlib.sha256(repr(said).encode()).hexdigest()[:16]


def said_now(session: Session, job_id: int, stage_id: int) -> StageSaid:
    """What is said of a stage of a job now. Raises NotFound."""
    rows = rows_of.stages_of_job(session, job_id)
    row = next((r for r in rows if r.id == stage_id), None)
    if row is None:
        raise NotFound("There is no such stage in this job.")
    return rows_of.said_of(row, waits_of(rows)[stage_id])


def view_of(session: Session, sight: Sight, job_id: int) -> StagesView:
    """The stages of a job as a sight has them. Raises NotFound."""
    job = sight.world.jobs.get(job_id)
    if job is None:
        raise NotFound("There is no such job.")
    rows = rows_of.stages_of_job(session, job_id)
    waits = waits_of(rows)
    names = {row.id: row.name for row in rows}
    kinds = {k: (kind.name, kind.unit) for k, kind in things(session, sight.now).kinds.items()}
    live = [row for row in rows if row.removed_at is None]
    out = [row for row in rows if row.removed_at is not None]
    return StagesView(
        job=job,
        stages=tuple(_now(sight, r, n, waits[r.id], names, kinds) for n, r in enumerate(live, 1)),
        removed=tuple(_now(sight, r, 0, waits[r.id], names, kinds) for r in out),
        newest=max(names, default=0),
    )


def _now(
    sight: Sight,
    row: StageRow,
    number: int,
    waits: tuple[Need, ...],
    names: Mapping[int, str],
    kinds: Mapping[int, tuple[str, str]],
) -> StageNow:
    standing = sight.standings.get(row.id)
    passes = sight.replayed.passes.get(row.id, ())
    kind, unit = kinds[row.kind_id]
    return StageNow(
        id=row.id,
        number=number,
        position=row.position,
        name=row.name,
        kind=kind,
        unit=unit,
        quantity=row.quantity,
        done=passes[0].count_done if passes else 0.0,
        state=standing.state if standing else "taken out",
        minutes=_minutes(passes),
        after=tuple(names[n.stage] for n in waits),
        rounds=row.rounds,
        stays=stays(sight, row.id),
        fixed=fixed(standing),
    )


def _minutes(passes: tuple[Pass, ...]) -> float:
    return sum(p.attended_min + p.mend_min for p in passes)


def stays(sight: Sight, stage_id: int) -> str:
    """Why a stage can't be taken out of its job now; empty where it can."""
    at_it = [sight.world.people[p].name for p, at in sight.replayed.people.items() if stage_id in at.stages]
    standing = sight.standings.get(stage_id)
    if at_it:
        have = "has" if len(at_it) == 1 else "have"
        return f"{' and '.join(at_it)} {have} it in hand; done, or “I leave it”, comes first."
    if standing is None:
        return ""
    if standing.work.running:
        return "its machine is running."
    if any(made.clamps for made, _ in standing.cures):
        return "it is in clamps; clamps off comes first."
    if standing.doubtful:
        return "its joint is in doubt; somebody must say first whether it is sound."
    gates = [gate for _, cure in standing.cures if (gate := cure.gate_at()) is not None]
    if any(gate > sight.now for gate in gates):
        return "its glue or finish still cures."
    return ""


def fixed(standing: Standing | None) -> str:
    """Why nothing of a stage can be changed now; empty where it can."""
    if standing is not None and standing.work.finished_at is not None:
        return "It is done. To change it, strike its “done” in the job’s book first."
    return ""
