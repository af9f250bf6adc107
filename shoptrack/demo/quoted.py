"""The quotes of the invented shop: those that its newest jobs were made of, and those still open."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from shoptrack.demo.ledger import DEPOSIT_SHARE, WOOD_FEET
from shoptrack.demo.scene import Scene
from shoptrack.flows.learning import Learned, fit_all
from shoptrack.flows.quoting.drafts import keep_first
from shoptrack.flows.quoting.wanted import Wanted, WantedCharge, WantedLine, WantedOption
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.store.logs import Logged, logged
from shoptrack.store.rules import kinds_with_rules
from shoptrack.store.tables import JobRow, MaterialRow, PatternRevisionRow, PatternRow, QuoteRow

CLOSED, OPEN = 11, 3
"""So many of the newest closed and open jobs were quoted."""
BEFORE = timedelta(days=9)
ANSWERED = timedelta(days=4)
VALID = timedelta(days=21)


@dataclass(frozen=True, slots=True)
class Asking:
    """Somebody who asks and has no job yet: what for, how long ago, and what became of it so far."""

    customer: str
    pattern: str
    title: str
    pieces: int
    days_ago: int
    standing: str
    why: str = ""
    option: tuple[str, int] | None = None


ASKING = (
    Asking("Mott & Daughter", "serving tray", "trays for the tea shop", 8, 2, "draft"),
    Asking("Tamsin Orrel", "inlaid box", "box for letters, two drawers", 1, 6, "out", "", ("a lock", 4500)),
    Asking("the Fernside inn", "dining table", "long table for the parlour", 1, 48, "out"),
    Asking("Juno Halder", "game board", "game board, elm and bog oak", 2, 33, "turned down", "too dear"),
)


def write_quotes(scene: Scene) -> None:
    """Quote the newest jobs as of some days before each was ordered, and those who still think it over.

    What is foretold in a quote comes from what was finished before its day.
    """
    with scene.store.writing() as session:
        times = logged(session)
        for job in _quoted_jobs(session):
            _quote_job(session, job, times)
        for asking in ASKING:
            _quote_asking(session, asking, scene, times)


def _quoted_jobs(session: Session) -> list[JobRow]:
    whole = select(JobRow).where(JobRow.called_off_why.is_(None)).options(selectinload(JobRow.stages))
    closed = whole.where(JobRow.closed_at.is_not(None)).order_by(JobRow.added_at.desc(), JobRow.id.desc())
    still = whole.where(JobRow.closed_at.is_(None)).order_by(JobRow.added_at.desc(), JobRow.id.desc())
    chosen = [*session.scalars(closed.limit(CLOSED)), *session.scalars(still.limit(OPEN))]
    return sorted(chosen, key=lambda job: (job.added_at, job.id))


def _as_of(session: Session, times: list[Logged], at: datetime) -> Learned:
    return fit_all(kinds_with_rules(session, at), [one for one in times if one.finished_at < at])


def _quote_job(session: Session, job: JobRow, times: list[Logged]) -> None:
    at = job.added_at - BEFORE
    revision = session.get_one(PatternRevisionRow, job.pattern_revision_id)
    wanted = Wanted(
        customer=job.customer,
        title=job.title,
        pieces=job.pieces,
        revision=revision.id,
        measures={stage.position: stage.quantity for stage in job.stages if stage.removed_at is None},
        bought=(_wood(session, revision.pattern.name, job.pieces),),
    )
    row, price_cents = _kept(session, wanted, f"demo-job-{job.id}", at, times)
    _put_out(row, at)
    row.standing, row.job_id, row.answered_at = "taken", job.id, min(at + ANSWERED, job.added_at)
    job.price_cents = price_cents
    job.deposit_cents = round(price_cents * DEPOSIT_SHARE / 1000) * 1000


def _quote_asking(session: Session, asking: Asking, scene: Scene, times: list[Logged]) -> None:
    at = scene.now - timedelta(days=asking.days_ago)
    wanted = Wanted(
        customer=asking.customer,
        title=asking.title,
        pieces=asking.pieces,
        revision=_newest_revision(session, asking.pattern),
        bought=(_wood(session, asking.pattern, asking.pieces),),
        charges=(WantedCharge("delivery", "brought and carried in", 6000),) if asking.pieces > 1 else (),
        options=(WantedOption(*asking.option),) if asking.option else (),
    )
    row, _ = _kept(session, wanted, f"demo-asking-{asking.days_ago}", at, times)
    if asking.standing != "draft":
        _put_out(row, at)
    if asking.standing == "turned down":
        row.standing, row.turned_down_why, row.answered_at = "turned down", asking.why, at + ANSWERED


def _kept(
    session: Session, wanted: Wanted, form_id: str, at: datetime, times: list[Logged]
) -> tuple[QuoteRow, int]:
    kept = work_out(session, _as_of(session, times, at), wanted, form_id=form_id, now=at)
    return keep_first(session, kept, wanted, form_id), kept.sums.price_cents


def _put_out(row: QuoteRow, at: datetime) -> None:
    row.standing, row.out_at, row.valid_until_on = "out", at, (at + VALID).date()


def _newest_revision(session: Session, pattern: str) -> int:
    own = select(PatternRevisionRow.id).join(PatternRow, PatternRow.id == PatternRevisionRow.pattern_id)
    newest = own.where(PatternRow.name == pattern).order_by(PatternRevisionRow.number.desc()).limit(1)
    return session.scalars(newest).one()


def _wood(session: Session, pattern: str, pieces: int) -> WantedLine:
    wood = session.scalars(select(MaterialRow).where(MaterialRow.name == "cherry")).one()
    feet = round(WOOD_FEET[pattern] * pieces, 1)
    return WantedLine("material", f"{wood.name}, rough", feet, unit=wood.unit or "", material=wood.id)
