"""A tool's own page: what was learned, its lives and what was done meanwhile, its meter, what is cheapest."""

from datetime import timedelta

import pytest
from sqlalchemy import update

from shoptrack.flows.tooling.shown import show_tool
from shoptrack.flows.tooling.tool_page import SOON_SHARP, ToolPage
from shoptrack.store.edge_kinds import add_edge_kind
from shoptrack.store.tables import EdgeKindRow, ToolRow
from tests.flows.tooling.sharp import Planer, planer
from tests.joinery import NOW, PIET, Joinery, at

EDGE_A = "set A"


def page(knives: Planer) -> ToolPage:
    return show_tool(knives.joinery.store, NOW, knives.tool)


def worn(joinery: Joinery) -> Planer:
    """Two sets: A ran five hours and was found dull, then four and a half; B ran two and was taken off."""
    knives = planer(joinery, spare=True)
    knives.planed(150, 7)
    knives.planed(150, 6)
    knives.deed("found dull", at("15:00", -42), edge=knives.first)
    knives.deed("sharpened", at("15:30", -42), edge=knives.first)
    knives.planed(120, 5)
    knives.planed(150, 4)
    knives.deed("fitted", at("16:00", -28), edge=knives.spare)
    knives.planed(120, 3)
    knives.deed("fitted", at("16:00", -21), edge=knives.first)
    return knives


def test_lives_edge_by_edge_with_what_was_done_meanwhile(joinery: Joinery) -> None:
    knives = worn(joinery)
    lives = page(knives).lives
    told = [(one.edge, one.number, round(one.life.run_h, 2), one.life.dull, one.life.ended) for one in lives]
    assert told == [
        (EDGE_A, 1, 5.0, True, "found dull"),
        (EDGE_A, 2, 4.5, False, None),
        ("set B", 1, 2.0, False, None),
    ]
    assert at("16:00", -21) in lives[1].deeds, "put on again in its second life"
    assert at("15:00", -42) not in lives[0].deeds, "what ended it is no deed within it"


def test_what_was_learned_is_drawn_past_what_the_edge_has_run(joinery: Joinery) -> None:
    learned = page(worn(joinery)).learned
    assert learned is not None
    assert learned.age_h == pytest.approx(4.5)
    assert learned.curve.hours[-1] > 4.5
    assert learned.sharp_now == pytest.approx(float(learned.fit.survival(4.5)))
    assert float(learned.fit.survival(learned.soon_at_h)) == pytest.approx(SOON_SHARP, abs=1e-3)
    assert learned.curve.sharp[-1] < 0.05
    assert learned.usual_h == 12


def test_a_dull_edge_has_no_place_on_the_curve(joinery: Joinery) -> None:
    knives = worn(joinery)
    knives.deed("found dull", at("9:00"), edge=knives.first)
    learned = page(knives).learned
    assert learned is not None
    assert (learned.age_h, learned.sharp_now) == (None, None)


def test_the_cheapest_age_needs_both_costs(joinery: Joinery) -> None:
    """A dull edge that costs ten times a sharpening: renew well before half are dull; a cheap one: never."""
    knives = worn(joinery)
    assert (page(knives).costs_said, page(knives).cheapest) == (False, None)
    costs(joinery, 3000, 30_000)
    dear = page(knives)
    assert dear.costs_said
    assert dear.cheapest is not None
    assert dear.learned is not None
    assert 0 < dear.cheapest.every_h < dear.learned.fit.life_h().p50_h
    assert dear.cheapest.cents_per_h < dear.cheapest.dull_cents_per_h
    costs(joinery, 3000, 3001)
    assert (page(knives).costs_said, page(knives).cheapest) == (True, None)


def costs(joinery: Joinery, renew: int, dull: int) -> None:
    with joinery.store.writing() as session:
        session.execute(update(EdgeKindRow).values(renew_cents=renew, dull_cents=dull))


def test_two_readings_of_the_meter(joinery: Joinery) -> None:
    """Three hours logged between them, four on the meter."""
    knives = planer(joinery)
    knives.deed("meter", at("7:00", -7), minutes=600)
    knives.planed(180, 1)
    knives.deed("meter", at("17:00", -7) + timedelta(hours=1), minutes=840)
    found = page(knives)
    assert [r.meter_h for r in found.readings] == [14, 10]
    assert found.meter_scale == pytest.approx(4 / 3)
    assert found.lives[0].life.run_h == pytest.approx(4.0)


def test_a_tool_without_an_edge_has_an_empty_page(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        kind = add_edge_kind(session, "blade", PIET, NOW, usual_life_h=9)
        session.flush()
        row = ToolRow(name="bare saw", kind_id=kind.id)
        session.add(row)
        session.flush()
        bare = row.id
    found = show_tool(joinery.store, NOW, bare)
    assert (found.line, found.learned, found.lives, found.book, found.edges) == (None, None, (), (), ())
    assert (found.tool.name, found.meter_scale, found.cheapest) == ("bare saw", 1.0, None)
