"""What pages want to know of the futures → reckoned beside the server, asked for once and looked for."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from threading import Lock, Thread
from weakref import WeakKeyDictionary

from shoptrack.engine.outlook import Ahead, Outlook, look_ahead
from shoptrack.flows.planning.outlook import Outlooks, ahead_of, keep_outlooks, outlooks_of
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.planning.planner import Planner, planner_of
from shoptrack.flows.planning.promised import QuotePromise, promise_of_quote, reckon
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.spoilage import learn_spoilage
from shoptrack.store import promised_dates
from shoptrack.store.arrivals import pace_of_orders
from shoptrack.store.db import Store

LOGGER = logging.getLogger("shoptrack.planned")

HOW = "the plan, run through drawn futures"
"""What a chance rests on."""

Run = Callable[[Ahead], Outlook]


@dataclass(frozen=True, slots=True)
class QuoteDate:
    """The day for a revision of a quote: ``promise`` once it is there, ``waiting`` while it is reckoned.

    ``trouble`` says why it could not be; with none of them somebody has to ask for it.
    """

    promise: QuotePromise | None = None
    waiting: bool = False
    trouble: str = ""


def date_of_quote(store: Store, quote: int, revision: int, now: datetime, begin: bool) -> QuoteDate:
    """The day for a revision of a quote by the row's number.

    ``begin``: it is the newest of a quote that nobody answered yet, so have it reckoned where it is not there
    and a planner runs beside the store.
    """
    with store.reading() as session:
        there = promise_of_quote(session, revision)
    planner = planner_of(store) if begin else None
    if there is not None or planner is None:
        return QuoteDate(there)
    with _TURN:
        asked = _ASKED.setdefault(store, {})
        if revision not in asked:
            asked[revision] = ""
            run = partial(by_worker, planner)
            Thread(target=_reckon, args=(store, quote, revision, now, run), daemon=True).start()
        return QuoteDate(waiting=not asked[revision], trouble=asked[revision])


def reckon_anyway(store: Store, quote: int, revision: int, now: datetime) -> None:
    """Have the day of a quote reckoned that could not be, or that no planner sees to. Raises NotFound."""
    with _TURN:
        _ASKED.get(store, {}).pop(revision, None)
    if planner_of(store) is None:
        reckon(store, quote, now)


def by_worker(planner: Planner, ahead: Ahead) -> Outlook:
    """The engine's answer, from the worker process."""
    found: Outlook = planner.work_out("outlook", ahead).result()
    return found


def _reckon(store: Store, quote: int, revision: int, now: datetime, run: Run) -> None:
    """In a thread of its own: the answer is in the store when it is there."""
    trouble = ""
    try:
        reckon(store, quote, now, run)
    except Exception as problem:
        LOGGER.exception("The day of a quote could not be reckoned.")
        trouble = str(problem) or "It could not be reckoned."
    with _TURN:
        if trouble:
            _ASKED.setdefault(store, {})[revision] = trouble
        else:
            _ASKED.get(store, {}).pop(revision, None)


def refresh_outlooks(store: Store, now: datetime, run: Run = look_ahead) -> Outlooks:
    """Reckon what may come of all open jobs, keep it for the pages, and what was first shown of each date."""
    sight = gather(store, now)
    planned = plan_now(store, sight)
    with store.reading() as session:
        spoiled, pace = learn_spoilage(store, session, now), pace_of_orders(session, now)
    orders = len(planned.laid.problem.orders)
    ahead = ahead_of(sight, planned.laid, planned.plan.priority, spoiled, orders, (), pace)
    found = outlooks_of(sight, planned.laid, run(ahead), now)
    keep_outlooks(store, found)
    _keep_chances(store, sight, found)
    return found


def _keep_chances(store: Store, sight: Sight, found: Outlooks) -> None:
    """Of each promised date the chance that was shown for it first; nothing is written where all is known."""
    dates = {
        job: on
        for job, one in found.of.items()
        if one.chance is not None and (on := sight.world.jobs[job].promised_on) is not None
    }
    with store.reading() as session:
        new = promised_dates.not_said(session, dates)
    if not new:
        return
    with store.writing() as session:
        for job, on in new.items():
            promised_dates.say(session, job, on, found.of[job].chance, found.made_at, HOW)


_TURN = Lock()
_ASKED: "WeakKeyDictionary[Store, dict[int, str]]" = WeakKeyDictionary()
