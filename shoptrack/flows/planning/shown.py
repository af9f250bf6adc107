"""The database at an instant → what each page of the Plan shows: all days, a stage, a week, a what-if."""

from collections.abc import Sequence
from datetime import date, datetime

from shoptrack.engine.shapes import OffDays
from shoptrack.flows.planning.at_stage import AtStage, at_stage
from shoptrack.flows.planning.changes import Change
from shoptrack.flows.planning.plan import offer, plan_now
from shoptrack.flows.planning.view import PlanView, plan_view
from shoptrack.flows.planning.week import WeekOf, week_of
from shoptrack.flows.planning.what_if import Compared, what_if
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.store.db import Store
from shoptrack.store.hours import days_off

Reasons = tuple[tuple[OffDays, str], ...]


def show_plan(store: Store, now: datetime, first_on: date | None) -> PlanView:
    """The days of the plan from one on, today where none is said."""
    sight = gather(store, now)
    return plan_view(sight, plan_now(store, sight), first_on, reasons_of(store))


def show_stage(store: Store, now: datetime, stage: int) -> AtStage:
    """A stage of an open job in the plan. Raises NotFound."""
    sight = gather(store, now)
    return at_stage(sight, plan_now(store, sight), stage)


def show_week(store: Store, now: datetime, person: int, on: date | None) -> WeekOf:
    """The week of a person in which a day lies. Raises NotFound."""
    sight = gather(store, now)
    return week_of(sight, plan_now(store, sight), person, on, reasons_of(store))


def show_what_if(store: Store, sight: Sight, changes: Sequence[Change]) -> Compared:
    """What some changes would do; a better plan that was found on the way is shown from now on.

    Raises BadInput.
    """
    planned = plan_now(store, sight)
    found = what_if(sight, planned, changes)
    offer(store, planned.laid, found.now, sight.now)
    return found


def reasons_of(store: Store) -> Reasons:
    """Days off with the words that were said of them."""
    with store.reading() as session:
        rows = days_off(session)
        return tuple((OffDays(r.person_id, r.first_on, r.last_on), r.reason) for r in rows)
