"""How the shop stands → the documents that programs are given."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime

from shoptrack.engine.shapes import FAR, Cure, Job, MarkTime, Now, Offer, Question, Round, Standing, Wait
from shoptrack.flows.shopfloor import Sight
from shoptrack.web.document_shapes import (
    CuringDoc,
    FloorDoc,
    JobDoc,
    JobsDoc,
    OfferDoc,
    OneJobDoc,
    PersonDoc,
    QuestionDoc,
    StageDoc,
    WaitDoc,
    WorkDoc,
)


def floor_doc(sight: Sight) -> FloorDoc:
    """The document of the whole floor."""
    people = [p for p in sight.world.people.values() if not p.retired or p.id in sight.replayed.people]
    standings = sorted(_open_standings(sight), key=lambda s: _place(sight, s))
    return FloorDoc(
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=sight.now,
        people=tuple(_person(p.id, p.name, sight.replayed.people.get(p.id)) for p in people),
        stages=tuple(_stage(sight, s) for s in standings),
        questions=tuple(_question(q) for q in sight.questions if not q.soft),
        curing=tuple(_curing(sight, standings)),
    )


def jobs_doc(sight: Sight) -> JobsDoc:
    """The document of the open jobs."""
    jobs = [j for j in sight.world.jobs.values() if j.closed_at is None]
    jobs.sort(key=lambda j: (j.promised_on or date.max, j.id))
    head = sight.head
    return JobsDoc(head.database_id, head.revision, sight.now, tuple(_job(sight, j) for j in jobs))


def one_job_doc(sight: Sight, job: int) -> OneJobDoc:
    """The document of one job."""
    standings = sight.stages_of(job)
    return OneJobDoc(
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=sight.now,
        job=_job(sight, sight.world.jobs[job]),
        stages=tuple(_stage(sight, s) for s in standings),
        work=tuple(_work(sight, s.stage) for s in standings),
        curing=tuple(_curing(sight, standings)),
    )


def _open_standings(sight: Sight) -> Iterator[Standing]:
    jobs, stages = sight.world.jobs, sight.world.stages
    return (s for s in sight.standings.values() if jobs[stages[s.stage].job].closed_at is None)


def _place(sight: Sight, standing: Standing) -> tuple[int, int]:
    stage = sight.world.stages[standing.stage]
    return stage.job, stage.position


def _person(id: int, name: str, now: Now | None) -> PersonDoc:
    if now is None:
        return PersonDoc(id, name, (), None, None)
    return PersonDoc(id, name, now.stages, now.shop or None, now.since)


def _stage(sight: Sight, standing: Standing) -> StageDoc:
    stage = sight.world.stages[standing.stage]
    return StageDoc(
        id=stage.id,
        job=stage.job,
        tag=sight.world.jobs[stage.job].tag,
        name=stage.name,
        kind=stage.kind,
        state=standing.state,
        until=_known(standing.until_at),
        people=standing.people,
        waits_for=tuple(_wait(w) for w in standing.waits),
        ready_count=standing.ready_count,
    )


def _wait(wait: Wait) -> WaitDoc:
    return WaitDoc(wait.why, wait.stage, _known(wait.until_at), wait.count)


def _question(asked: Question) -> QuestionDoc:
    return QuestionDoc(
        of=asked.of,
        asks=asked.asks,
        words=asked.words,
        at=asked.at,
        person=asked.person,
        stages=asked.stages,
        job=asked.job,
        offers=tuple(_offer(o) for o in asked.offers),
    )


def _offer(offer: Offer) -> OfferDoc:
    return OfferDoc(offer.choice, offer.words, offer.minutes, offer.to_at, offer.tool)


def _curing(sight: Sight, standings: Iterable[Standing]) -> Iterator[CuringDoc]:
    for standing in standings:
        for round, cure in standing.cures:
            yield from (_mark(round, cure, m) for m in cure.marks if _to_come(m, sight.now))


def _to_come(mark: MarkTime, now: datetime) -> bool:
    ends = [at for at in (mark.from_at, mark.until_at) if at is not None]
    return not ends or max(ends) > now  # with neither it is beyond what can be reckoned


def _mark(round: Round, cure: Cure, mark: MarkTime) -> CuringDoc:
    return CuringDoc(
        stage=round.stage,
        round=round.number,
        mark=mark.mark.name,
        from_=_known(mark.from_at),
        until=_known(mark.until_at),
        doubtful=cure.doubtful and not round.judged,
        assumed=round.assumed,
    )


def _job(sight: Sight, job: Job) -> JobDoc:
    standings = sight.stages_of(job.id)
    return JobDoc(
        id=job.id,
        tag=job.tag,
        title=job.title,
        customer=job.customer,
        pieces=job.pieces,
        promised_on=job.promised_on,
        must_keep=job.must_keep,
        closed_at=job.closed_at,
        stages_done=sum(s.state == "done" for s in standings),
        stages=len(standings),
    )


def _work(sight: Sight, stage: int) -> WorkDoc:
    planned, passes = sight.world.stages[stage], sight.replayed.passes[stage]
    starts = [p.started_at for p in passes if p.started_at is not None]
    ends = [p.finished_at for p in passes if p.finished_at is not None]
    return WorkDoc(
        stage=stage,
        unit=planned.unit,
        quantity=planned.quantity,
        attended_min=sum(p.attended_min for p in passes),
        machine_min=sum(p.machine_min for p in passes),
        started_at=min(starts, default=None),
        finished_at=max(ends) if len(ends) == len(passes) else None,
    )


def _known(at: datetime | None) -> datetime | None:
    return None if at is None or at == FAR else at
