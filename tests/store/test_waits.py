"""Who really waits for whom when stages between were taken out."""

from shoptrack.engine.shapes import Need
from shoptrack.store.waits import before, live_needs

MILLING, GLUE, CARVING, INLAY = 1, 2, 3, 4


def of(own: dict[int, tuple[Need, ...]], live: set[int], stage: int) -> tuple[Need, ...]:
    return live_needs({n.stage: n for n in own.get(stage, ())}, live, lambda s: of(own, live, s))


def test_what_waited_for_a_stage_taken_out_inherits_its_waits() -> None:
    own = {GLUE: (Need(MILLING),), CARVING: (Need(GLUE, least_wait_min=60),), INLAY: (Need(CARVING),)}
    assert of(own, {MILLING, GLUE, INLAY}, INLAY) == (Need(GLUE, least_wait_min=60),)
    assert of(own, {MILLING, INLAY}, INLAY) == (Need(MILLING),), "through two of them"
    assert of(own, {INLAY}, INLAY) == ()
    assert of(own, {MILLING, GLUE, CARVING, INLAY}, INLAY) == (Need(CARVING),)


def test_by_rounds_only_where_both_were() -> None:
    by = Need(CARVING, by_rounds=True)
    assert of({CARVING: (Need(GLUE, by_rounds=True),), INLAY: (by,)}, {GLUE, INLAY}, INLAY)[0].by_rounds
    assert not of({CARVING: (Need(GLUE),), INLAY: (by,)}, {GLUE, INLAY}, INLAY)[0].by_rounds


def test_its_own_word_wins_over_what_it_inherits() -> None:
    own = {CARVING: (Need(GLUE, least_wait_min=60),), INLAY: (Need(CARVING), Need(GLUE, least_wait_min=5))}
    assert of(own, {GLUE, INLAY}, INLAY) == (Need(GLUE, least_wait_min=5),)


def test_all_that_comes_before() -> None:
    waits = {GLUE: (Need(MILLING),), CARVING: (Need(GLUE),), INLAY: (Need(CARVING),)}
    assert before(waits, [CARVING]) == {CARVING, GLUE, MILLING}
    assert before(waits, []) == set()
