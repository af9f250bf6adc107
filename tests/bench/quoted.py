"""A shop's log → the same with ten years of quotes beside it, one of which became a job that is closed."""

from datetime import date, datetime, timedelta

from sqlalchemy import select

from shoptrack.flows import learning
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.wanted import Wanted, WantedLine
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.store.db import Store
from shoptrack.store.jobs import close_job
from shoptrack.store.patterns import PatternStage, make_pattern
from shoptrack.store.rates import set_rate
from shoptrack.store.tables import StageKindRow, StageRow

STAGES, OTHERS = 14, 3_000
OPENED_ON = date(2015, 1, 1)


def wanted_of(store: Store, now: datetime) -> Wanted:
    """A new pattern of fourteen stages of the shop's kinds, three pieces of it, and what is bought."""
    with store.writing() as session:
        set_rate(session, cents_per_h=6200, from_on=OPENED_ON, who=None, now=now)
        kinds = list(session.scalars(select(StageKindRow).where(StageKindRow.attendance != "none")))
        stages = [PatternStage(kinds[n % len(kinds)].id, f"stage {n}") for n in range(STAGES)]
        revision = make_pattern(session, f"measured {now}", stages=stages, now=now).id
    bought = tuple(WantedLine("hardware", f"part {n}", n + 1, 350) for n in range(8))
    return Wanted("Measured", "measured", 3, revision, bought=bought)


def fill(store: Store, wanted: Wanted, now: datetime) -> None:
    """Ten years of quotes beside it: copies of one, each with its own row."""
    known = learning.learned(store, now)
    with store.reading() as session:
        kept = work_out(session, known, wanted, form_id="first", now=now)
    with store.writing() as session:
        for n in range(OTHERS):
            drafts.keep_first(session, kept, wanted, f"{n:032}")


def one_that_was_made(store: Store, wanted: Wanted, now: datetime) -> int:
    """A quote that was put out and taken an hour ago, an hour's work, and done; gives its job."""
    began = now - timedelta(hours=1)
    quote = drafts.make(store, wanted, "made", None, began)
    answers.put_out(store, quote, 1, None, began)
    job = answers.take(store, quote, 1, None, began)
    with store.reading() as session:
        stage = session.scalars(
            select(StageRow.id).where(StageRow.job_id == job).order_by(StageRow.id)
        ).first()
    taps = [
        {"id": f"quoted-{n}", "seq": n, "kind": kind, "at": at.isoformat(), "person": 1, "stages": [stage]}
        for n, (kind, at) in enumerate((("start", began), ("finish", now)), 1)
    ]
    sent = {"device": "quoted", "sent_at": now.isoformat(), "entries": taps}
    assert all(answer.status == "done" for answer in accept(store, parse_envelope(sent), now).answers)
    with store.writing() as session:
        close_job(session, job, now)
    return job
