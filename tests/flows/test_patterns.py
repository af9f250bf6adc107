"""A pattern is made, revised, copied and retired; nothing is overwritten, nobody's work is lost."""

from dataclasses import replace

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.patterns import (
    Impossible,
    Overtaken,
    Written,
    copy,
    make,
    pattern_lines,
    pattern_view,
    revise,
    set_retired,
)
from shoptrack.store.edits import history
from shoptrack.store.patterns import PatternNeed, PatternStage, pattern_row
from tests.joinery import NOW, PIET, UNA, Joinery

TRAY = 1


def tray(shop: Joinery) -> tuple[PatternStage, ...]:
    return pattern_view(shop.store, TRAY, None, NOW).stages


def written(shop: Joinery, **more: object) -> Written:
    """The tray with its milling changed."""
    mill, *others = tray(shop)
    return Written("tray", "as we do it now", (replace(mill, **more), *others), base=1)  # type: ignore[arg-type]


def test_a_revision_is_added_with_who_and_why(joinery: Joinery) -> None:
    assert revise(joinery.store, TRAY, written(joinery, per_piece=3.0), PIET, NOW) == 2
    view = pattern_view(joinery.store, TRAY, None, NOW)
    assert (view.newest, view.shown.who, view.shown.note, view.shown.made_at) == (
        2,
        "Piet",
        "as we do it now",
        NOW,
    )
    assert view.stages[0].per_piece == 3
    assert pattern_view(joinery.store, TRAY, 1, NOW).stages[0].per_piece == 2
    assert [r.number for r in view.revisions] == [2, 1]


def test_unchanged_it_is_no_new_revision(joinery: Joinery) -> None:
    """Nor is it with only the note typed, or what the kind of stage says anyway left for it to say."""
    asked = written(joinery, attendance=None, interruption=None, dusty=None)
    assert revise(joinery.store, TRAY, asked, UNA, NOW) == 1
    assert len(pattern_view(joinery.store, TRAY, None, NOW).revisions) == 1


def test_a_form_sent_twice_is_one_revision(joinery: Joinery) -> None:
    asked = written(joinery, per_piece=3.0)
    grown = replace(asked, stages=(*asked.stages, PatternStage(joinery.kinds["milling"], "lid")))
    assert [revise(joinery.store, TRAY, grown, UNA, NOW) for _ in range(2)] == [2, 2]


def test_the_second_of_two_is_told(joinery: Joinery) -> None:
    revise(joinery.store, TRAY, written(joinery, per_piece=3.0), PIET, NOW)
    with pytest.raises(Overtaken) as told:
        revise(joinery.store, TRAY, written(joinery, fixed=1.0), UNA, NOW)
    assert told.value.newest == 2
    assert revise(joinery.store, TRAY, replace(written(joinery, fixed=1.0), base=2), UNA, NOW) == 3


def test_the_name_is_changed_without_a_revision(joinery: Joinery) -> None:
    assert revise(joinery.store, TRAY, replace(written(joinery), name="tea tray"), UNA, NOW) == 1
    with joinery.store.reading() as session:
        assert pattern_row(session, TRAY).name == "tea tray"
        assert [line.field for line in history(session, "patterns", TRAY)] == ["made", "name"]
    with pytest.raises(BadInput, match="already"):
        revise(joinery.store, TRAY, replace(written(joinery), name="door"), UNA, NOW)


def test_what_can_not_be_done_is_not_saved(joinery: Joinery) -> None:
    with pytest.raises(Impossible) as told:
        revise(joinery.store, TRAY, written(joinery, people=9, fixed=0.0, per_piece=0.0), UNA, NOW)
    assert [p.about for p in told.value.problems] == ["measure", "people"]
    with pytest.raises(Impossible, match="wait for each other"):
        revise(joinery.store, TRAY, written(joinery, needs=(PatternNeed(2),)), UNA, NOW)
    with pytest.raises(BadInput, match="at least one stage"):
        make(joinery.store, Written("box", "", ()), UNA, NOW)
    assert len(pattern_view(joinery.store, TRAY, None, NOW).revisions) == 1


def test_a_new_pattern_sent_twice_is_one(joinery: Joinery) -> None:
    asked = Written("box", "", (PatternStage(joinery.kinds["milling"], "mill"),))
    made = [make(joinery.store, asked, UNA, NOW) for _ in range(2)]
    assert made[0] == made[1]
    other = replace(asked, stages=(PatternStage(joinery.kinds["milling"], "saw"),))
    with pytest.raises(BadInput, match="“box” already"):
        make(joinery.store, other, UNA, NOW)


def test_a_copy_is_a_pattern_of_its_own(joinery: Joinery) -> None:
    made = [copy(joinery.store, TRAY, "tea tray", PIET, NOW) for _ in range(2)]
    assert made[0] == made[1]
    view = pattern_view(joinery.store, made[0], None, NOW)
    assert [s.line for s in view.stages] == [1, 2, 3, 4, 5]
    assert view.shown.note == "copied from tray, revision 1"
    assert [replace(s, line=None) for s in view.stages] == [replace(s, line=None) for s in tray(joinery)]
    with pytest.raises(BadInput):
        copy(joinery.store, TRAY, "tray", PIET, NOW)


def test_retired_it_is_listed_last_and_comes_back(joinery: Joinery) -> None:
    for _ in range(2):
        set_retired(joinery.store, 2, True, UNA, NOW)
    lines, _ = pattern_lines(joinery.store, NOW)
    assert [(line.name, line.retired_at) for line in lines] == [("tray", None), ("door", NOW)]
    set_retired(joinery.store, 2, False, UNA, NOW)
    assert pattern_view(joinery.store, 2, None, NOW).retired_at is None
    with joinery.store.reading() as session:
        assert [line.field for line in history(session, "patterns", 2)] == [
            "made",
            "retired_at",
            "retired_at",
        ]


def test_what_is_not_there_is_not_found(joinery: Joinery) -> None:
    for pattern, number in ((99, None), (1, 7), (2**70, None)):
        with pytest.raises(NotFound):
            pattern_view(joinery.store, pattern, number, NOW)
