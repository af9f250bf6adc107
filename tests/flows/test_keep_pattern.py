"""A finished job is kept as a pattern: its stages as they are, its measures for any number of pieces."""

from dataclasses import replace

import pytest

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.keep_pattern import keep_job, shared_out
from shoptrack.flows.patterns import pattern_view
from shoptrack.store.jobs import add_job, close_job
from shoptrack.store.patterns import PatternStage
from shoptrack.store.tables import StageRow
from tests.joinery import LONG_AGO, NOW, UNA, Joinery


def closed_tray(shop: Joinery) -> dict[str, int]:
    tray = shop.add("tray", "six trays", None, 6)
    with shop.store.writing() as session:
        close_job(session, tray["job"], NOW)
    return tray


def test_a_job_made_as_its_pattern_says_is_kept_as_that_pattern(joinery: Joinery) -> None:
    tray = closed_tray(joinery)
    made = keep_job(joinery.store, tray["job"], "tray as ordered", UNA, NOW)
    kept, first = (pattern_view(joinery.store, p, None, NOW) for p in (made, 1))
    assert [replace(s, line=None) for s in kept.stages] == [replace(s, line=None) for s in first.stages]
    assert (kept.shown.who, kept.shown.note.endswith("six trays")) == ("Una", True)
    assert keep_job(joinery.store, tray["job"], "tray as ordered", UNA, NOW) == made


def test_measures_typed_for_the_job_are_shared_out(joinery: Joinery) -> None:
    """Four trays from nine boards and five coats: 2 1/4 boards for each, five coats still."""
    with joinery.store.writing() as session:
        said = {1: 9.0, 5: 5.0}
        job = add_job(
            session, title="four trays", customer="Ivo Tarn", pieces=4, quantities=said,
            revision_id=joinery.revisions["tray"], now=LONG_AGO,
        )  # fmt: skip
        close_job(session, job.id, NOW)
    view = pattern_view(joinery.store, keep_job(joinery.store, job.id, "four", UNA, NOW), None, NOW)
    assert (view.stages[0].fixed, view.stages[0].per_piece) == (0, 2.25)
    assert (view.stages[4].fixed, view.stages[4].per_piece) == (5, 0)


@pytest.mark.parametrize(
    ("quantity", "pieces", "unit", "drawn", "shared"),
    [
        (12, 6, "joints", None, (0, 2)),
        (7, 3, "boards", None, (7, 0)),
        (7.5, 3, "square feet", None, (0, 2.5)),
        (3, 1, "coats", None, (3, 0)),
        (6, 3, "coats", None, (6, 0)),
        (5, 1, "inlays", None, (0, 5)),
        (13, 6, "joints", PatternStage(1, "a", fixed=1, per_piece=2), (1, 2)),
        (1, 6, "joints", PatternStage(1, "a", fixed=1, per_piece=2), (1, 0)),
        (3, 6, "coats", PatternStage(1, "a", fixed=0, per_piece=1), (0, 0.5)),
        (4, 6, "drawings", PatternStage(1, "a", fixed=1, per_piece=0), (4, 0)),
    ],
)
def test_a_measure_is_shared_out(
    quantity: float, pieces: int, unit: str, drawn: PatternStage | None, shared: tuple[float, float]
) -> None:
    assert shared_out(quantity, pieces, unit, drawn) == shared
    assert sum((shared[0], shared[1] * pieces)) == quantity


def test_what_was_taken_out_of_the_job_is_left_out(joinery: Joinery) -> None:
    """The glue-up was taken out: carving now comes after milling."""
    tray = closed_tray(joinery)
    with joinery.store.writing() as session:
        session.get_one(StageRow, tray["glue-up"]).removed_at = NOW
    view = pattern_view(joinery.store, keep_job(joinery.store, tray["job"], "bent", UNA, NOW), None, NOW)
    assert [(s.name, [n.position for n in s.needs]) for s in view.stages[:2]] == [
        ("milling", []),
        ("carving the well", [1]),
    ]


def test_before_it_is_finished_it_is_refused(joinery: Joinery) -> None:
    tray = joinery.add("tray", "a tray", None)
    with pytest.raises(Refused, match="not finished"):
        keep_job(joinery.store, tray["job"], "early", UNA, NOW)
    with pytest.raises(NotFound):
        keep_job(joinery.store, 99, "none", UNA, NOW)


def test_a_name_that_is_taken_is_refused(joinery: Joinery) -> None:
    with pytest.raises(BadInput, match="already"):
        keep_job(joinery.store, closed_tray(joinery)["job"], "door", UNA, NOW)
