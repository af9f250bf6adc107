"""A quote is put out, taken or turned down: where it stands, and the job it becomes."""

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, ChangedMeanwhile, Refused
from shoptrack.flows.planning.promised import promise_of_quote
from shoptrack.flows.quoting.drafts import refuse_answered
from shoptrack.flows.quoting.into_job import job_of
from shoptrack.flows.quoting.kept import kept_of
from shoptrack.flows.quoting.work_out import day_of
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, note_change
from shoptrack.store.promised_dates import say
from shoptrack.store.quotes import quote_row, standing_on
from shoptrack.store.tables import QuoteRow

LONGEST_VALID_DAYS = 3_650


def put_out(
    store: Store,
    quote_id: int,
    number: int,
    who: int | None,
    now: datetime,
    valid_until_on: date | None = None,
) -> None:
    """Say that a revision of a quote went to the customer, and until which day it stands.

    None: as many days as its terms say. Of one that is out already the last day alone changes; one that has
    lapsed is out again, at the price it had. Raises Refused once it is answered, ChangedMeanwhile where
    ``number`` is not the newest revision, BadInput for a day that is over, NotFound.
    """
    with store.writing() as session:
        row = _unanswered(session, quote_id, number)
        today = day_of(session, now)
        days = kept_of(row.revisions[-1]).terms.valid_days
        until = valid_until_on or _still(row, today) or today + timedelta(days=days)
        if not today <= until <= today + timedelta(days=LONGEST_VALID_DAYS):
            raise BadInput("The last day it stands lies in the coming ten years.", "valid_until")
        if standing_on(row, today) != "out":
            note_change(session, row, who, now, "put out", None, number)
            edit(session, row, who, now, standing="out", out_at=now)
        edit(session, row, who, now, valid_until_on=until)


def turn_down(store: Store, quote_id: int, number: int, why: str, who: int | None, now: datetime) -> None:
    """Say that the customer does not want it, and why; said again with the same words it changes nothing.

    Raises Refused for one that was taken, or turned down for another reason; ChangedMeanwhile where
    ``number`` is not the newest revision, NotFound.
    """
    with store.writing() as session:
        row = quote_row(session, quote_id)
        if row.standing == "turned down" and row.turned_down_why == why.strip():
            return
        row = _unanswered(session, quote_id, number)
        edit(session, row, who, now, standing="turned down", answered_at=now, turned_down_why=why.strip())


def take(
    store: Store,
    quote_id: int,
    number: int,
    who: int | None,
    now: datetime,
    promised_on: date | None = None,
    must_keep: bool = False,
) -> int:
    """Make a job of a quote that is out, and give the job; done again it gives the same job.

    The job has the stages and measures of the revision, its price without tax and its customer, whatever
    became of the pattern. Raises Refused for a draft, a lapsed or turned-down one, ChangedMeanwhile where
    ``number`` is not the newest revision, NotFound.
    """
    with store.writing() as session:
        row = quote_row(session, quote_id)
        if row.job_id is not None:
            return row.job_id
        row = _unanswered(session, quote_id, number)
        _refuse_not_out(row, day_of(session, now))
        job = job_of(session, row, kept_of(row.revisions[-1]), who, now, promised_on, must_keep)
        edit(session, row, who, now, standing="taken", answered_at=now, job_id=job)
        _keep_chance(session, row, job, promised_on, now)
        return job


def _keep_chance(session: Session, row: QuoteRow, job: int, promised_on: date | None, now: datetime) -> None:
    """Of a date that is promised the chance that the quote showed for it, to be held against what comes."""
    found = promise_of_quote(session, row.revisions[-1].id)
    if found is not None and promised_on is not None:
        say(session, job, promised_on, found.chance_by(promised_on), now, f"quote {row.id}")


def _unanswered(session: Session, quote_id: int, number: int) -> QuoteRow:
    row = quote_row(session, quote_id)
    refuse_answered(row)
    if number != len(row.revisions):
        raise ChangedMeanwhile(
            f"This quote has a newer revision, number {len(row.revisions)}: look at it first."
        )
    return row


def _still(row: QuoteRow, today: date) -> date | None:
    """The last day of a quote that is out now."""
    return row.valid_until_on if standing_on(row, today) == "out" else None


def _refuse_not_out(row: QuoteRow, today: date) -> None:
    standing = standing_on(row, today)
    if standing == "draft":
        raise Refused("This quote is a draft: put it out first, then it can be taken.")
    if standing == "lapsed":
        raise Refused("This quote has lapsed: put it out again at this price, or change it first.")
