"""What is wanted → a quote with its first revision, and every change a new one beside those before it."""

from dataclasses import replace
from datetime import datetime
from typing import TypedDict

from sqlalchemy.orm import Session

from shoptrack.errors import ChangedMeanwhile, Refused
from shoptrack.flows.learning import lately
from shoptrack.flows.quoting.kept import Kept, kept_of, revision_row
from shoptrack.flows.quoting.lines import proposed
from shoptrack.flows.quoting.wanted import Wanted
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.flows.quoting.worn import Worn, learned_worn
from shoptrack.flows.spoilage import Spoilage, spoilage_lately
from shoptrack.store import quotes
from shoptrack.store.customers import chosen_name, customer_meant
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, note_change
from shoptrack.store.patterns import newest_revision
from shoptrack.store.tables import QuoteRow


def preview(store: Store, wanted: Wanted, form_id: str, now: datetime, quote_id: int | None = None) -> Kept:
    """A quote as it would be kept now: a new one, or the next revision of one. Raises BadInput, NotFound."""
    known = lately(store, now)
    with store.reading() as session:
        by = _by_all(store, session, now)
        if quote_id is None:
            return work_out(session, known, wanted, form_id=form_id, now=now, **by)
        row = quotes.quote_row(session, quote_id)
        number = len(row.revisions) + 1
        return work_out(session, known, wanted, form_id=row.form_id, number=number, now=now, **by)


def make(store: Store, wanted: Wanted, form_id: str, who: int | None, now: datetime) -> int:
    """Make a draft and give its number; the same form sent again gives the quote that it made.

    Raises BadInput, also for a customer who could be one of several.
    """
    known = lately(store, now)
    with store.reading() as session:  # reckoned before the writing begins: taps don't wait for it
        if (made := quotes.quote_made_by(session, form_id)) is not None:
            return made.id
        by = _by_all(store, session, now)
        kept = work_out(session, known, wanted, form_id=form_id, who=who, now=now, **by)
    with store.writing() as session:
        return keep_first(session, kept, wanted, form_id).id


class _ByAll(TypedDict):
    spoiled: Spoilage
    worn: Worn


def _by_all(store: Store, session: Session, now: datetime) -> _ByAll:
    """What the log teaches beside times: what is spoiled, and how long edges last."""
    return {"spoiled": spoilage_lately(store, session, now), "worn": learned_worn(store, session, now)}


def keep_first(session: Session, kept: Kept, wanted: Wanted, form_id: str) -> QuoteRow:
    """Keep a quote that was worked out as a draft with its first revision; once for each form.

    Raises BadInput for a customer who could be one of several.
    """
    if (made := quotes.quote_made_by(session, form_id)) is not None:
        return made
    row = quotes.add_quote(
        session,
        form_id=form_id,
        customer=customer_meant(session, wanted.customer, wanted.new_customer).id,
        title=wanted.title,
        who=kept.who,
        now=kept.made_at,
    )
    session.add(revision_row(kept, row.id))
    session.flush()
    return row


def revise(store: Store, quote_id: int, after: int, wanted: Wanted, who: int | None, now: datetime) -> int:
    """Keep a new revision of a quote, reckoned today, and give its number; one that was out is a draft again.

    Takes the number of the revision that the form was filled from: the same form sent again gives the
    revision that it made. Raises ChangedMeanwhile where somebody else made one, Refused once the quote is
    answered, BadInput, NotFound.
    """
    known = lately(store, now)
    with store.reading() as session:
        row = quotes.quote_row(session, quote_id)
        if (made := _made_already(row, after, wanted)) is not None:
            return made
        form, by = row.form_id, _by_all(store, session, now)
        kept = work_out(session, known, wanted, form_id=form, number=after + 1, who=who, now=now, **by)
    with store.writing() as session:
        row = quotes.quote_row(session, quote_id)
        return _made_already(row, after, wanted) or _keep_next(session, row, kept, wanted)


def _keep_next(session: Session, row: QuoteRow, kept: Kept, wanted: Wanted) -> int:
    customer = customer_meant(session, wanted.customer, wanted.new_customer)
    by, at = kept.who, kept.made_at
    edit(session, row, by, at, title=wanted.title, customer_id=customer.id)
    edit(session, row, by, at, standing="draft", out_at=None, valid_until_on=None)
    session.add(revision_row(kept, row.id))
    note_change(session, row, by, at, "revision", kept.number - 1, kept.number)
    return kept.number


def copy_as_new(store: Store, quote_id: int, form_id: str, who: int | None, now: datetime) -> int:
    """Make a new draft of what another quote wanted, reckoned today; sent again it is made once.

    Raises NotFound; BadInput where a price or rate that it needs is no longer there.
    """
    with store.reading() as session:
        wanted = wanted_of(session, quote_id)
    return make(store, wanted, form_id, who, now)


def wanted_of(session: Session, quote_id: int) -> Wanted:
    """What the newest revision of a quote wanted, its customer as a form writes them. Raises NotFound."""
    row = quotes.quote_row(session, quote_id)
    return replace(kept_of(row.revisions[-1]).wanted, customer=chosen_name(session, row.buyer))


def begin(session: Session, pattern: int, pieces: int = 1) -> Wanted | None:
    """What a quote of a pattern begins from: its newest revision, and what the last quote of it bought.

    None for a pattern that is not there.
    """
    revision = newest_revision(session, pattern)
    if revision is None:
        return None
    return Wanted(
        customer="",
        title=revision.pattern.name,
        pieces=pieces,
        revision=revision.id,
        bought=proposed(session, pattern, pieces),
    )


def refuse_answered(row: QuoteRow) -> None:
    """Raise Refused once a quote was taken or turned down."""
    if row.answered_at is not None:
        raise Refused(f"This quote was {row.standing}: it stays as it is. Copy it as a new one to go on.")


def _made_already(row: QuoteRow, after: int, wanted: Wanted) -> int | None:
    """The revision that this very form made already; None while the one it was filled from is the newest."""
    refuse_answered(row)
    if after == len(row.revisions):
        return None
    said = replace(wanted, customer="", new_customer=False)
    if 0 < after < len(row.revisions) and kept_of(row.revisions[after]).wanted == said:
        return after + 1
    raise ChangedMeanwhile(
        "Somebody changed this quote since the page was opened. What you typed is still here: "
        "look at the newest revision, then keep yours after it."
    )
