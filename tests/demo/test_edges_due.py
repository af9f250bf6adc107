"""The edges of the invented shop have days on which they are due, and these move when the plan moves."""

from dataclasses import replace
from datetime import date

from shoptrack.engine.schedule.rules import best_rule
from shoptrack.flows.planning.changes import PutAside
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.dues import edges_of, reckon_dues
from shoptrack.flows.tooling.soon import edges_soon
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, wall


def test_an_edge_is_nearly_due_and_another_is_dull(whole: Store) -> None:
    """Both are to be seen to on the Floor: one must leave within days, or is likely dull."""
    sight = gather(whole, wall(TUESDAY))
    with whole.reading() as session:
        dues = reckon_dues(edges_of(whole, session, sight), sight, plan_now(whole, sight))
    soon = edges_soon(sight, dues)
    assert soon.due
    assert all(due.p50_on is not None for due in soon.due if not due.stands.dull)


def test_with_less_to_plane_the_knives_last_longer(whole: Store) -> None:
    """What uses them most is only thought of as put aside until spring: nothing is written."""
    sight = gather(whole, wall(TUESDAY))
    planned = plan_now(whole, sight)
    with whole.reading() as session:
        edges = edges_of(whole, session, sight)
    before = [due for due in reckon_dues(edges, sight, planned).of if due.cuts and due.p50_on is not None]
    first = before[0]
    jobs = {cut.place.job for cut in first.cuts}
    laid = lay(sight, [PutAside(job, until_on=date(2027, 5, 3)) for job in jobs])
    put_aside = replace(planned, laid=laid, plan=best_rule(laid.problem))
    after = next(due for due in reckon_dues(edges, sight, put_aside).of if due.edge == first.edge)
    assert first.p50_on is not None
    assert after.p50_on is None or after.p50_on > first.p50_on
