"""What this shop can't do of a job's stage is refused with its reason, beside the field it is said in."""

from dataclasses import replace

import pytest

from shoptrack.engine.feasible import Bounds, Limits, Owned
from shoptrack.engine.shapes import ClampNeed, Need, Rule
from shoptrack.errors import BadInput
from shoptrack.flows.stage_checks import problems_of, refuse_impossible
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.pattern_things import Kind, Thing, Things

KINDS = {1: Kind(1, "planing", False, "boards", "hands-on", "any", False, Rule(0, 0))}
THINGS = Things(
    kinds=KINDS,
    stations={1: Thing(1, "planer", False), 2: Thing(2, "old saw", True)},
    rooms={},
    recipes={5: Thing(5, "white glue", False)},
    pools={3: Thing(3, "600 mm", False)},
    tools={7: Thing(7, "spiral bit", False), 8: Thing(8, "worn bit", True)},
    materials={},
    limits=Limits(
        people=2,
        stations={1: Bounds("planer", greatest_width_mm=400, least_length_mm=150)},
        pools={3: Owned("600 mm", 600, 10)},
        gate_min={(5, None): 60},
        length_unit="mm",
    ),
)
PLANED = StageSaid(1, "planing", 4.0)
GLUED = StageSaid(1, "glue-up", 4.0, recipe_id=5)


@pytest.mark.parametrize(
    ("what", "field", "says"),
    [
        ({"people": 3}, "people", "It wants 3 at once; 2 people work here."),
        ({"clamps": (ClampNeed(3, 11),)}, "clamps-3", "It wants 11 clamps of 600 mm or longer"),
        ({"clamps": (ClampNeed(3, 3, True),)}, "clamps-3", "It wants 12 clamps of 600 mm or longer"),
        ({"station_id": 1, "width_mm": 500.0}, "width", "The planer takes 400 mm at most"),
        ({"station_id": 1, "length_mm": 100.0}, "length", "The planer needs 150 mm at least"),
        ({"station_id": 2}, "station", "The old saw is no longer in use"),
        ({"tools": ((7, 0.5), (8, 1.0))}, "cuts-8", "The worn bit is no longer in use"),
        ({"tools": ((9, 1.0),)}, "cuts-9", "What was chosen here is not there."),
        ({"needs": (Need(21, True),)}, "after", "“glue-up” is not done in rounds"),
        ({"needs": (Need(21, False, 0, 30),)}, "after", "“glue-up” can’t be worked on until 1 h after"),
    ],
)
def test_what_can_not_be(what: dict[str, object], field: str, says: str) -> None:
    said = replace(PLANED, **what)  # type: ignore[arg-type]
    with pytest.raises(BadInput) as wrong:
        refuse_impossible(said, None, {21: GLUED}, THINGS)
    assert (wrong.value.field, says in str(wrong.value)) == (field, True)
    refuse_impossible(replace(said, name="planing all"), said, {21: GLUED}, THINGS)  # it was so before


def test_what_can_be() -> None:
    """Ten clamps of ten, three for each of four that are glued one by one, a board as wide as the bed."""
    for what in (
        PLANED,
        replace(PLANED, clamps=(ClampNeed(3, 10),)),
        replace(PLANED, clamps=(ClampNeed(3, 3, True),), rounds=True),
        replace(PLANED, station_id=1, width_mm=400.0, length_mm=150.0),
        replace(PLANED, needs=(Need(21), Need(99))),
    ):
        assert problems_of(what, {21: GLUED}, THINGS) == ()
        refuse_impossible(what, None, {21: GLUED}, THINGS)
    with pytest.raises(BadInput):  # less of what is too much is still too much, and a new reason
        refuse_impossible(replace(PLANED, people=3), replace(PLANED, people=4), {}, THINGS)
