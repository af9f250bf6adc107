"""A stage of a pattern in words, in the shop's own units."""

from dataclasses import replace

from shoptrack.engine.shapes import ClampNeed
from shoptrack.flows.patterns import pattern_view
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web.pattern_words import facts, measured, told
from shoptrack.web.render import Wall
from tests.joinery import NOW, Joinery


def test_the_inlay_is_told(joinery: Joinery) -> None:
    view = pattern_view(joinery.store, 1, None, NOW)
    inlay = told(view.stages, view.things, Wall())[3]
    assert (inlay.line, inlay.name) == ("4", "inlay")
    assert dict(inlay.facts) == {
        "kind": "inlay",
        "measure": "10 inlays for each piece, in rounds",
        "after": "carving the well",
        "room": "bench room",
        "glue": "bone white",
        "joint": "plain edge",
        "clamps": "1 × 600 mm for each piece",
    }


def test_waits_sizes_and_hands_are_told_in_the_shops_units(joinery: Joinery) -> None:
    things = pattern_view(joinery.store, 1, None, NOW).things
    stage = PatternStage(
        joinery.kinds["carving"], "carve", needs=(PatternNeed(1, True, 90, 24 * 60), PatternNeed(2)),
        people=2, width_mm=254, length_mm=508, hands_at_min=(10,), interruption="none", dusty=True,
        clamps=(ClampNeed(1, 2),), recipe=2, settings="bit: 1/4\n\nslow", caution="mask on",
    )  # fmt: skip
    said = dict(facts(stage, {1: "inlay", 2: "milling"}, things, Wall()))
    assert said["after"] == "inlay, as rounds are ready, at least 1 h 30 later, within 24 h; milling"
    assert said["work"] == '10" wide and 20" long'
    assert (said["hands"], said["hands at"], said["people"]) == (
        "somebody within earshot",
        "10 min",
        "2 at once",
    )
    assert (said["may stop"], said["dust"], said["finish"]) == (
        "not until it is done",
        "makes dust",
        "bench oil",
    )
    assert (said["settings"], said["caution"]) == ("bit: 1/4 · slow", "mask on")
    assert dict(facts(stage, {}, things, Wall(length_unit="mm")))["work"] == "254 mm wide and 508 mm long"


def test_a_measure_is_told(joinery: Joinery) -> None:
    things = pattern_view(joinery.store, 1, None, NOW).things
    coats = PatternStage(joinery.kinds["finishing"], "oil", fixed=1, per_piece=0)
    assert measured(coats, things) == "1 coat"
    assert measured(replace(coats, fixed=2, per_piece=0.5), things) == "2 coats and 0.5 coats for each piece"
    assert measured(replace(coats, kind=99, fixed=0), things) == ""
