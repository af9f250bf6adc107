"""The open jobs of the invented shop, worked day by day into the story that leads up to now."""

from datetime import date, timedelta

from shoptrack.demo.edge_story import QUIET_DAYS_AGO, the_day_before, two_days_before, while_quiet
from shoptrack.demo.openings import OPENINGS, LateCrew, take_orders
from shoptrack.demo.scene import Scene
from shoptrack.demo.story import SLOT_MIN, Story, midnight, setting
from shoptrack.demo.wear import Wear
from shoptrack.flows.shopfloor import gather

FIRST_DAYS_AGO = 14


def write_now(scene: Scene, wear: Wear) -> None:
    """Take the orders that are open now, work on them, and tell the last three days tap by tap."""
    stage = setting(scene)
    crew = LateCrew(scene, wear)
    story = Story(scene, {}, stage)
    _give_way(crew, story)
    while_quiet(wear, scene.work_day(stage.on, -QUIET_DAYS_AGO))
    jobs: dict[str, int] = {}
    for on in scene.work_days(scene.work_day(stage.on, -FIRST_DAYS_AGO), stage.on + timedelta(days=1)):
        taken = [o for o in OPENINGS if scene.work_day(stage.on, -o.days_ago) == on]
        jobs |= take_orders(scene, crew, taken, stage.on)
        story.jobs = jobs
        crew.day(on)
        _tell(story, crew, on)
        scene.tablet.send(scene.now if on == stage.on else midnight(scene, on + timedelta(days=1)))


def _give_way(crew: LateCrew, story: Story) -> None:
    """The story takes over at the end of each of its days; Wilda's begins on her last day before it."""
    scene, people = crew.scene, crew.scene.people
    for days in (0, 1, 2):
        on = story.before(days)
        for person in people.all:
            crew.until[on, person] = story.ago(SLOT_MIN, None if days == 0 else on)
    for days in range((story.stage.on - timer_on(story)).days + 1):
        on = timer_on(story) + timedelta(days=days)
        crew.until[on, people.wilda] = midnight(scene, on)


def timer_on(story: Story) -> date:
    """The part-timer's last day before the story's."""
    on = story.stage.on - timedelta(days=1)
    while not story.scene.day(story.scene.people.wilda, on):
        on -= timedelta(days=1)
    return on


def _tell(story: Story, crew: LateCrew, on: date) -> None:
    """What the story adds to a day."""
    if on == timer_on(story):
        story.timer(on)
    if on == story.before(2):
        story.two_days_before()
        two_days_before(crew.wear, story.ago(20, on))
    if on == story.before(1):
        story.the_day_before()
        the_day_before(crew.wear, story.ago(14, on))
    if on == story.stage.on:
        _clear_up(story, crew)
        story.opening()
        story.today()


def _clear_up(story: Story, crew: LateCrew) -> None:
    """Before the story's last hours every clamp that may come off is off, and what was asked is answered."""
    scene, at = story.scene, story.ago(SLOT_MIN)
    for due in crew.later:
        if due[0] < at:
            scene.tablet.tap(at, "unclamp", scene.people.idris, due[1])
    scene.tablet.send(at)
    timer = scene.stage(story.jobs["timer"], "sand the stools")
    for question in gather(scene.store, at).questions:
        if question.asks == "still-on" and timer not in question.stages:
            said = {"of": question.of, "asks": "still-on", "choice": "all"}
            scene.tablet.tap(at, "answer", question.person, **said)
