"""A stage to the fields of its form and back; what is wrong is said beside its field."""

from dataclasses import replace

import pytest

from shoptrack.engine.shapes import ClampNeed
from shoptrack.errors import BadInput
from shoptrack.flows.patterns import pattern_view
from shoptrack.store.patterns import PatternNeed, PatternStage
from shoptrack.web.pattern_fields import read_stage, typed_of, wait_field
from shoptrack.web.render import Wall
from tests.joinery import NOW, Joinery

WALL = Wall()
KEYS = {1: "1", 2: "2", 3: "n1"}
PLACES = {"1": 1, "2": 2, "n1": 3}


def whole(shop: Joinery) -> PatternStage:
    """A stage of which everything is said."""
    return PatternStage(
        kind=shop.kinds["carving"], name="carve the well", fixed=1, per_piece=1 / 3,
        needs=(PatternNeed(1, False, 90, 3 * 24 * 60), PatternNeed(3, True)), clamps=(ClampNeed(1, 4, True),),
        station=1, room=1, recipe=1, joint="wide face", rounds=True, attendance="none", interruption="lunch",
        dusty=True, people=2, hands_at_min=(10, 25.5), settings="bit: 1/4 down\nslow", caution="mask on",
        line=2, width_mm=111.0, length_mm=2000.0,
    )  # fmt: skip


def typed(shop: Joinery, **more: str) -> dict[str, str]:
    return {"kind": str(shop.kinds["milling"]), "per_piece": "2", **more}


def read(shop: Joinery, fields: dict[str, str], base: PatternStage | None = None) -> PatternStage:
    return read_stage(fields, PLACES, pattern_view(shop.store, 1, None, NOW).things, WALL, base)


def test_shown_and_sent_back_it_is_exactly_what_it_was(joinery: Joinery) -> None:
    """111 mm is shown as 4 3/8 inches, which are 111.125 mm; unchanged it stays 111 mm."""
    stage = whole(joinery)
    kind = pattern_view(joinery.store, 1, None, NOW).things.kinds[stage.kind]
    fields = typed_of(stage, KEYS, kind, WALL)
    assert (fields["width"], fields["need-0-least"], fields["need-0-most"]) == ("4 3/8", "1 h 30", "72 h")
    assert read(joinery, fields, stage) == stage
    assert read(joinery, {**fields, "width": "4 1/2"}, stage).width_mm == 114.3
    assert read(joinery, fields, None).line is None


def test_what_the_kind_says_is_left_to_it(joinery: Joinery) -> None:
    kind = pattern_view(joinery.store, 1, None, NOW).things.kinds[joinery.kinds["carving"]]
    stage = replace(whole(joinery), attendance="within earshot", dusty=False)
    fields = typed_of(stage, KEYS, kind, WALL)
    assert not {"attendance", "dusty"} & set(fields)
    assert fields["interruption"] == "lunch"


def test_little_needs_to_be_typed(joinery: Joinery) -> None:
    stage = read(joinery, typed(joinery))
    assert (stage.name, stage.per_piece, stage.fixed, stage.people) == ("milling", 2, 0, 1)
    assert (stage.attendance, stage.dusty) == (None, None)


def test_a_tool_cuts_all_the_time_unless_it_is_said(joinery: Joinery) -> None:
    stage = read(joinery, typed(joinery, **{"tool-0-tool": "3", "tool-2-tool": "1", "tool-2-share": "12,5"}))
    assert stage.tools == ((3, 1.0), (1, 0.125))


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"kind": ""}, "kind"),
        ({"kind": "99"}, "kind"),
        ({"per_piece": "many"}, "per_piece"),
        ({"fixed": "-1"}, "fixed"),
        ({"people": "0"}, "people"),
        ({"width": "wide"}, "width"),
        ({"hands_at": "10, soon"}, "hands_at"),
        ({"attendance": "asleep"}, "attendance"),
        ({"joint": "<script>"}, "joint"),
        ({"need-0-stage": "gone"}, "need-0-stage"),
        ({"need-1-least": "1 h"}, "need-1-stage"),
        ({"need-0-stage": "1", "need-0-most": "soon"}, "need-0-most"),
        ({"need-0-stage": "1", "need-1-stage": "1"}, "need-1-stage"),
        ({"clamp-0-count": "4"}, "clamp-0-pool"),
        ({"clamp-0-pool": "1"}, "clamp-0-count"),
        ({"clamp-0-pool": "1", "clamp-0-count": "1", "clamp-1-pool": "1", "clamp-1-count": "2"},
         "clamp-1-pool"),
        ({"tool-0-share": "40"}, "tool-0-tool"),
        ({"tool-0-tool": "1", "tool-0-share": "0"}, "tool-0-share"),
        ({"tool-0-tool": "1", "tool-0-share": "140"}, "tool-0-share"),
        ({"name": "x" * 201}, "name"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(joinery: Joinery, more: dict[str, str], field: str) -> None:
    with pytest.raises(BadInput) as wrong:
        read(joinery, typed(joinery, **more))
    assert wrong.value.field == field


def test_waits_are_written_as_they_are_read() -> None:
    assert [wait_field(m) for m in (None, 7.5, 45, 85, 24 * 60)] == [
        "",
        "7.5 min",
        "45 min",
        "1 h 25",
        "24 h",
    ]
