"""The plan that is shown → the documents of it that programs are given."""

from collections.abc import Iterable, Iterator

from shoptrack.flows.planning.dates import JobDate, job_dates
from shoptrack.flows.planning.lanes import Names, Piece, instant_of, is_past, pieces_of
from shoptrack.flows.planning.next_up import NextUp, next_up, sentence
from shoptrack.flows.planning.nights import cures_of
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.planning.view import NotPlanned, left_of, missed_of
from shoptrack.flows.shopfloor import Sight
from shoptrack.web.plan_shapes import (
    NextDoc,
    NextsDoc,
    NotPlannedDoc,
    PlanDoc,
    PlannedDayDoc,
    PlannedJobDoc,
    PlannedStageDoc,
    StretchDoc,
)
from shoptrack.web.render import Wall, when


def plan_doc(sight: Sight, planned: Planned) -> PlanDoc:
    """The document of the whole plan; its days are the shop's, its instants absolute."""
    laid, plan = planned.laid, planned.plan
    names = Names(sight, laid, plan)
    return PlanDoc(
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=sight.now,
        number=planned.number,
        made_at=planned.made_at,
        proven=planned.proven,
        stale=planned.stale,
        days=tuple(_days(sight, planned, names)),
        stages=tuple(_stages(sight, planned, names)),
        jobs=tuple(_job(line) for line in job_dates(sight, laid, plan)),
        not_planned=_sentences(left_of(sight, planned)),
        missed=_sentences(missed_of(sight, planned)),
    )


def _days(sight: Sight, planned: Planned, names: Names) -> Iterator[PlannedDayDoc]:
    found = pieces_of(sight, planned.laid, planned.plan, names)
    order = list(sight.world.people)
    for on in sorted({on for _, on in found}):
        own = sorted((order.index(person), person) for person, of in found if of == on)
        yield PlannedDayDoc(on, tuple(_stretch(p, piece) for _, p in own for piece in found[p, on]))


def _stretch(person: int, piece: Piece) -> StretchDoc:
    named = piece.named
    return StretchDoc(
        person=person,
        stage=named.stage,
        job=named.job,
        tag=named.tag,
        name=named.name,
        from_=piece.from_at,
        until=piece.to_at,
        minutes=piece.minutes,
        goes_on=piece.goes_on,
    )


def _stages(sight: Sight, planned: Planned, names: Names) -> Iterator[PlannedStageDoc]:
    laid = planned.laid
    nexts = {c.named.task: c.next_at for c in cures_of(sight, laid, planned.plan, names) if c.planned}
    work = (p for p in planned.plan.placed if not is_past(laid.problem.tasks[p.task]))
    for placed in work:
        named = names.of(placed.task)
        yield PlannedStageDoc(
            stage=named.stage,
            job=named.job,
            tag=named.tag,
            name=named.name,
            part=laid.problem.tasks[placed.task].part,
            people=tuple(laid.problem.workers[w].person for w in placed.workers),
            from_=instant_of(laid, placed.start),
            hands_until=instant_of(laid, placed.hands_end),
            until=instant_of(laid, placed.end),
            next_from=nexts.get(placed.task),
            in_hand=named.in_hand,
        )


def _job(line: JobDate) -> PlannedJobDoc:
    return PlannedJobDoc(
        job=line.job,
        tag=line.tag,
        promised_on=line.promised_on,
        must_keep=line.must_keep,
        ready=line.ready_at,
        days=line.days,
        late=line.late,
        whole=line.whole,
    )


def _sentences(told: Iterable[NotPlanned]) -> tuple[NotPlannedDoc, ...]:
    return tuple(NotPlannedDoc(one.job, one.stages, one.sentence) for one in told)


def nexts_doc(sight: Sight, planned: Planned, wall: Wall) -> NextsDoc:
    """The document of what is next for each person who works here, in the order of their names."""
    found = next_up(sight, planned)
    people = (p for p in sight.world.people.values() if not p.retired)
    return NextsDoc(
        database_id=sight.head.database_id,
        revision=sight.head.revision,
        now=sight.now,
        number=planned.number,
        people=tuple(_next(sight, found, p.id, p.name, wall) for p in people),
    )


def _next(sight: Sight, found: NextUp, person: int, name: str, wall: Wall) -> NextDoc:
    stage = found.next_for(person)
    if stage is None:
        return NextDoc(person, name, None, None, None, None, None, None)
    why, slot = found.why(person, stage), found.slot(stage)
    planned = sight.world.stages[stage]
    return NextDoc(
        person=person,
        name=name,
        stage=stage,
        job=planned.job,
        tag=sight.world.jobs[planned.job].tag,
        stage_name=planned.name,
        from_=slot.starts_at if slot is not None else None,
        why=sentence(why, lambda at: when(at, sight.now, wall)) if why is not None else None,
    )
