"""A quote that was taken and the job it became → what was quoted beside what happened, stage by stage."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import exp, log
from statistics import fmean

from sqlalchemy.orm import Session

from shoptrack.engine.cents import rounded
from shoptrack.engine.durations import chance_under
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import NOTHING, Range, StageAsked
from shoptrack.flows.quoting.kept import Kept, KeptWork, newest
from shoptrack.store import pays
from shoptrack.store.pays import ClosedJob, StageTook
from shoptrack.store.quotes import quote_of_job, quotes_of_jobs
from shoptrack.store.tables import QuoteRow

MOST_QUOTES = 200
"""So many of the newest are read: what was quoted before says little of today, and reading takes time."""
LAST = 10
FEWEST_FOR_TREND = 6
"""Under so many jobs nobody can say whether quotes are getting better."""


@dataclass(frozen=True, slots=True)
class StageAgainst:
    """A stage as quoted and as it went. ``quoted`` None: it was not quoted; ``took_min`` None: never begun.

    ``chance`` is how often such a stage was foretold to take less than it took.
    """

    name: str
    kind: int
    quoted: Range | None
    took_min: float | None
    chance: float | None

    @property
    def over_min(self) -> float:
        """Minutes above the middle of what was quoted; below, if negative."""
        return (self.took_min or 0.0) - (self.quoted.p50 if self.quoted else 0.0)


@dataclass(frozen=True, slots=True)
class Against:
    """A taken quote beside its closed job. Minutes are of hands; money in the smallest unit, without tax.

    Hours cost what the quote said that an hour costs, and takes of edges, so that the difference is the
    work's and not the rate's; ``spent_cents`` is what was written down beside the hours, ``worn_cents`` what
    edges lost. ``price_cents`` is the quote's, ``earned_cents`` what the job brought, extras in it.
    """

    quote: int
    revision: int
    job: ClosedJob
    stages: tuple[StageAgainst, ...]
    hands: Range
    took_min: float
    cost: Range
    cost_cents: int
    bought_cents: int
    spent_cents: int
    price_cents: int
    earned_cents: int
    worn: Range = NOTHING
    worn_cents: int = 0

    @property
    def margin_quoted(self) -> float | None:
        """The share of the price that was to be left if all went as usual; None for a price of nought."""
        return 1.0 - self.cost.p50 / self.price_cents if self.price_cents else None

    @property
    def margin_left(self) -> float | None:
        """The share of what it brought that was left; None where it brought nothing."""
        return 1.0 - self.cost_cents / self.earned_cents if self.earned_cents else None

    @property
    def over(self) -> float:
        """How far the hours ran over the middle of the quote, as a share of it: .12 is 12 % under-quoted."""
        return self.took_min / self.hands.p50 - 1.0 if self.hands.p50 > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Record:
    """How the newest quotes that became jobs did, all together. ``jobs`` are newest first.

    ``over`` is how far the hours of the last ten ran over the middle of their quotes, ``mostly`` the kind of
    stage that made most of it (empty: none stands out). ``held`` of the last ten stayed under eight in ten.
    ``off_first`` and ``off_last`` are by what factor the earlier and the later half of all were off; None
    while there are fewer than six.
    """

    jobs: tuple[Against, ...]
    over: float
    mostly: str
    held: int
    counted: int
    off_first: float | None
    off_last: float | None


def against(session: Session, job: int) -> Against | None:
    """What was quoted beside what happened for one closed job; None where it was not quoted or is open."""
    quote = quote_of_job(session, job)
    closed = pays.closed_among(session, [job])
    if quote is None or not closed:
        return None
    return _against(
        quote, closed[0], pays.stages_took(session, [job]), pays.spent_on(session, [job]).get(job, 0)
    )


def record(session: Session, kinds: dict[int, str]) -> Record | None:
    """How the newest 200 quotes that became jobs did. Takes the names of kinds by id.

    Empty: None until a quoted job is closed.
    """
    newest_quotes = quotes_of_jobs(session, MOST_QUOTES)
    quotes = {quote.job_id: quote for quote in newest_quotes if quote.job_id is not None}
    closed = pays.closed_among(session, list(quotes))
    took: dict[int, list[StageTook]] = defaultdict(list)
    for stage in pays.stages_took(session, [job.id for job in closed]):
        took[stage.job].append(stage)
    spent = pays.spent_on(session, [job.id for job in closed])
    found = [_against(quotes[job.id], job, took[job.id], spent.get(job.id, 0)) for job in closed]
    found = [one for one in found if one.hands.p50 > 0 and one.took_min > 0]
    return _record(found, kinds) if found else None


def _record(found: Sequence[Against], kinds: dict[int, str]) -> Record:
    last = found[-LAST:]
    half = len(found) // 2
    enough = len(found) >= FEWEST_FOR_TREND
    return Record(
        jobs=tuple(reversed(found)),
        over=sum(a.took_min for a in last) / sum(a.hands.p50 for a in last) - 1.0,
        mostly=_mostly(last, kinds),
        held=sum(a.took_min <= a.hands.p80 for a in last),
        counted=len(last),
        off_first=_off(found[:half]) if enough else None,
        off_last=_off(found[half:]) if enough else None,
    )


def _off(found: Iterable[Against]) -> float:
    """The usual factor between what was quoted and what happened, whichever is larger."""
    return exp(fmean(abs(log(a.took_min / a.hands.p50)) for a in found))


def _mostly(found: Sequence[Against], kinds: dict[int, str]) -> str:
    """The kind of stage that went furthest the way all went, where it made a third of that at least."""
    by: dict[int, float] = defaultdict(float)
    for stage in (stage for one in found for stage in one.stages):
        by[stage.kind] += stage.over_min
    whole = sum(by.values())
    same_way = {kind: over for kind, over in by.items() if over * whole > 0}
    if not same_way:
        return ""
    kind = max(same_way, key=lambda k: abs(same_way[k]))
    share = abs(same_way[kind]) / sum(abs(over) for over in same_way.values())
    return kinds.get(kind, "") if share >= 1 / 3 else ""


def _against(quote: QuoteRow, job: ClosedJob, took: Sequence[StageTook], spent_cents: int) -> Against:
    kept = newest(quote.revisions)
    stages = _stages(kept, took)
    took_min = sum(stage.hands_min for stage in took)
    hours = Fraction(took_min) * kept.terms.hands_cents_per_h / 60 + _machines(kept, took)
    worn = _worn(kept, took)
    earned = job.extras_cents + (kept.sums.price_cents if job.price_cents is None else job.price_cents)
    return Against(
        quote=quote.id,
        revision=kept.number,
        job=job,
        stages=stages,
        hands=kept.worked.hands_min,
        took_min=took_min,
        cost=kept.worked.cents,
        cost_cents=rounded(hours + worn) + spent_cents,
        bought_cents=kept.worked.bought_cents,
        spent_cents=spent_cents,
        price_cents=kept.sums.price_cents,
        earned_cents=earned,
        worn=kept.worked.wear_cents,
        worn_cents=rounded(worn),
    )


def _machines(kept: Kept, took: Sequence[StageTook]) -> Fraction:
    """What the machines' minutes cost at the quote's rates: of that very stage, else of one of its kind."""
    each = (
        Fraction(stage.machine_min) * (0 if asked is None else asked.machine_cents_per_h) / 60
        for stage, asked in _as_quoted(kept, took)
    )
    return sum(each, Fraction(0))


def _worn(kept: Kept, took: Sequence[StageTook]) -> Fraction:
    """What edges lost, by what the quote said that an hour takes of them: of the machine, else of hands."""
    worn = Fraction(0)
    for stage, asked in _as_quoted(kept, took):
        if asked is not None:
            cutting = stage.hands_min if asked.machine is None else stage.machine_min
            worn += Fraction(cutting) * Fraction(asked.wear_cents_per_h) / 60
    return worn


def _as_quoted(kept: Kept, took: Sequence[StageTook]) -> list[tuple[StageTook, StageAsked | None]]:
    """Each stage of a job with what it was quoted by: that very stage, else one of its kind."""
    quoted = [(w.stage, w.asked) for w in kept.reckoned if w.asked is not None]
    of_kind = {stage.kind: asked for stage, asked in quoted}
    own = {(stage.kind, stage.name): asked for stage, asked in quoted}
    return [(t, own.get((t.kind, t.name), of_kind.get(t.kind))) for t in took]


def _stages(kept: Kept, took: Sequence[StageTook]) -> tuple[StageAgainst, ...]:
    """Quoted stages beside those of the job that have their kind and name; what is left over stands alone.

    A job's stages may have been moved, taken out and added since; a name that comes twice is met in order.
    """
    left = list(took)
    found = []
    for work in kept.reckoned:
        if work.stage.rest or work.asked is None:
            continue
        own = next((t for t in left if (t.kind, t.name) == (work.stage.kind, work.stage.name)), None)
        if own is not None:
            left.remove(own)
        found.append(_stage(work, own))
    alone = [t for t in left if t.hands_min > 0]
    return (*found, *(StageAgainst(t.name, t.kind, None, t.hands_min, None) for t in alone))


def _stage(work: KeptWork, own: StageTook | None) -> StageAgainst:
    took_min = own.hands_min if own is not None and own.hands_min > 0 else None
    return StageAgainst(
        name=work.stage.name,
        kind=work.stage.kind,
        quoted=work.worked.hands_min if work.worked is not None else None,
        took_min=took_min,
        chance=_chance(work.hands, took_min),
    )


def _chance(foretold: Prediction | None, took_min: float | None) -> float | None:
    return None if foretold is None or took_min is None else chance_under(foretold, took_min)
