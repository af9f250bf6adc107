"""How stations read their programs, which tools numbers mean, and the runs that teach."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import routers, tools
from shoptrack.store.edits import history
from shoptrack.store.programs import keep_program
from shoptrack.store.routers import Router
from tests.joinery import NOW, PIET, UNA, Joinery, at
from tests.store.test_programs import READ, keep

OWN = Router("milliseconds", "inch", True, 9000.0, 12.0, starting=False)


def test_a_router_has_starting_values_until_somebody_says_its_own(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        assert routers.router_of(session, None) == routers.router_of(session, 1) == Router()
        assert routers.say_router(session, 1, OWN, UNA, NOW)
        assert routers.router_of(session, 1) == OWN
        assert not routers.say_router(session, 1, OWN, UNA, NOW)
        assert routers.say_router(session, 1, replace(OWN, rapid_mm_min=100.0), UNA, NOW)
        lines = [(line.field, line.before, line.after) for line in history(session, "stations", 1)]
        assert ("rapids_mm", None, 9000.0) in lines
        assert ("rapids_mm", 9000.0, 100.0) in lines


def test_rates_that_no_router_has_are_refused(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        for bad in (replace(OWN, rapid_mm_min=0.0), replace(OWN, tool_change_s=-1.0)):
            with pytest.raises(BadInput):
                routers.say_router(session, 1, bad, UNA, NOW)
        with pytest.raises(NotFound):
            routers.say_router(session, 99, OWN, UNA, NOW)


def test_what_numbers_mean_is_remembered_by_router_and_label(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        bit = tools.make_tool(session, "spiral bit", kind="bit").id
        vee = tools.make_tool(session, "V-bit", kind="bit")
        routers.remember_tools(session, 1, {(1, ""): bit, (1, "vee"): vee.id})
        assert routers.remembered_tools(session, 1) == {(1, ""): bit, (1, "vee"): vee.id}
        assert routers.remembered_tools(session, None) == {}
        routers.remember_tools(session, 1, {(1, ""): vee.id, (1, "vee"): None, (5, ""): None})
        assert routers.remembered_tools(session, 1) == {(1, ""): vee.id}
        vee.retired_at = NOW
        session.flush()
        assert routers.remembered_tools(session, 1) == {}


def run(joinery: Joinery, stage: int) -> None:
    joinery.tap("start", at("9:00"), stage, person=PIET, insisted=True)
    joinery.tap("finish", at("10:20"), stage, person=PIET)


def early(session: Session, stage: int, **other: object) -> None:
    keep_program(session, stage, 1, replace(READ, **other), UNA, at("7:00"))  # type: ignore[arg-type]


def test_a_finished_run_teaches_by_all_programs_of_its_stage(joinery: Joinery) -> None:
    """80 minutes of the machine, of which the carving's set-up is 10 by rule of thumb."""
    carving = joinery.add("tray", "tray", None)["carving the well"]
    with joinery.store.writing() as session:
        early(session, carving)
        early(session, carving, fingerprint="e" * 64, total_min=50.0)
        assert routers.program_min_by_stage(session, [carving, 999]) == {carving: (1, 56.5)}
        assert routers.runs_by_router(session) == {}
    run(joinery, carving)
    with joinery.store.reading() as session:
        assert routers.runs_by_router(session) == {1: (routers.Ran(80.0, 56.5, 10.0),)}


def test_a_program_read_later_or_for_another_router_teaches_nothing(joinery: Joinery) -> None:
    late = joinery.add("tray", "late", None)["carving the well"]
    run(joinery, late)
    with joinery.store.writing() as session:
        keep(session, late)
        assert routers.runs_by_router(session) == {}
    mixed = joinery.add("tray", "mixed", None)["carving the well"]
    with joinery.store.writing() as session:
        early(session, mixed)
        keep_program(session, mixed, None, replace(READ, fingerprint="d"), UNA, at("7:00"))
        assert routers.program_min_by_stage(session, [mixed])[mixed] == (None, 13.0)
