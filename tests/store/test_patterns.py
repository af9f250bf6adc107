"""Patterns are revised, never overwritten, and can be done in some order."""

from itertools import pairwise
from typing import Any

import pytest

from shoptrack.errors import BadInput
from shoptrack.store.db import Store
from shoptrack.store.patterns import (
    PatternNeed,
    PatternStage,
    list_patterns,
    make_pattern,
    newest_revision,
    refuse_cycle,
    revise_pattern,
)
from tests.store.making import NOW, furnish


def test_a_revision_leaves_the_earlier_as_it_was(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        (pattern,) = list_patterns(session)
        revise_pattern(
            session, pattern.id, stages=[PatternStage(made.kind, "all of it")], now=NOW, note="less"
        )
    with store.reading() as session:
        (pattern,) = list_patterns(session)
        first, second = pattern.revisions
        assert [stage.name for stage in first.stages] == ["mill", "glue up", "sand"]
        assert (second.number, second.note, [s.name for s in second.stages]) == (2, "less", ["all of it"])
        newest = newest_revision(session, pattern.id)
        assert newest is not None
        assert newest.id == second.id
        assert newest_revision(session, 99) is None


def test_a_stage_takes_from_its_kind_what_it_does_not_say(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        stages = [PatternStage(made.kind, "a"), PatternStage(made.kind, "b", attendance="none", dusty=True)]
        plain, own = make_pattern(session, "box", stages=stages, now=NOW).stages
    assert (plain.attendance, plain.interruption, plain.dusty) == ("hands-on", "any", False)
    assert (own.attendance, own.dusty) == ("none", True)


@pytest.mark.parametrize(
    ("needs", "sentence"),
    [
        ({}, "at least one stage"),
        ({1: [2]}, "Stage 1 waits for stage 2, which is not there"),
        ({1: [1]}, "wait for each other: stage 1 waits for stage 1"),
        ({1: [3], 2: [1], 3: [2]}, "wait for each other: stage"),
    ],
)
def test_stages_that_can_not_be_done_are_refused(needs: dict[int, list[int]], sentence: str) -> None:
    with pytest.raises(BadInput, match=sentence):
        refuse_cycle(needs)


def test_the_ring_is_told_in_the_order_of_waiting() -> None:
    needs = {1: [3], 2: [1], 3: [2]}
    with pytest.raises(BadInput) as problem:
        refuse_cycle(needs)
    ring = [int(word) for word in str(problem.value).rstrip(".").split() if word.isdigit()]
    assert all(later in needs[earlier] for earlier, later in pairwise(ring))


@pytest.mark.parametrize(
    "stage", [{"kind": 99, "name": "a"}, {"kind": 1, "name": "a", "needs": (PatternNeed(5),)}]
)
def test_a_kind_or_stage_that_is_not_there_is_refused(store: Store, stage: dict[str, Any]) -> None:
    with store.writing() as session:
        furnish(session)
        with pytest.raises(BadInput, match="not there"):
            make_pattern(session, "box", stages=[PatternStage(**stage)], now=NOW)
