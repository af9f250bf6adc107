import random
from datetime import timedelta

from shoptrack.demo.works import real, wait
from shoptrack.engine.shapes import Stage, World
from shoptrack.flows.shopfloor import gather
from tests.demo.conftest import TUESDAY, Make, wall


def named(world: World, name: str) -> Stage:
    return next(s for s in world.stages.values() if s.name == name)


def test_what_a_stage_takes_scatters_about_its_rule(short: Make) -> None:
    """The same generator gives the same minutes; over many the middle is off as the kind is."""
    world, at = gather(short(TUESDAY), wall(TUESDAY)).world, wall(TUESDAY)
    stage = named(world, "inlay the lids")
    assert real(stage, "inlaid box", random.Random(3), at) == real(stage, "inlaid box", random.Random(3), at)
    rng = random.Random(3)
    minutes = sorted(real(stage, "inlaid box", rng, at).minutes_left for _ in range(201))
    assert 1.25 < minutes[100] / stage.rule_min(at) < 1.55
    assert minutes[0] < minutes[-1] / 2


def test_a_coat_lets_the_next_wait_as_its_recipe_says(short: Make) -> None:
    """Quick varnish: not before six hours at 20 °C, later in a cooler room."""
    world, at = gather(short(TUESDAY), wall(TUESDAY)).world, wall(TUESDAY)
    work = real(named(world, "varnish the boxes"), "inlaid box", random.Random(1), at)
    wait(work, world, at, 1)
    assert timedelta(hours=6) <= work.free_at - at < timedelta(hours=7)
    assert work.next_at == work.free_at


def test_clamps_come_back_before_the_panel_can_be_planed(short: Make) -> None:
    world, at = gather(short(TUESDAY), wall(TUESDAY)).world, wall(TUESDAY)
    work = real(named(world, "join the halves"), "dining table", random.Random(1), at)
    off_at = wait(work, world, at, 1)
    assert at < off_at < at + timedelta(hours=2) < work.next_at
