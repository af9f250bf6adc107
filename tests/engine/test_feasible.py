"""What can't be done is refused with its reason; what can be done is not."""

from collections.abc import Mapping
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.feasible import Asked, Bounds, Limits, Owned, lacking, problems, ring
from shoptrack.engine.shapes import ClampNeed, Need

POOLS = {1: Owned("12s", 300, 4), 2: Owned("24s", 600, 6), 3: Owned("36s", 900, 2)}
PLANER = Bounds("planer", greatest_width_mm=400, least_length_mm=300)
ROUTER = Bounds("router", bed_length_mm=1200, bed_width_mm=800)
LIMITS = Limits(2, {1: PLANER, 2: ROUTER}, POOLS, {(7, "plain edge"): 60.0, (7, None): 24 * 60.0}, "mm")


def graphs() -> st.SearchStrategy[Mapping[int, list[int]]]:
    """Up to nine stages, each with any of the others before it."""
    return st.integers(1, 9).flatmap(
        lambda size: st.fixed_dictionaries(
            {n: st.lists(st.integers(1, size), max_size=3, unique=True) for n in range(1, size + 1)}
        )
    )


def reaches_itself(needs: Mapping[int, list[int]]) -> bool:
    """Warshall's closure of "waits for" (1962, from memory): in a ring a stage reaches itself."""
    reach = {(n, before) for n, all_ in needs.items() for before in all_}
    for via, start, end in product(needs, needs, needs):
        if (start, via) in reach and (via, end) in reach:
            reach.add((start, end))
    return any((n, n) in reach for n in needs)


@given(graphs())
def test_a_ring_is_refused_and_only_a_ring(needs: Mapping[int, list[int]]) -> None:
    needs = dict(sorted(needs.items()))  # of two rings one is told: the first that is come upon
    found = ring(needs)
    assert bool(found) == reaches_itself(needs)
    assert all(later in needs[waits] for waits, later in pairwise((*found, *found[:1])))
    stages = [Asked(f"s{n}", needs=tuple(Need(b) for b in needs[n])) for n in needs]
    told = problems(stages, Limits(1))
    assert {p.place for p in told} == set(found)
    assert all("wait for each other" in p.sentence for p in told)


def test_a_ring_is_named_from_one_stage_to_the_next() -> None:
    """Milling waits for gluing, gluing for milling: both are told, with both names."""
    stages = [Asked("mill", needs=(Need(2),)), Asked("glue", needs=(Need(1),)), Asked("sand")]
    first, second = problems(stages, Limits(1))
    assert (first.place, second.place, first.about) == (1, 2, "needs")
    assert first.sentence.count("“mill”") + first.sentence.count("“glue”") == 3


@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(POOLS)), st.integers(1, 8)), max_size=3, unique_by=lambda c: c[0]
    )
)
def test_clamps_are_enough_exactly_when_they_can_be_handed_out(clamps: list[tuple[int, int]]) -> None:
    """The judge hands out real clamps: the longest demand first, each from the shortest that will do."""
    left = {pool: owned.owned for pool, owned in POOLS.items()}
    enough = True
    for pool, count in sorted(clamps, key=lambda c: -POOLS[c[0]].reach_mm):
        for fit in sorted(POOLS, key=lambda p: POOLS[p].reach_mm):
            if POOLS[fit].reach_mm >= POOLS[pool].reach_mm:
                taken = min(count, left[fit])
                left[fit] -= taken
                count -= taken
        enough = enough and count == 0
    assert (lacking(clamps, POOLS) is None) == enough


def test_a_longer_clamp_stands_in_for_a_shorter_and_never_the_other_way() -> None:
    assert lacking([(1, 12)], POOLS) is None
    assert lacking([(1, 13)], POOLS) == (300, 13, 12)
    assert lacking([(3, 3)], POOLS) == (900, 3, 2)
    assert lacking([(1, 5), (2, 8)], POOLS) == (300, 13, 12)


