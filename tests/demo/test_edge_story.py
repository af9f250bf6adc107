"""Edges of the invented shop as they stand now: one nearly due, two away, one found dull."""

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from shoptrack.engine.hours import local
from shoptrack.engine.shapes import ToolStands
from shoptrack.flows.planning.dates import working_days
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.tooling.due import DueOf, Dues
from shoptrack.flows.tooling.dues import edges_of, reckon_dues
from shoptrack.flows.tooling.soon import edges_soon, without_edge
from shoptrack.store.db import Store, open_store
from shoptrack.store.jobs import add_job
from shoptrack.store.patterns import list_patterns
from tests.demo.conftest import TUESDAY, Make, wall
from tests.demo.test_now import seen, stage

NOW = wall(TUESDAY)


def all_dues(store: Store, sight: Sight) -> Dues:
    """What is foretold of every edge by the plan of now."""
    planned = plan_now(store, sight)
    with store.reading() as session:
        edges = edges_of(store, session, sight)
    return reckon_dues(edges, sight, planned)


@pytest.fixture
def tuesday(short: Make) -> Sight:
    return seen(short(TUESDAY), TUESDAY)


def knives_of(store: Store, sight: Sight) -> DueOf:
    """The knives that are on the planer."""
    found = (each for each in all_dues(store, sight).of if each.tool_name == "planer knives")
    return next(each for each in found if each.stands.where == "fitted")


def edges_on(sight: Sight, tool: str) -> ToolStands:
    """A tool's edges, by its name."""
    return next(own for number, own in sight.edges.items() if sight.world.tools[number] == tool)


@pytest.mark.parametrize("now", [TUESDAY, "2026-11-24T21:00", "2026-07-08T12:10"])
def test_the_planer_knives_are_nearly_due_and_nothing_covers_the_gap(short: Make, now: str) -> None:
    """They must leave within days, their only spare is ground away, and stages would wait for them."""
    store = short(now)
    sight = seen(store, now)
    knives = knives_of(store, sight)
    today = local(sight.world.calendar, sight.now).date()
    assert knives.send_by_on is not None
    assert working_days(sight.world.calendar, today, knives.send_by_on) <= 5
    assert not knives.covered_by_spare
    assert knives.waits
    assert not knives.stands.dull
    assert 0.02 < knives.chance_dull < 0.6


def test_what_idris_mills_now_uses_the_knives_that_are_nearly_due(tuesday: Sight) -> None:
    idris = next(p for p in tuesday.world.people.values() if p.name == "Idris")
    stages = [tuesday.world.stages[s] for s in tuesday.replayed.people[idris.id].stages]
    assert all("planer knives" in [tuesday.world.tools[t] for t in s.tools] for s in stages)
    assert len(stages) == 3


def test_one_saw_blade_is_away_with_the_spare_on(tuesday: Sight) -> None:
    blades = edges_on(tuesday, "40-tooth saw blade")
    assert blades.fitted is not None
    assert not blades.fitted.dull
    (away,) = [each for each in blades.edges if each.where == "away"]
    assert away.back_on is not None
    assert away.back_on > tuesday.now.date()


def test_the_inserts_were_found_dull_yesterday_and_others_can_be_put_on(short: Make, tuesday: Sight) -> None:
    soon = edges_soon(tuesday, all_dues(short(TUESDAY), tuesday))
    (dull,) = soon.dull
    assert (dull.name, dull.spare is not None) == ("surfacing inserts", True)
    found = next(d for d in tuesday.replayed.deeds if d.tool == dull.tool and d.did == "found dull")
    assert tuesday.now - timedelta(days=1, hours=2) < found.at < tuesday.now


def test_a_stage_waits_for_the_only_band_saw_blade(short: Make, tuesday: Sight) -> None:
    """It is planned for when the blade is back, and nothing of it is done before."""
    leaves = stage(tuesday, "bar stools, ash", "resaw the leaves")
    assert without_edge(tuesday, tuesday.world.stages[leaves]) == ("3/4 band saw blade",)
    planned = plan_now(short(TUESDAY), tuesday)
    starts = [p.start for p in planned.plan.placed if planned.laid.problem.tasks[p.task].stage == leaves]
    (blade,) = edges_on(tuesday, "3/4 band saw blade").edges
    assert blade.back_on is not None
    assert starts
    assert all(planned.laid.instant(start).date() >= blade.back_on for start in starts)


def test_the_due_date_moves_when_the_plan_moves(short: Make, tmp_path: Path) -> None:
    """Three more tables to plane, and the knives are due sooner."""
    store = copied(short(TUESDAY), tmp_path)
    before = knives_of(store, gather(store, NOW))
    with store.writing() as session:
        table = next(p for p in list_patterns(session) if p.name == "dining table").revisions[-1].id
        promised_on = NOW.date() + timedelta(days=20)
        for n in range(3):
            add_job(
                session,
                title=f"table {n}",
                customer="Odd Fellner",
                pieces=1,
                promised_on=promised_on,
                revision_id=table,
                now=NOW,
            )
    after = knives_of(store, gather(store, NOW))
    store.close()
    assert before.p50_on is not None
    assert after.p50_on is not None
    assert after.p50_on < before.p50_on


def copied(store: Store, folder: Path) -> Store:
    """The same shop in another file."""
    with closing(sqlite3.connect(store.path)) as old, closing(sqlite3.connect(folder / "shop.db")) as new:
        old.backup(new)
    return open_store(f"sqlite:///{folder / 'shop.db'}", folder)
