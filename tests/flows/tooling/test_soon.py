"""Which edges somebody is to see to: found dull, likely dull by now, or to leave within days."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.edge_life import LifeRange
from shoptrack.engine.shapes import Edge, EdgeKind, EdgeStands
from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.flows.tooling.due import DueOf, Dues, Gap
from shoptrack.flows.tooling.soon import CAUTION, NONE_SOON, edges_soon, to_send_tonight, without_edge
from tests.flows.tooling.sharp import Planer, planer
from tests.joinery import Joinery, at

WEDNESDAY = date(2026, 11, 25)
THURSDAY, FRIDAY, MONDAY = (date(2026, 11, day) for day in (26, 27, 30))
TUESDAY = date(2026, 12, 1)


def due(**said: object) -> DueOf:
    """An edge that is on its tool, hardly worn, with no day to leave."""
    plain = DueOf(
        tool=1,
        tool_name="planer knives",
        kind=EdgeKind(1, "knives", 12.0, away_days=2),
        stands=EdgeStands(Edge(1, 1, "set A"), "fitted", None, 1.0, 1.0),
        chance_dull=0.05,
        left_h=None,
        life_h=LifeRange(8.0, 12.0, 16.0),
        usual_h=12.0,
        dull_lives=0,
        cut_short=1,
    )
    return replace(plain, **said)  # type: ignore[arg-type]


def sight(joinery: Joinery, clock: str = "9:00") -> Sight:
    return gather(joinery.store, at(clock))


def shown(joinery: Joinery, *of: DueOf) -> Dues:
    found = sight(joinery)
    return Dues(found.head.database_id, 1, found.now, of)


@pytest.mark.parametrize(
    ("said", "soon"),
    [
        ({}, False),
        ({"chance_dull": 0.2}, True),
        ({"chance_dull": 0.19}, False),
        ({"chance_dull": 0.5, "stands": EdgeStands(Edge(1, 1, "set A"), "spare", None, 9.0, 9.0)}, False),
        ({"send_by_on": MONDAY}, True),
        ({"send_by_on": TUESDAY}, False),
        ({"send_by_on": date(2026, 12, 9), "send_late": True}, True),
        ({"send_by_on": THURSDAY, "gap": Gap(THURSDAY, MONDAY, covered=True)}, False),
        ({"send_by_on": THURSDAY, "gap": Gap(THURSDAY, MONDAY, covered=False)}, True),
    ],
)
def test_what_is_soon(joinery: Joinery, said: dict[str, object], soon: bool) -> None:
    """One in five dull; or to leave within three working days with nothing in its place."""
    found = edges_soon(sight(joinery), shown(joinery, due(**said)))
    assert bool(found.due) is soon
    assert bool(found) is soon


def test_what_goes_along_tonight(joinery: Joinery) -> None:
    """What must leave today or tomorrow, unless a spare is there."""
    edges = [
        due(send_by_on=WEDNESDAY),
        due(send_by_on=THURSDAY),
        due(send_by_on=FRIDAY),
        due(send_by_on=THURSDAY, gap=Gap(THURSDAY, MONDAY, covered=True)),
        due(),
    ]
    assert to_send_tonight(sight(joinery), shown(joinery, *edges)) == tuple(edges[:2])


@pytest.fixture
def knives(joinery: Joinery) -> Planer:
    return planer(joinery, spare=True)


def test_a_dull_edge_on_its_tool_is_said_at_once_whatever_was_foretold(knives: Planer) -> None:
    """With what may be put on; what was foretold of it is said no more."""
    knives.deed("found dull", at("8:30"))
    found = edges_soon(sight(knives.joinery), shown(knives.joinery, due(chance_dull=0.9)))
    (dull,) = found.dull
    assert (dull.tool, dull.name, dull.edge.edge.name, dull.rough_only) == (
        knives.tool,
        "planer knives",
        "set A",
        False,
    )
    assert dull.spare is not None
    assert dull.spare.edge.id == knives.spare
    assert found.due == ()


def test_one_for_roughing_only_is_said_as_such(knives: Planer) -> None:
    knives.deed("rough only", at("8:30"))
    (dull,) = edges_soon(sight(knives.joinery), shown(knives.joinery)).dull
    assert dull.rough_only


def test_off_its_tool_a_dull_edge_is_nobodys_danger(knives: Planer) -> None:
    knives.deed("found dull", at("8:30"))
    knives.deed("fitted", at("8:40"), edge=knives.spare)
    assert edges_soon(sight(knives.joinery), shown(knives.joinery)) == NONE_SOON


def test_of_some_tools_alone(knives: Planer) -> None:
    knives.deed("found dull", at("8:30"))
    other = due(tool=9, chance_dull=0.5, stands=EdgeStands(Edge(7, 9, "bit"), "fitted", None, 9.0, 9.0))
    found = edges_soon(sight(knives.joinery), shown(knives.joinery, other))
    assert [each.tool for each in found.of_tools([9]).due] == [9]
    assert not found.of_tools([9]).dull
    assert found.of_tools([knives.tool]).dull
    assert not found.of_tools([])


def test_a_stage_without_an_edge(knives: Planer) -> None:
    """The spare stands in; once it is dull as well, nothing is left to plane with."""
    job = knives.to_plane(4)
    stage = sight(knives.joinery).world.stages[job["planing"]]
    knives.deed("found dull", at("8:30"))
    assert without_edge(sight(knives.joinery), stage) == ()
    knives.deed("found dull", at("8:40"), edge=knives.spare)
    assert without_edge(sight(knives.joinery), stage) == ("planer knives",)
    assert without_edge(sight(knives.joinery), replace(stage, tools=())) == ()


def test_the_caution_is_said_in_these_words() -> None:
    assert (
        CAUTION == "An early warning only. A dull edge comes out of service at once, whatever the date says."
    )