@pytest.mark.parametrize(
    ("stage", "about", "sentence"),
    [
        (Asked("a", 0, 0), "measure", "how much"),
        (Asked("a", people=3), "people", "It wants 3 at once; 2 people work here"),
        (Asked("a", clamps=(ClampNeed(2, 9),)), "clamps", "9 clamps of 600 mm or longer; the shop has 8"),
        (Asked("a", per_piece=3, clamps=(ClampNeed(2, 3, True),)), "clamps", "9 clamps"),
        (Asked("a", rounds=True, clamps=(ClampNeed(3, 3, True),)), "clamps", "3 clamps of 900 mm"),
        (Asked("a", station=1, width_mm=400.5), "width", "takes 400 mm at most; this is 400.5 mm wide"),
        (Asked("a", station=1, length_mm=250), "length", "needs 300 mm at least; this is 250 mm long"),
        (Asked("a", station=2, width_mm=900, length_mm=1100), "length", "bed of the router, which is"),
    ],
)  # fmt: skip
def test_what_one_stage_asks_too_much_of(stage: Asked, about: str, sentence: str) -> None:
    (problem,) = problems([stage], LIMITS)
    assert (problem.place, problem.about) == (1, about)
    assert sentence in problem.sentence


@pytest.mark.parametrize(
    "stage",
    [
        Asked("a", people=2),
        Asked("a", clamps=(ClampNeed(2, 8), ClampNeed(1, 4))),
        Asked("a", per_piece=20, rounds=True, clamps=(ClampNeed(3, 2, True),)),
        Asked("a", station=1, width_mm=400, length_mm=300),
        Asked("a", station=2, width_mm=1200, length_mm=800),
        Asked("a", station=2, width_mm=700),
        Asked("a", station=99, width_mm=9000),
        Asked("a", 0.5, 0),
    ],
)
def test_what_just_fits_is_not_refused(stage: Asked) -> None:
    assert problems([stage], LIMITS) == ()


def before(need: Need, *, rounds: bool = False, joint: str | None = None) -> list[Asked]:
    glued = Asked("glue", rounds=rounds, recipe=7, joint=joint)  # type: ignore[arg-type] # None or a joint
    return [glued, Asked("plane", needs=(need,))]


@pytest.mark.parametrize(
    ("need", "about", "sentence"),
    [
        (Need(5), "needs", "stage 5, which is not there"),
        (Need(0), "needs", "stage 0, which is not there"),
        (Need(1, by_rounds=True), "needs", "“glue” is not done in rounds"),
        (Need(1, least_wait_min=2000, greatest_wait_min=1900), "wait", "shorter than the least"),
        (Need(1, greatest_wait_min=60), "wait", "“glue” can’t be worked on until 24 h after"),
    ],
)
def test_a_need_that_can_not_be_met(need: Need, about: str, sentence: str) -> None:
    (problem,) = problems(before(need), LIMITS)
    assert (problem.place, problem.about, problem.which) == (2, about, 0)
    assert sentence in problem.sentence


def test_a_need_that_can_be_met() -> None:
    assert problems(before(Need(1, greatest_wait_min=60), joint="plain edge"), LIMITS) == ()
    assert problems(before(Need(1, by_rounds=True), rounds=True), LIMITS) == ()
    assert problems(before(Need(1, least_wait_min=60, greatest_wait_min=24 * 60)), LIMITS) == ()


def test_no_stages_no_problem() -> None:
    assert problems([], LIMITS) == ()
    assert ring({}) == ()


def test_each_thing_wrong_is_told_by_place() -> None:
    stages = [Asked("a", 0, 0, people=4), Asked("b", needs=(Need(9), Need(1, by_rounds=True)))]
    assert [(p.place, p.which) for p in problems(stages, LIMITS)] == [(1, 0), (1, 0), (2, 0), (2, 1)]
