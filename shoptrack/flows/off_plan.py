"""A job as it stands → where it left its plan: pieces spoiled, stages taken out, the whole put aside."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction

from shoptrack.engine.cents import rounded
from shoptrack.engine.shapes import Aside, Spoil, Stage
from shoptrack.flows.job_money import Priced, price_work
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.work_done import work_done
from shoptrack.store.tables import RateRow
from shoptrack.store.waits import before


@dataclass(frozen=True, slots=True)
class Spoiled:
    """Pieces spoiled: found where, back to where, how many of how many, why, and what that cost.

    ``lost_min`` are the minutes that had gone into them on the way, ``again_min`` those of doing it again so
    far; the cents are of both, None where an hour has no rate. ``through``: it is done again to the end.
    """

    at: datetime
    found: str
    way_back: str
    count: float
    out_of: float
    cause: str
    lost_min: float
    again_min: float
    cents: int | None
    through: bool


@dataclass(frozen=True, slots=True)
class TakenOut:
    """A stage that was taken out of the job, with the minutes that stay."""

    name: str
    minutes: float


@dataclass(frozen=True, slots=True)
class PutAside:
    """A job put aside as a whole: since when, why, by whom, and the day to look again."""

    at: datetime
    reason: str
    look_again_on: date | None
    text: str
    by: str


@dataclass(frozen=True, slots=True)
class OffPlan:
    """Where a job left its plan."""

    spoiled: tuple[Spoiled, ...]
    taken_out: tuple[TakenOut, ...]
    aside: PutAside | None


def off_plan(sight: Sight, job: int, rates: Sequence[RateRow]) -> OffPlan:
    """Where a job left its plan, with what that cost. Empty: nothing was spoiled, taken out or put aside."""
    world = sight.world
    works = work_done(sight.replayed, sight.entries, world, (job,))
    priced = price_work(works, rates, world.calendar)
    own = [s for s in sight.replayed.spoils if s.found_at in world.stages]
    minutes = {
        s.id: sum(p.work.minutes for p in priced if p.work.stage == s.id) for s in sight.removed_of(job)
    }
    return OffPlan(
        spoiled=tuple(_spoiled(sight, s, priced) for s in own if world.stages[s.found_at].job == job),
        taken_out=tuple(TakenOut(s.name, minutes[s.id]) for s in sight.removed_of(job)),
        aside=aside_of(sight, job),
    )


def aside_of(sight: Sight, job: int) -> PutAside | None:
    """Why and until when a job was put aside as a whole; None where it was not, or was taken up."""
    found = [a for a in whole_asides(sight) if sight.world.stages[a.stage].job == job]
    if not found:
        return None
    a = found[0]
    by = sight.world.people.get(a.person) if a.person is not None else None
    return PutAside(a.at, a.reason, a.look_again_on, a.text, by.name if by else "")


def whole_asides(sight: Sight) -> Iterator[Aside]:
    """Of each job that was put aside as a whole, one of its stages."""
    seen = set[int]()
    for stage, aside in sight.replayed.asides.items():
        job = sight.world.stages[stage].job
        if aside.whole_job and job not in seen and stage in sight.standings:
            seen.add(job)
            yield aside


def _spoiled(sight: Sight, spoil: Spoil, priced: Sequence[Priced]) -> Spoiled:
    passes = [p for of in sight.replayed.passes.values() for p in of if p.after_spoil == spoil.entry]
    redone = {(p.stage, p.redo) for p in passes}
    way = {s.id for s in _way(sight, spoil)}
    share = min(1.0, spoil.count / spoil.out_of)
    lost = [p for p in priced if p.work.stage in way and p.work.start < spoil.at and not p.work.redo]
    again = [p for p in priced if (p.work.stage, p.work.redo) in redone]
    return Spoiled(
        at=spoil.at,
        found=sight.world.stages[spoil.found_at].name,
        way_back=sight.world.stages[spoil.way_back].name,
        count=spoil.count,
        out_of=spoil.out_of,
        cause=spoil.cause,
        lost_min=share * sum(p.work.minutes for p in lost),
        again_min=sum(p.work.minutes for p in again),
        cents=_cents(lost, again, Fraction(share)),
        through=all(p.finished_at is not None for p in passes),
    )


def _way(sight: Sight, spoil: Spoil) -> Iterator[Stage]:
    """The stages that the spoiled pieces had gone through since the one they go back to."""
    stages = sight.world.stages
    gone = before({s.id: s.needs for s in stages.values()}, (spoil.found_at,)) & stages.keys()
    after = {spoil.way_back}
    grown = True
    while grown:
        more = {s for s in gone - after if any(n.stage in after for n in stages[s].needs)}
        after |= more
        grown = bool(more)
    return (stages[s] for s in after)


def _cents(lost: Sequence[Priced], again: Sequence[Priced], share: Fraction) -> int | None:
    if any(p.cents is None for p in (*lost, *again)):
        return None
    thrown = sum((p.cents or Fraction(0) for p in lost), Fraction(0)) * share
    return rounded(thrown + sum((p.cents or Fraction(0) for p in again), Fraction(0)))
