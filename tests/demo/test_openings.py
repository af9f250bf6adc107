from shoptrack.demo.openings import OPENINGS, held_back
from shoptrack.demo.sequences import PATTERNS
from shoptrack.flows.shopfloor import gather
from tests.demo.conftest import TUESDAY, Make, wall


def test_every_stop_is_a_stage_of_its_pattern() -> None:
    for opening in OPENINGS:
        assert set(opening.stops) <= {step.name for step in PATTERNS[opening.pattern]}


def test_what_follows_a_stop_is_held_back_and_a_branch_beside_it_is_not(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    job = next(j.id for j in world.jobs.values() if j.title == "low stools, ash")
    stages = [s for s in world.stages.values() if s.job == job]
    held = {world.stages[s].name for s in held_back(stages, ("glue the bends",))}
    assert held == {"glue the bends", "fit the legs", "sand the stools", "oil the stools", "pack the stools"}


def test_promises_fall_on_days_the_shop_is_open(short: Make) -> None:
    world = gather(short(TUESDAY), wall(TUESDAY)).world
    promised = [j.promised_on for j in world.jobs.values() if j.closed_at is None]
    assert all(on is not None and on.weekday() < 5 for on in promised)
