"""The machine program of the invented shop: attached to doors, matched to its bits, run by its router."""

import pytest
from sqlalchemy import select

from shoptrack.demo.programs import MEANS, ROUTER, STAGE
from shoptrack.flows.programs.pace import factor_of
from shoptrack.flows.shopfloor import gather
from shoptrack.store import programs, routers
from shoptrack.store.db import Store
from shoptrack.store.tables import JobRow, ProgramRow, StageRow, StationRow
from tests.demo.conftest import TUESDAY, Make, wall


def router_table(store: Store) -> int:
    with store.reading() as session:
        return session.scalars(select(StationRow.id).where(StationRow.name == "router table")).one()


def test_the_router_says_how_it_reads_programs(short: Make) -> None:
    store = short(TUESDAY)
    with store.reading() as session:
        said = routers.router_of(session, router_table(store))
    assert not said.starting
    assert (said.starts_in, said.rapid_mm_min) == (ROUTER.starts_in, ROUTER.rapid_mm_min)


def test_every_open_door_has_the_program_matched_to_the_shops_bits(short: Make) -> None:
    """What was said once is remembered; the stage's tools and shares are the program's."""
    store = short(TUESDAY)
    with store.reading() as session:
        stages = {row.id: row for row in session.scalars(select(StageRow).where(StageRow.name == STAGE))}
        own = programs.programs_of(session, stages)
        pieces = {job: count for job, count in session.execute(select(JobRow.id, JobRow.pieces))}
        names = {tool.id: tool.name for tool in programs.shop_tools(session)}
        said = {s: {t.tool_id: t.share for t in row.tools} for s, row in stages.items()}
    assert set(own) == set(stages)
    assert len(own) == 3
    for stage, (program,) in own.items():
        read = program.read
        assert {use.number: names[use.tool or 0] for use in read.tools} == MEANS
        one = read.total_min / pieces[stages[stage].job_id]
        assert said[stage] == {use.tool: pytest.approx(use.cutting_min / one, abs=1e-4) for use in read.tools}
        assert stages[stage].quantity == pytest.approx(read.total_min, abs=0.06)


def test_the_router_that_runs_now_says_when_it_needs_hands_by_its_program(short: Make) -> None:
    """Two doors: a bit is changed within each, and between them the next panel is put on."""
    sight = gather(short(TUESDAY), wall(TUESDAY))
    (running,) = [s for s in sight.standings.values() if s.state == "running"]
    stage = sight.world.stages[running.stage]
    assert stage.name == STAGE
    assert len(stage.hands_at_min) == 3


def test_the_routers_factor_rests_on_runs_of_finished_doors(whole: Store) -> None:
    """Its runs take longer than the program says, as its bits have to get up to speed at every bend."""
    with whole.reading() as session:
        (runs,) = routers.runs_by_router(session).values()
        attached = session.scalars(select(ProgramRow.stage_id).where(ProgramRow.removed_at.is_(None))).all()
    found = factor_of(runs)
    assert 2 <= found.runs < len(attached)
    assert 1.15 < found.p50 < 1.6
