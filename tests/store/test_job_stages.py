"""Rows of a job's stages: what a form would say of them, and that another job's are not touched."""

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.job_stages import (
    StageSaid,
    add_stage,
    made_since,
    said_of,
    stage_of_job,
    stages_of_job,
    worked_together,
)
from shoptrack.store.waits import waits_of
from tests.joinery import NOW, UNA, BusyDay, Joinery


def test_said_again_as_it_is_it_is_the_same(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    with joinery.store.reading() as session:
        rows = stages_of_job(session, tray["job"])
        said = {row.name: said_of(row, waits_of(rows)[row.id]) for row in rows}
    assert [(n.stage, n.by_rounds) for n in said["oiling"].needs] == [(tray["inlay"], True)]
    assert (said["glue-up"].joint, said["glue-up"].settings) == ("plain edge", "cauls waxed")
    assert said["inlay"].clamps[0].per_piece


def test_a_stage_without_waits_goes_to_the_end_and_its_kind_says_the_rest(joinery: Joinery) -> None:
    tray, other = joinery.add("tray", "tray", None), joinery.add("tray", "other", None)
    with joinery.store.writing() as session:
        row = add_stage(session, tray["job"], StageSaid(joinery.kinds["carving"], "label", 1), UNA, NOW)
        assert (row.position, row.attendance, row.line) == (6, "within earshot", None)
        with pytest.raises(BadInput):
            add_stage(session, tray["job"], StageSaid(99, "label", 1), UNA, NOW)
        assert made_since(session, tray["job"], row.id - 1, "label", 1) is row
        assert made_since(session, tray["job"], row.id, "label") is None
        assert [r.position for r in stages_of_job(session, other["job"])] == [1, 2, 3, 4, 5]
        with pytest.raises(NotFound):
            stage_of_job(session, other["job"], row.id)


def test_jobs_that_were_worked_together(joinery: Joinery, day: BusyDay) -> None:
    with joinery.store.reading() as session:
        assert worked_together(session, day.elm["milling"]) == {day.elm["job"], day.game["job"]}
        assert worked_together(session, day.elm["oiling"]) == frozenset()
