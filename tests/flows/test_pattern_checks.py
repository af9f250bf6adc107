"""A pattern's stages are held against what the shop has; what they name must be there and in use."""

from dataclasses import replace

import pytest

from shoptrack.flows.pattern_checks import check
from shoptrack.flows.patterns import what_there_is
from shoptrack.store.edits import edit
from shoptrack.store.pattern_stages import stages_of
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.store.tables import PoolRow, StageKindRow, StationRow
from tests.joinery import NOW, Joinery


def tray(shop: Joinery) -> list[PatternStage]:
    with shop.store.reading() as session:
        return list(stages_of(session, shop.revisions["tray"]))


def test_the_shops_own_patterns_can_be_made(joinery: Joinery) -> None:
    assert check(tray(joinery), what_there_is(joinery.store, NOW)) == ()


def test_the_glues_own_mark_bounds_the_wait(joinery: Joinery) -> None:
    """Bone white must cure a day before it is worked on, so "within 8 h" can't be kept."""
    stages = tray(joinery)
    stages[2] = replace(stages[2], needs=(PatternNeed(2, greatest_wait_min=8 * 60),))
    (problem,) = check(stages, what_there_is(joinery.store, NOW))
    assert (problem.place, problem.about) == (3, "wait")
    assert "24 h" in problem.sentence


@pytest.mark.parametrize(
    ("row", "place", "about"),
    [(PoolRow, 2, "clamps"), (StationRow, 3, "station"), (StageKindRow, 1, "kind")],
)
def test_what_is_no_longer_in_use_is_not_asked_for(
    joinery: Joinery, row: type[PoolRow | StationRow | StageKindRow], place: int, about: str
) -> None:
    with joinery.store.writing() as session:
        edit(session, session.get_one(row, 1), None, NOW, retired_at=NOW)
    found = check(tray(joinery), what_there_is(joinery.store, NOW))
    assert (found[0].place, found[0].about) == (place, about)


def test_what_never_was_is_not_asked_for(joinery: Joinery) -> None:
    stage = replace(tray(joinery)[0], kind=99, station=99, recipe=99, tools=((99, 1.0),))
    found = check([stage], what_there_is(joinery.store, NOW))
    assert {p.about for p in found} == {"kind", "station", "recipe", "tools"}
