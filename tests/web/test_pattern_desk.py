"""The page of a draft: its list, its picture, and what is wrong beside each stage."""

from shoptrack.engine.feasible import Problem
from shoptrack.flows.patterns import pattern_view
from shoptrack.store.pattern_things import Thing
from shoptrack.web.pattern_desk import beside, lay_out, meanwhile_of, offered, read_stages, written
from shoptrack.web.pattern_draft import Draft, DraftStage, draft_of, turned
from shoptrack.web.render import Wall
from tests.joinery import NOW, Joinery

WALL = Wall()


def tray(shop: Joinery) -> Draft:
    view = pattern_view(shop.store, 1, None, NOW)
    return draft_of(view.name, 1, view.stages, view.things, WALL)


def test_every_stage_is_in_the_list_and_in_the_picture(joinery: Joinery) -> None:
    desk = lay_out(tray(joinery), pattern_view(joinery.store, 1, None, NOW).things, WALL)
    assert [row.name for row in desk.rows] == ["milling", "glue-up", "carving the well", "inlay", "oiling"]
    assert desk.rows[4].after == ("inlay",)
    assert desk.order is not None
    assert desk.opened is None


def test_a_stage_that_can_not_be_read_is_listed_as_far_as_it_can(joinery: Joinery) -> None:
    draft = turned(tray(joinery), "after-1")
    odd = DraftStage("n1", {"name": "odd", "people": "many", "need-0-stage": "1", "kind": "x"})
    draft = Draft("tray", "", 1, tuple(odd if s.key == "n1" else s for s in draft.stages))
    things = pattern_view(joinery.store, 1, None, NOW).things
    desk = lay_out(draft, things, WALL)
    assert (desk.rows[1].name, desk.rows[1].after) == ("odd", ("milling",))
    assert desk.order is not None
    stages, wrong = read_stages(draft, (), things, WALL)
    assert (len(stages), set(wrong)) == (5, {"n1"})
    assert lay_out(draft, things, WALL, wrong).draft.open == "n1"


def test_a_problem_is_said_beside_its_field(joinery: Joinery) -> None:
    found = beside([Problem(2, "wait", "too long", 1), Problem(2, "people", "too many")], tray(joinery))
    assert [(w.field, str(w)) for w in found["2"]] == [("need-1-most", "too long"), ("people", "too many")]


def test_a_stage_keeps_its_line_when_the_other_took_it_out(joinery: Joinery) -> None:
    things = pattern_view(joinery.store, 1, None, NOW).things
    stages, _ = read_stages(tray(joinery), (), things, WALL)
    assert [s.line for s in stages] == [1, 2, 3, 4, 5]
    assert written(tray(joinery), stages).base == 1


def test_what_was_saved_meanwhile_is_told_in_words(joinery: Joinery) -> None:
    view = pattern_view(joinery.store, 1, None, NOW)
    told = meanwhile_of(view, view, view.stages[:4], WALL)
    assert told.theirs.none
    assert told.ours.taken_out == ("oiling",)


def test_what_is_retired_is_offered_only_where_it_is_chosen() -> None:
    among = {1: Thing(1, "planer", False), 2: Thing(2, "old saw", True)}
    assert offered(among, "1") == [(1, "planer")]
    assert offered(among, "2") == [(1, "planer"), (2, "old saw (no longer used)")]
