"""Patterns are revised, never overwritten, and can be done in some order."""

from itertools import pairwise
from typing import Any

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.db import Store
from shoptrack.store.edits import edit
from shoptrack.store.jobs import job_row
from shoptrack.store.patterns import (
    PatternNeed,
    PatternStage,
    list_patterns,
    make_pattern,
    newest_revision,
    pattern_row,
    refuse_cycle,
    refuse_name,
    retired_patterns,
    revise_pattern,
    revision_of,
)
from tests.store.making import NOW, furnish, order


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


def lines(revision: Any) -> list[int | None]:
    return [stage.line for stage in revision.stages]


def test_a_stage_keeps_its_line_and_a_new_one_gets_one_never_used(store: Store) -> None:
    """Three stages; the second is taken out, then put in again as a new one: it is not the second."""
    with store.writing() as session:
        made = furnish(session)
        (pattern,) = list_patterns(session)
        assert lines(pattern.revisions[0]) == [1, 2, 3]
        first, second, third = (PatternStage(made.kind, n, line=i) for i, n in enumerate("abc", 1))
        shorter = revise_pattern(session, pattern.id, stages=[third, first], now=NOW)
        assert lines(shorter) == [3, 1]
        again = [first, PatternStage(made.kind, "b"), third]
        assert lines(revise_pattern(session, pattern.id, stages=again, now=NOW)) == [1, 4, 3]
        assert lines(revise_pattern(session, pattern.id, stages=[second], now=NOW)) == [2]
        assert lines(revise_pattern(session, pattern.id, stages=[PatternStage(made.kind, "d")], now=NOW)) == [
            5
        ]


def test_one_line_twice_is_refused(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        twice = [PatternStage(made.kind, "a", line=1), PatternStage(made.kind, "b", line=1)]
        with pytest.raises(BadInput, match="same one"):
            revise_pattern(session, 1, stages=twice, now=NOW)


def test_a_job_takes_the_lines_along(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job_id, stages = order(session, made)
        assert [s.line for s in job_row(session, job_id).stages] == [1, 2, 3]
        assert len(stages) == 3


def test_a_running_job_keeps_the_revision_it_began_with(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job_id, _ = order(session, made)
        revise_pattern(session, 1, stages=[PatternStage(made.kind, "all of it")], now=NOW)
    with store.reading() as session:
        job = job_row(session, job_id)
        assert job.pattern_revision_id == made.revision
        assert [s.name for s in job.stages] == ["mill", "glue up", "sand"]


def test_a_name_is_taken_once(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        with pytest.raises(BadInput, match="“tray” already"):
            make_pattern(session, "tray", stages=[PatternStage(made.kind, "a")], now=NOW)
        refuse_name(session, "tray", besides=1)
        edit(session, pattern_row(session, 1), None, NOW, retired_at=NOW)
        assert (list_patterns(session), [p.name for p in retired_patterns(session)]) == ([], ["tray"])
        with pytest.raises(BadInput, match="can be brought back"):
            refuse_name(session, "tray")


def test_who_made_a_revision_is_kept(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        row = revise_pattern(session, 1, stages=[PatternStage(made.kind, "a")], now=NOW, who=made.ann)
        assert (row.person_id, revision_of(session, 1, 1).person_id) == (made.ann, None)
        for missing in (lambda: revision_of(session, 1, 9), lambda: pattern_row(session, 9)):
            with pytest.raises(NotFound):
                missing()
