"""Quotes as they were kept → the documents that the office's programs are given."""

from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.quoted import Range
from shoptrack.flows.planning.promised import QuotePromise, promise_of_quote
from shoptrack.flows.quoting.kept import Kept, KeptWork, kept_of
from shoptrack.flows.quoting.work_out import day_of
from shoptrack.store.db import head
from shoptrack.store.quotes import QuoteLine, Standing, list_quotes, quote_line, quote_row
from shoptrack.web.quote_shapes import (
    DayShareDoc,
    OneQuoteDoc,
    PromiseDoc,
    QuotedChargeDoc,
    QuotedLineDoc,
    QuoteDoc,
    QuotedOptionDoc,
    QuotedStageDoc,
    QuotedSumsDoc,
    QuotesDoc,
    RangeDoc,
)

MOST = 500


def quotes_doc(session: Session, now: datetime, standing: Standing | None) -> QuotesDoc:
    """The document of the newest quotes: of one standing, or all."""
    lines = list_quotes(session, day_of(session, now), standing, limit=MOST)
    at = head(session)
    return QuotesDoc(at.database_id, at.revision, now, tuple(_quote(line) for line in lines))


def one_quote_doc(session: Session, now: datetime, quote_id: int) -> OneQuoteDoc:
    """The document of one quote. Raises NotFound."""
    row = quote_row(session, quote_id)
    kept, at = kept_of(row.revisions[-1]), head(session)
    return OneQuoteDoc(
        database_id=at.database_id,
        revision=at.revision,
        now=now,
        quote=_quote(quote_line(session, row, day_of(session, now))),
        words=kept.wanted.words,
        priced_on=kept.made.on,
        hands_min=_range(kept.worked.hands_min),
        cost_cents=_range(kept.worked.cents),
        wear_cents=_range(kept.worked.wear_cents),
        stages=tuple(_stage(work) for work in kept.reckoned),
        bought=_bought(kept),
        charges=tuple(QuotedChargeDoc(c.kind, c.words, c.cents) for c in kept.charges),
        options=tuple(QuotedOptionDoc(o.words, o.cents, o.in_total) for o in kept.options),
        sums=_sums(kept),
        promise=_promise(promise_of_quote(session, row.revisions[-1].id)),
    )


def _promise(found: QuotePromise | None) -> PromiseDoc | None:
    if found is None:
        return None
    return PromiseDoc(
        made_on=found.made_on,
        counted_on=found.counted_on,
        half_by=found.p50_on,
        eight_in_ten_by=found.p80_on,
        nine_in_ten_by=found.p90_on,
        by_day=tuple(DayShareDoc(each.on, each.share) for each in found.by_day),
        depends_on=found.hangs_on,
        weighed=found.weighed,
    )


def _quote(line: QuoteLine) -> QuoteDoc:
    return QuoteDoc(
        id=line.id,
        title=line.title,
        customer=line.customer,
        standing=line.standing,
        number=line.number,
        pieces=line.pieces,
        pattern=line.pattern,
        price_cents=line.price_cents,
        made_at=line.made_at,
        out_at=line.out_at,
        valid_until=line.valid_until_on,
        answered_at=line.answered_at,
        job=line.job_id,
    )


def _stage(work: KeptWork) -> QuotedStageDoc:
    stage, worked = work.stage, work.worked
    machine = worked is not None and work.asked is not None and work.asked.machine is not None
    return QuotedStageDoc(
        position=stage.position,
        name=stage.name,
        kind=stage.kind_name,
        unit=stage.unit,
        quantity=stage.quantity,
        hands_min=None if worked is None else _range(worked.hands_min),
        machine_min=_range(worked.machine_min) if worked is not None and machine else None,
        rests_on=stage.sentence,
        untested=stage.untested,
    )


def _bought(kept: Kept) -> tuple[QuotedLineDoc, ...]:
    return tuple(
        QuotedLineDoc(
            kind=line.kind,
            words=line.words,
            unit=line.unit,
            quantity=line.quantity,
            cents_each=line.cents_each,
            waste_bp=line.waste_bp,
            cents=line.cents,
            priced_on=line.priced_on,
        )
        for line in kept.bought
    )


def _sums(kept: Kept) -> QuotedSumsDoc:
    sums = kept.sums
    return QuotedSumsDoc(
        work_cents=sums.work_cents,
        charges_cents=sums.charges_cents,
        options_cents=sums.options_cents,
        price_cents=sums.price_cents,
        tax_cents=sums.tax_cents,
        total_cents=sums.total_cents,
        deposit_cents=sums.deposit_cents,
    )


def _range(found: Range) -> RangeDoc:
    return RangeDoc(found.p10, found.p50, found.p80, found.p90)
