"""A quote → what the engine is asked of it: the shop with it behind all that was promised, and without."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from shoptrack.engine.hours import local
from shoptrack.engine.outlook import Ahead
from shoptrack.engine.shapes import Awaited
from shoptrack.flows.planning.laid import Laid, lay
from shoptrack.flows.planning.offered import Offer, offer_of, with_offers
from shoptrack.flows.planning.outlook import ahead_of
from shoptrack.flows.planning.plan import keys_of, merged, plan_now
from shoptrack.flows.quoting.kept import kept_of
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.spoilage import learn_spoilage
from shoptrack.store.arrivals import pace_of_orders
from shoptrack.store.db import Store
from shoptrack.store.quotes import list_quotes, quote_row
from shoptrack.store.shop import shop_row

ANSWER_DAYS = 7
"""A quote's day counts on the order, and what is paid in advance, being there so many days from now."""
MOST_OUT = 20
"""So many quotes that are out are weighed, the newest: more would be a guess about guesses."""
ANSWER = "the answer to the quote"


@dataclass(frozen=True, eq=False)
class Question:
    """A quote ready to be asked about: ``order`` is its place in the problem of ``laid``.

    ``revision`` is the row of its newest revision; ``counted_on`` the day by which the answer has to come.
    """

    sight: Sight
    laid: Laid
    order: int
    revision: int
    weighed: int
    counted_on: date
    with_it: Ahead
    without: Ahead
    now: datetime


def question(store: Store, quote: int, now: datetime) -> Question:
    """All that is asked about the newest revision of a quote. Raises NotFound.

    Method: its stages, and those of the other quotes that are out, come behind all that was promised, so that
    what is said of it takes nothing from the others. Nothing of it begins before the day that is counted on.
    """
    sight = gather(store, now)
    planned = plan_now(store, sight)
    today = local(sight.world.calendar, now).date()
    counted_on = today + timedelta(days=ANSWER_DAYS)
    with store.reading() as session:
        row = quote_row(session, quote)
        revision = row.revisions[-1].id
        own = offer_of(session, quote, kept_of(row.revisions[-1]), row.buyer.name, now)
        share, others = _out(session, quote, today, now)
        spoiled, pace = learn_spoilage(store, session, now), pace_of_orders(session, now)
    there = _waiting_for_answers(with_offers(sight, [own, *others]), [own, *others], counted_on)
    laid = lay(there)
    order, before = laid.order_of[own.job.id], planned.laid.problem
    keys = keys_of(before, planned.plan)
    return Question(
        sight=there,
        laid=laid,
        order=order,
        revision=revision,
        weighed=len(others),
        counted_on=counted_on,
        with_it=ahead_of(
            there, laid, merged(keys, laid.problem), spoiled, order + 1, [share] * len(others), pace
        ),
        without=ahead_of(sight, planned.laid, planned.plan.priority, spoiled, len(before.orders), (), pace),
        now=now,
    )


def _out(session: Session, quote: int, today: date, now: datetime) -> tuple[float, list[Offer]]:
    """The chance that a quote is taken and the others that are out; none where the shop says no chance."""
    weigh = shop_row(session).weigh_quotes_bp
    if not weigh:
        return 0.0, []
    lines = list_quotes(session, today, "out", "", MOST_OUT + 1, 0)
    rows = [quote_row(session, line.id) for line in lines if line.id != quote][:MOST_OUT]
    return weigh / 10_000, [
        offer_of(session, row.id, kept_of(row.revisions[-1]), row.buyer.name, now) for row in rows
    ]


def _waiting_for_answers(sight: Sight, offers: Sequence[Offer], on: date) -> Sight:
    """The same where each offer waits for its answer until a day."""
    answers = tuple(
        Awaited(id=offer.job.id, job=offer.job.id, what=ANSWER, agreed_on=on, expected_on=on)
        for offer in offers
    )
    world = replace(sight.world, awaited=(*sight.world.awaited, *answers))
    return replace(sight, world=world)
