"""When edges are due by the plan that is shown: they move when the plan moves, and when work is logged."""

from datetime import date, timedelta

import pytest

from shoptrack.flows.job_change import promise
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from shoptrack.flows.tooling.due import dues_shown, dues_sign, kept_dues
from shoptrack.flows.tooling.dues import dues_now, edges_of, reckon_dues, tools_and_dues
from shoptrack.flows.tooling.soon import NONE_SOON, edges_soon
from shoptrack.store.tables import ToolRow
from tests.flows.tooling.sharp import planer
from tests.joinery import PIET, UNA, Joinery, at

MORNING = at("8:00")


def test_another_job_brings_the_day_nearer(joinery: Joinery) -> None:
    """Three hours and more a job: with one more the knives are dull sooner, and must leave sooner."""
    knives = planer(joinery)
    for n in range(3):
        knives.to_plane(18, date(2026, 12, 20 + n))
    before = knives.due(MORNING)
    for n in range(3):
        knives.to_plane(18, date(2026, 12, 10 + n))
    after = knives.due(MORNING)
    assert before.p10_on is not None
    assert after.p10_on is not None
    assert after.p50_on is not None
    assert before.p50_on is None or after.p50_on < before.p50_on
    assert after.p10_on <= before.p10_on
    assert after.send_by_on is not None


def test_a_promised_date_that_moves_moves_it_too(joinery: Joinery) -> None:
    """One person, five other jobs: planing is put before them or after, as its day is promised."""
    knives = planer(joinery)
    for n in range(12):
        joinery.add("door", f"door {n}", date(2026, 12, 10))
    job = knives.to_plane(90, date(2026, 12, 1))
    early = knives.due(MORNING)
    promise(joinery.store, job["job"], date(2027, 3, 1), "no hurry", UNA, MORNING)
    late = knives.due(MORNING)
    assert early.p50_on is not None
    assert late.p50_on is not None
    assert early.p50_on < late.p50_on


def test_what_is_logged_brings_it_nearer(joinery: Joinery) -> None:
    """Seven hours of planing that are on them: a greater chance, and a nearer day."""
    knives = planer(joinery)
    knives.to_plane(60, date(2026, 12, 20))
    fresh = knives.due(MORNING)
    knives.planed(210, 3)
    knives.planed(210, 2)
    worn = knives.due(MORNING)
    assert (fresh.stands.run_h, worn.stands.run_h) == (0.0, pytest.approx(7.0))
    assert worn.chance_dull > fresh.chance_dull
    assert worn.p50_on is not None
    assert fresh.p50_on is None or worn.p50_on <= fresh.p50_on
    assert (worn.dull_lives, worn.cut_short) == (0, 0), "it goes on, so it teaches nothing yet"


def test_the_last_weeks_go_on_after_the_plan(joinery: Joinery) -> None:
    """Three hours planed a week ago, over forty working days: so much a day is expected beyond the plan."""
    knives = planer(joinery)
    knives.planed(180, 1)
    sight = gather(joinery.store, MORNING)
    with joinery.store.reading() as session:
        known = edges_of(joinery.store, session, sight).known[knives.tool]
    assert known.lately_h == pytest.approx(3 / 41, rel=0.05)
    assert (known.name, known.usual_h, known.kind.away_days) == ("planer knives", 12.0, 2)


def test_they_are_kept_for_the_plan_and_found_anew_for_another(joinery: Joinery) -> None:
    knives = planer(joinery)
    knives.to_plane(18)
    found = knives.dues(MORNING)
    sight = gather(joinery.store, MORNING)
    planned = plan_now(joinery.store, sight)
    with joinery.store.reading() as session:
        assert dues_now(joinery.store, session, sight, planned) is found
    assert kept_dues(joinery.store, sight, planned.number) is found
    assert (
        kept_dues(joinery.store, gather(joinery.store, MORNING + timedelta(days=1)), planned.number) is None
    )
    assert dues_sign(joinery.store) == found.number == planned.number
    knives.to_plane(18)
    again = knives.dues(MORNING)
    assert again.number != found.number
    assert dues_sign(joinery.store) == again.number


def test_the_same_log_gives_the_same_days(joinery: Joinery) -> None:
    knives = planer(joinery)
    knives.to_plane(60)
    sight = gather(joinery.store, MORNING)
    planned = plan_now(joinery.store, sight)
    with joinery.store.reading() as session:
        edges = edges_of(joinery.store, session, sight)
    assert reckon_dues(edges, sight, planned).of == reckon_dues(edges, sight, planned).of


def test_what_was_done_to_an_edge_since_takes_what_was_foretold_of_it_away(joinery: Joinery) -> None:
    """It is said again once it is found anew; a tap on something else leaves it."""
    knives = planer(joinery)
    job = knives.to_plane(18)
    knives.dues(at("8:00"))
    joinery.tap("start", at("8:05"), job["planing"], person=PIET)
    assert dues_shown(joinery.store, gather(joinery.store, at("8:06"))).of_tool(knives.tool)
    knives.deed("sharpened", at("8:10"))
    assert dues_shown(joinery.store, gather(joinery.store, at("8:11"))).of == ()
    assert knives.due(at("8:12")).stands.renewals == 1
    assert dues_shown(joinery.store, gather(joinery.store, at("8:13"))).of


def test_nothing_is_shown_before_anything_was_found(joinery: Joinery) -> None:
    assert dues_shown(joinery.store, gather(joinery.store, MORNING)).of == ()
    assert dues_sign(joinery.store) == 0


def test_the_tools_with_them(joinery: Joinery) -> None:
    knives = planer(joinery, spare=True)
    sight = gather(joinery.store, MORNING)
    tools, dues = tools_and_dues(joinery.store, sight, plan_now(joinery.store, sight))
    assert [tool.name for tool in tools] == ["planer knives"]
    assert [due.edge for due in dues.of_tool(knives.tool)] == [knives.first, knives.spare]


def test_a_tool_that_is_retired_is_due_no_more(joinery: Joinery) -> None:
    """Nor does it hold anything up, dull as it may be: its stages are done with something else."""
    knives = planer(joinery)
    job = knives.to_plane(18)
    knives.deed("found dull", at("8:00"))
    with joinery.store.writing() as session:
        session.get_one(ToolRow, knives.tool).retired_at = at("8:10")
    sight = gather(joinery.store, at("8:20"))
    assert knives.dues(at("8:20")).of == ()
    assert edges_soon(sight, dues_shown(joinery.store, sight)) == NONE_SOON
    planned = plan_now(joinery.store, sight)
    assert job["planing"] in planned.laid.tasks_of
