"""A stage whose tool has no edge waits until one is back, or is not planned; the judge knows it too."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.schedule.build import build
from shoptrack.engine.schedule.check import check
from shoptrack.engine.schedule.rules import best_rule
from shoptrack.engine.shapes import FAR, Awaited, Edge, World
from shoptrack.engine.shapes.planned import Placed
from shoptrack.flows.planning.calendar import timeline
from shoptrack.flows.planning.changes import DayOff
from shoptrack.flows.planning.laid import lay
from shoptrack.flows.planning.next_up import Blocked, NextUp, Slot, blocked_words
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.planning.resources import edgeless, edges_away
from tests.engine.shop import ANN, BEN, Pencil, at, shop, stage
from tests.flows.planning.laying import laid_at, placed, planned, seen, tasks, wall

V_BIT = 1
FRIDAY = date(2026, 3, 13)
TWO = shop(stage(1, tools=(V_BIT,)), stage(2, job=2), stage(3, "packing", job=1, after=(1,)))


def with_edges(world: World = TWO, count: int = 1) -> World:
    return replace(world, edges={n: Edge(n, V_BIT, f"edge {n}") for n in range(1, count + 1)})


def said(*choices: str, on: date | None = None, when: str = "8:00") -> Pencil:
    """What was said of the edge that is on the bit, after the first was put on."""
    book = Pencil()
    book.tap("7:50", "edge", ANN, tool=V_BIT, edge=1, choice="fitted")
    for choice in choices:
        book.tap(when, "edge", ANN, tool=V_BIT, choice=choice, look_again_on=on if choice == "sent" else None)
    return book


def slot(world: World, book: Pencil, of: int, when: str = "9:00") -> Slot | None:
    sight = seen(world, book, when)
    laid = lay(sight)
    return NextUp(sight, Planned(laid, planned(laid), sight.now, 1, sight.head)).slot(of)


def test_a_stage_waits_for_the_edge_that_is_expected_back() -> None:
    """Back on Friday: the stage begins when the shop opens then, the other one now; what follows, after."""
    laid = laid_at(with_edges(), "9:00", said("sent", on=FRIDAY))
    assert placed(laid, 1)[0].start == wall(laid, "fri 8:00")
    assert placed(laid, 2)[0].start == 0
    assert placed(laid, 3)[0].start == placed(laid, 1)[0].end
    assert laid.untold == ()


def test_it_says_so() -> None:
    found = slot(with_edges(), said("sent", on=FRIDAY), 1)
    assert found is not None
    assert found.held == Blocked("edge", "V-bit", at("fri 8:00"))
    assert blocked_words(found.held, lambda moment: f"{moment:%a}") == "no edge on the V-bit until Fri"
    assert found.starts_at == at("fri 8:00")


@pytest.mark.parametrize(
    "choices", [("found dull",), ("sent",), ("broken",), ("worn out",), ("sent", "found dull")]
)
def test_with_none_expected_it_is_not_planned_and_says_the_way_out(choices: tuple[str, ...]) -> None:
    laid = laid_at(with_edges(), "9:00", said(*choices))
    assert laid.tasks_of.keys() == {2}
    assert [(told.job, told.stage, told.sentence) for told in laid.untold] == [
        (1, 1, "“milling” waits for an edge on the V-bit: sharpen or fit one, or say when it is back.")
    ]
    assert laid.not_whole == {1}


@pytest.mark.parametrize(
    "book",
    [said(), said("found dull", "cleaned"), said("found dull", "sharpened"), said("rough only"), Pencil()],
)
def test_an_edge_that_may_cut_holds_nothing_up(book: Pencil) -> None:
    """On the tool, clean again, sharp again, good for roughing; or only written down."""
    laid = laid_at(with_edges(), "9:00", book)
    assert placed(laid, 1)[0].start == 0
    assert not laid.tool_of


def test_a_spare_stands_in() -> None:
    assert placed(laid_at(with_edges(count=2), "9:00", said("found dull")), 1)[0].start == 0


def test_a_tool_of_which_no_edge_was_written_down_is_always_there() -> None:
    assert placed(laid_at(TWO, "9:00", said("found dull")), 1)[0].start == 0


def test_what_is_in_hand_goes_on() -> None:
    """Ann is at it: nobody takes it out of her hands, and the question is hers."""
    book = said("found dull")
    book.tap("8:30", "start", ANN, 1)
    laid = laid_at(with_edges(), "9:00", book)
    assert [task.begun for task in tasks(laid, 1)] == [(laid.worker_of[ANN],)]
    assert laid.untold == ()


def test_one_that_should_have_been_back_is_expected_at_the_next_opening() -> None:
    laid = laid_at(with_edges(), "thu 9:00", said("sent", on=date(2026, 3, 11)))
    assert placed(laid, 1)[0].start == wall(laid, "fri 8:00")


def test_struck_it_never_happened() -> None:
    book = said("found dull")
    book.tap("8:10", "strike", ANN, of=book.entries[-1].id)
    assert placed(laid_at(with_edges(), "9:00", book), 1)[0].start == 0


def test_a_what_if_knows_it_too() -> None:
    """Friday off as well: on Monday."""
    sight = seen(with_edges(), said("sent", on=FRIDAY), "9:00")
    laid = lay(sight, (DayOff(None, FRIDAY),))
    assert placed(laid, 1)[0].start >= wall(laid, "sat 0:00")


def test_the_judge_finds_a_plan_that_uses_an_edge_that_is_away() -> None:
    laid = laid_at(with_edges(), "9:00", said("sent", on=FRIDAY))
    plan = best_rule(laid.problem)
    assert check(laid.problem, plan) == ()
    (task,) = laid.tasks_of[1]
    at_once = Placed(task, 0, 60, 60, (laid.worker_of[BEN],))
    bad = replace(plan, placed=tuple(at_once if p.task == task else p for p in plan.placed))
    assert any("V-bit, which is closed" in said for said in check(laid.problem, bad))


def test_every_order_of_priority_keeps_to_it() -> None:
    laid = laid_at(with_edges(), "9:00", said("sent", on=FRIDAY))
    for first in ((0, 1, 2), (2, 1, 0), (1, 0, 2)):
        found = {p.task: p for p in build(laid.problem, first).placed}
        assert found[laid.tasks_of[1][0]].start >= wall(laid, "fri 8:00")


def test_which_are_away_and_which_for_good() -> None:
    def away(book: Pencil, world: World) -> dict[int, bool]:
        sight = seen(world, book, "9:00")
        found = edges_away(world, sight, timeline(world.calendar, sight.now))
        return {tool: any(end == FAR for _, end in spans) for tool, spans in found.items()}

    assert away(said("sent", on=FRIDAY), with_edges()) == {V_BIT: False}
    assert away(said("sent"), with_edges()) == {V_BIT: True}
    assert away(said("sent"), TWO) == {}
    assert edgeless({1: [(at("8:00"), FAR)], 2: [(at("8:00"), at("fri 8:00"))]}) == {1}


def test_what_ends_last_is_what_it_waits_for() -> None:
    """Awaited stock comes on Wednesday, the edge on Friday: the edge. The other way round: the day."""
    stock = Awaited(1, 1, "ash", before=1, expected_on=date(2026, 3, 11))
    world = replace(with_edges(), awaited=(stock,))
    found = slot(world, said("sent", on=FRIDAY), 1)
    assert found is not None
    assert found.held == Blocked("edge", "V-bit", at("fri 8:00"))
    later = replace(world, awaited=(replace(stock, expected_on=date(2026, 3, 16)),))
    found = slot(later, said("sent", on=FRIDAY), 1)
    assert found is not None
    assert found.held is not None
    assert found.held.why == "day"


def test_what_follows_waits_for_the_stage_and_not_for_the_edge() -> None:
    world = with_edges(shop(stage(1, quantity=240), stage(2, "carving", after=(1,), tools=(V_BIT,))))
    found = slot(world, said("sent", on=date(2026, 3, 11)), 2)
    assert found is not None
    assert found.held is not None
    assert (found.held.why, found.held.name) == ("after", "milling")
