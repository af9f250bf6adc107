"""Machine programs as they are kept for stages."""

from dataclasses import replace

import pytest
from sqlalchemy.orm import Session

from shoptrack.errors import NotFound
from shoptrack.store import programs, tools
from shoptrack.store.edits import history
from shoptrack.store.jobs import close_job
from shoptrack.store.programs import Reading, ToolUse
from tests.joinery import LONG_AGO, NOW, UNA, Joinery

READ = Reading(
    name="tray.nc",
    fingerprint="f" * 64,
    size=120,
    reader="1",
    total_min=6.5,
    cutting_min=4.0,
    found={"times": 1},
    path=[[1, False, [0, 0, 10, 0]]],
    tools=(ToolUse(1, "upcut", 1.0, 600.0, 4.0), ToolUse(2, "", 3.0, 1200.0, None)),
)


def keep(session: Session, stage: int, station: int | None = 1, **other: object) -> int:
    return programs.keep_program(session, stage, station, replace(READ, **other), UNA, NOW)  # type: ignore[arg-type]


def test_what_was_read_is_kept_and_comes_back(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        made = keep(session, tray["carving the well"])
    with joinery.store.reading() as session:
        own = programs.program(session, tray["job"], made)
        assert own.read == READ
        assert (own.stage, own.station, own.added_at, own.added_by) == (tray["carving the well"], 1, NOW, UNA)
        assert [line.field for line in history(session, "programs", made)] == ["made"]
        with pytest.raises(NotFound):
            programs.program(session, tray["job"] + 1, made)


def test_programs_of_stages_come_without_their_paths_and_removed_ones_not_at_all(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    carving = tray["carving the well"]
    with joinery.store.writing() as session:
        first, second = keep(session, carving), keep(session, carving, fingerprint="e" * 64)
        for _ in range(2):
            programs.remove_program(session, first, UNA, NOW)
        assert [line.field for line in history(session, "programs", first)] == ["made", "removed_at"]
        found = programs.programs_of(session, [carving, tray["milling"]])
        assert {stage: [p.id for p in own] for stage, own in found.items()} == {carving: [second]}
        assert found[carving][0].read.path is None
        assert programs.same_program(session, carving, "f" * 64) is None
        assert programs.same_program(session, carving, "e" * 64) == second
        removed = programs.newest_removed(session, carving)
        assert removed is not None
        assert removed.id == first
        assert programs.newest_removed(session, tray["milling"]) is None
        assert [p.id for p in programs.programs_of_router(session, 1)] == [second]


def test_tools_are_said_with_a_line_of_history(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        bit = tools.make_tool(session, "spiral bit", kind="bit").id
        made = keep(session, tray["carving the well"])
        assert programs.say_tools(session, made, {1: bit, 9: bit}, UNA, NOW)
        assert not programs.say_tools(session, made, {1: bit}, UNA, NOW)
        assert [use.tool for use in programs.program(session, tray["job"], made).read.tools] == [bit, None]
        (line,) = [line for line in history(session, "programs", made) if line.field == "tool 1"]
        assert (line.before, line.after) == (None, "spiral bit")


def test_open_stages_are_those_of_open_jobs_that_were_not_taken_out(joinery: Joinery) -> None:
    tray, other = joinery.add("tray", "tray", None), joinery.add("tray", "other", None)
    own, theirs = tray["carving the well"], other["carving the well"]
    with joinery.store.writing() as session:
        keep(session, own)
        keep(session, theirs)
        assert set(programs.open_stages(session)) == {own, theirs}
        close_job(session, other["job"], NOW, UNA)
        assert programs.open_stages(session) == {own: joinery.kinds["carving"]}
        assert [place.stage for place in programs.open_places(session, {own, theirs})] == [own]
        assert programs.jobs_of(session, [own, theirs]) == {own: tray["job"], theirs: other["job"]}


def test_times_are_written_over_and_the_rest_stays(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.writing() as session:
        made = keep(session, tray["carving the well"])
        programs.rewrite_times(session, made, replace(READ, total_min=13.0, name="other", found={"times": 2}))
        own = programs.program(session, tray["job"], made).read
        assert (own.total_min, own.name, own.found) == (13.0, "tray.nc", {"times": 2})


def test_a_place_names_its_stage_and_the_bed(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.reading() as session:
        place = programs.place_of(session, tray["job"], tray["carving the well"])
        assert (place.station_name, place.unit, place.bed_length_mm) == ("router", "pieces", None)
        assert programs.place_of(session, tray["job"], tray["milling"]).station is None
        with pytest.raises(NotFound):
            programs.place_of(session, tray["job"] + 1, tray["milling"])


def test_every_tool_is_listed_with_its_flute(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        bit = tools.make_tool(session, "spiral bit", kind="bit", station=1)
        bit.flute_mm = 22.0
        old = tools.make_tool(session, "old bit", kind="bit")
        old.retired_at = LONG_AGO
        found = programs.shop_tools(session)
    assert [(t.name, t.station, t.flute_mm, t.retired) for t in found] == [
        ("spiral bit", 1, 22.0, False), ("old bit", None, None, True),
    ]  # fmt: skip
