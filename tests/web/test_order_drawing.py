"""The order drawn is an order in which the work can be done: judged by a sorter of the standard library."""

from graphlib import CycleError, TopologicalSorter

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.feasible import Limits
from shoptrack.engine.shapes import ClampNeed, Rule
from shoptrack.store.pattern_things import Kind, Things
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web.order_drawing import OrderSheet, in_order, order_of

KIND = Kind(1, "milling", False, "boards", "hands-on", "any", False, Rule(10, 20))
REST = Kind(2, "rest", False, "days", "none", "any", False, Rule(0, 60))
THINGS = Things({1: KIND, 2: REST}, {}, {}, {}, {}, {}, {}, Limits(1))


def drawn(*needs: tuple[int, ...], kind: int = 1) -> OrderSheet | None:
    stages = [
        PatternStage(kind, f"stage {n}", needs=tuple(PatternNeed(b) for b in before))
        for n, before in enumerate(needs, 1)
    ]
    return order_of(stages, THINGS)


def any_graph() -> st.SearchStrategy[list[set[int]]]:
    size = st.integers(1, 14)
    return size.flatmap(lambda n: st.lists(st.sets(st.integers(1, n), max_size=3), min_size=n, max_size=n))


@given(any_graph())
def test_what_is_drawn_can_be_done_in_that_order(needs: list[set[int]]) -> None:
    graph = {n: sorted(before) for n, before in enumerate(needs, 1)}
    sheet = drawn(*(tuple(before) for before in graph.values()))
    try:
        TopologicalSorter(graph).prepare()
    except CycleError:
        assert sheet is None
        return
    assert sheet is not None
    spots = {d.number: d.segment for d in sheet.drawn}
    assert sorted(spots) == sorted(graph)
    for stage, before in graph.items():
        assert all(spots[b].to_x <= spots[stage].x + 0.05 for b in before)
    across = sorted(spots, key=lambda n: (spots[n].x, spots[n].to_x))
    done: set[int] = set()
    for stage in across:
        assert set(graph[stage]) <= done
        done.add(stage)


@given(any_graph())
def test_every_need_is_drawn(needs: list[set[int]]) -> None:
    """End to end on one lane, by a splice, or by a tie: as many as there are needs, none of them twice."""
    sheet = drawn(*(tuple(before) for before in needs))
    if sheet is None:
        return
    spots = {d.number: d.segment for d in sheet.drawn}
    ties = {(t.x, t.to_x) for t in sheet.ties}
    for stage, before in enumerate(needs, 1):
        for other in before:
            at, to = spots[other], spots[stage]
            meets = abs(at.to_x - to.x) < 0.05
            assert (at.to_x, to.x) in ties or (meets and (at.lane == to.lane or sheet.splices))


def test_a_ring_has_no_drawing_and_neither_has_nothing() -> None:
    assert drawn((2,), (1,)) is None
    assert drawn() is None
    assert in_order({1: [2], 2: [1], 3: [], 4: [3, 1]}) == [3]


def test_a_table_has_its_legs_spliced_on_and_both_tied_to_the_stock() -> None:
    """Stock 1, top 2–3, legs 4, put together 5: the legs' lane begins with a tie and ends in a splice."""
    sheet = drawn((), (1,), (2,), (1,), (3, 4))
    assert sheet is not None
    assert (len(sheet.splices), len(sheet.ties)) == (1, 1)
    assert {d.number for d in sheet.drawn if d.segment.lane == 1} == {4}
    assert sheet.ties[0].x == next(d.segment.to_x for d in sheet.drawn if d.number == 1)
    assert sheet.words.endswith("5 stage 5 after 3, 4")


def test_a_glue_up_is_hatched_and_a_rest_is_dashed() -> None:
    glue = PatternStage(1, "glue up", clamps=(ClampNeed(1, 2),))
    sheet = order_of([glue, PatternStage(2, "rest"), PatternStage(1, "mill")], THINGS)
    assert sheet is not None
    assert [d.face for d in sheet.drawn] == ["held", "set", "paper"]


def test_a_name_is_lettered_where_there_is_room() -> None:
    sheet = order_of([PatternStage(1, "mill"), PatternStage(1, "a name so long " * 12)], THINGS)
    assert sheet is not None
    assert [(d.named, d.named_wide) for d in sheet.drawn] == [(True, True), (False, False)]
