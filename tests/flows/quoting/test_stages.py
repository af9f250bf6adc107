"""The stages of a quote: a pattern's with their measures, or said one by one; rests; what is untested."""

from dataclasses import replace

import pytest

from shoptrack.engine.durations import quantile_min
from shoptrack.engine.shapes import Rule
from shoptrack.errors import BadInput
from shoptrack.flows.quoting.wanted import Wanted, WantedStage
from shoptrack.store import patterns, shop
from shoptrack.store.patterns import PatternNeed, PatternStage
from tests.flows.quoting.shop import ad_hoc, mill_trays, tray, worked_out
from tests.joinery import LONG_AGO, NOW, Joinery


def test_measures_grow_with_the_pieces_and_may_be_said_otherwise(joinery: Joinery, wood: int) -> None:
    """Two trays: 4 boards, 20 inlays, and 3 coats all the same; somebody says 5 boards."""
    stages = worked_out(joinery, tray(joinery, wood, measures={1: 5.0})).made.stages
    assert [(s.position, s.name, s.quantity, s.usual_quantity, s.unit) for s in stages] == [
        (1, "milling", 5, 4, "boards"),
        (2, "glue-up", 2, 2, "joints"),
        (3, "carving the well", 2, 2, "pieces"),
        (4, "inlay", 20, 20, "inlays"),
        (5, "oiling", 3, 3, "coats"),
    ]
    carving = stages[2]
    assert (carving.watched, carving.station_name, carving.machine_sentence[:9]) == (
        True,
        "router",
        "untested:",
    )


def test_a_rest_takes_nobodys_minutes_but_keeps_its_place(joinery: Joinery, wood: int) -> None:
    with joinery.store.writing() as session:
        rest = shop.make_kind(
            session, "rest", unit="days", rule=Rule(0, 1440), from_at=LONG_AGO, attendance="none"
        ).id
        stages = [
            PatternStage(joinery.kinds["milling"], "mill"),
            PatternStage(rest, "let it settle", needs=[PatternNeed(1)]),
            PatternStage(joinery.kinds["glue-up"], "glue", needs=[PatternNeed(2)]),
        ]
        revision = patterns.make_pattern(session, "board", stages=stages, now=LONG_AGO).id
    found = worked_out(joinery, Wanted("Ruy", "a board", revision=revision))
    mill, settle, glue = found.reckoned
    assert (settle.stage.rest, settle.stage.position, settle.worked, settle.stage.untested) == (
        True, 2, None, False,
    )  # fmt: skip
    assert [s.name for s in found.asked.stages] == ["mill", "glue"]
    assert mill.worked is not None
    assert glue.worked is not None
    assert (mill.worked.name, glue.worked.name) == ("mill", "glue")


def test_stages_said_one_by_one_are_untested(joinery: Joinery, wood: int) -> None:
    """Even where the kind was logged: nothing of this piece was. They say so, and of no pattern."""
    mill_trays(joinery, 40, 42, 39)
    found = worked_out(joinery, ad_hoc(joinery))
    assert [s.name for s in found.made.stages] == ["shelf boards", "dish it", "glue-up"]
    assert [s.usual_quantity for s in found.made.stages] == [None, None, None]
    assert found.untested == found.made.stages
    assert found.made.stages[0].sentence.startswith("untested: 3 logged, scaled by boards: half under ")
    assert found.made.stages[2].sentence.startswith("untested: nothing logged yet, from the rule of thumb")
    assert found.asked.stages[1].machine_cents_per_h == 3000
    assert (found.made.pattern, found.made.pattern_name) == (None, "")


def test_a_pattern_that_was_made_is_tested_stage_by_stage(joinery: Joinery, wood: int) -> None:
    mill_trays(joinery, 40, 42)
    found = worked_out(joinery, tray(joinery, wood))
    assert [s.name for s in found.untested] == ["glue-up", "carving the well", "inlay", "oiling"]
    assert found.made.pattern_name == "tray"
    assert found.made.pattern_number == 1


def test_a_batch_is_one_order(joinery: Joinery, wood: int) -> None:
    """Six in one order are foretold as a larger measure after as many orders as one would be."""
    mill_trays(joinery, *[40] * 6)
    one, six = (worked_out(joinery, tray(joinery, wood, pieces=n)).reckoned[0] for n in (1, 6))
    assert one.hands is not None
    assert six.hands is not None
    assert one.hands.of_pattern == six.hands.of_pattern == 6
    by_rule = (15 + 10 * 12) / (15 + 10 * 2)
    assert quantile_min(six.hands, 0.5) / quantile_min(one.hands, 0.5) == pytest.approx(by_rule, rel=0.25)


@pytest.mark.parametrize(
    ("stage", "field"),
    [
        (WantedStage(99, 1), "stage-1-kind"),
        (WantedStage(1, 0), "stage-1-quantity"),
        (WantedStage(1, -2), "stage-1-quantity"),
        (WantedStage(1, 1e9), "stage-1-quantity"),
    ],
)
def test_a_stage_that_cannot_be_is_named(joinery: Joinery, wood: int, stage: WantedStage, field: str) -> None:
    wanted = ad_hoc(joinery)
    with pytest.raises(BadInput) as refused:
        worked_out(joinery, replace(wanted, stages=(wanted.stages[0], stage)))
    assert refused.value.field == field


def test_a_retired_kind_and_pattern_are_still_quoted(joinery: Joinery, wood: int) -> None:
    with joinery.store.writing() as session:
        shop.every_kind(session)[joinery.kinds["milling"]].retired_at = NOW
        patterns.pattern_row(session, 1).retired_at = NOW
    assert len(worked_out(joinery, tray(joinery, wood)).asked.stages) == 5
