"""What holds a job up that is nobody's work → when its stages may begin, what is not planned, and why."""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from shoptrack.engine.shapes import Aside, Awaited, Pin, Stage, Standing, World
from shoptrack.flows.planning.calendar import Timeline
from shoptrack.flows.shopfloor import Sight


@dataclass(frozen=True, slots=True)
class Untold:
    """What is not planned, in a sentence that says why; of which job, None: of all, and of which stage."""

    job: int | None
    stage: int | None
    sentence: str


@dataclass(frozen=True, slots=True)
class Window:
    """The minutes within which a stage is to begin, and the person who is to."""

    earliest: int = 0
    latest: int | None = None
    person: int | None = None


ANY_TIME = Window()


@dataclass(frozen=True, slots=True)
class Held:
    """What holds stages up: their windows, those that are not planned, and why."""

    windows: Mapping[int, Window]
    out: frozenset[int]
    untold: tuple[Untold, ...]


def begun(standing: Standing) -> bool:
    """Whether a stage was begun at all."""
    return standing.work.started_at is not None or bool(standing.work.rounds)


def in_hand(standing: Standing) -> bool:
    """Whether somebody or a machine is at a stage now."""
    return bool(standing.people) or standing.state == "running"


def held_up(
    sight: Sight,
    world: World,
    asides: Mapping[int, Aside],
    line: Timeline,
    open_ids: Iterable[int],
    edgeless: frozenset[int] = frozenset(),
) -> Held:
    """What holds the open stages up.

    Takes the stages, by id, that are still to be done, and the tools that nobody expects an edge for. Empty:
    nothing does. Method: what is put aside comes again when the shop opens on its day; what waits for
    something from outside when it opens on the day that is expected; a day that is past counts as today.
    Without a day a stage is not planned, nor what follows it, nor what follows a joint that is in doubt. What
    somebody has in hand is planned whatever it waits for.
    """
    hold = _Hold(sight, world, line)
    planned = set(open_ids)
    for stage in planned:
        if not in_hand(sight.standings[stage]):
            hold.put_aside(world.stages[stage], asides.get(stage))
            hold.no_edge(world.stages[stage], edgeless)
    for awaited in world.awaited:
        if awaited.came_on is None:
            hold.wait_for(awaited, planned)
    for stage in planned & world.pins.keys():
        if not begun(sight.standings[stage]):
            hold.pin(stage, world.pins[stage])
    hold.doubt(planned)
    return Held(hold.windows, frozenset(_with_followers(sight, planned, hold.out)), tuple(hold.untold))


class _Hold:
    """What is found, one reason after another."""

    def __init__(self, sight: Sight, world: World, line: Timeline) -> None:
        self.sight, self.world, self.line = sight, world, line
        self.windows: dict[int, Window] = {}
        self.out: set[int] = set()
        self.untold: list[Untold] = []
        self._said: set[tuple[int, str]] = set()

    def put_aside(self, stage: Stage, aside: Aside | None) -> None:
        """A stage that somebody put aside."""
        if aside is None:
            return
        if aside.look_again_on is not None:
            self._not_before(stage.id, aside.look_again_on)
            return
        self.out.add(stage.id)
        if aside.whole_job:
            self._say(stage.job, None, "The job is put aside and nobody said when to look at it again.")
        else:
            said = f"“{stage.name}” is put aside and nobody said when to look at it again."
            self._say(stage.job, stage.id, said)

    def no_edge(self, stage: Stage, edgeless: frozenset[int]) -> None:
        """A stage whose tool has no edge that may be used, and none is expected."""
        for tool in stage.tools:
            if tool in edgeless and tool in self.world.tools:
                self.out.add(stage.id)
                said = f"“{stage.name}” waits for an edge on the {self.world.tools[tool]}: "
                self._say(stage.job, stage.id, said + "sharpen or fit one, or say when it is back.")

    def wait_for(self, awaited: Awaited, planned: Iterable[int]) -> None:
        """Something that is to come from outside: what was begun already does not wait for it."""
        world, standings = self.world, self.sight.standings
        own = [s for s in planned if awaited.before == s or self._of_whole(awaited, s)]
        own = [s for s in own if not begun(standings[s])]
        if awaited.expected_on is not None:
            for stage in own:
                self._not_before(stage, awaited.expected_on)
        elif own:
            self.out.update(own)
            what = "The job" if awaited.before is None else f"“{world.stages[own[0]].name}”"
            self._say(
                awaited.job, awaited.before, f"{what} waits for “{awaited.what}”; nobody knows when it comes."
            )

    def _of_whole(self, awaited: Awaited, stage: int) -> bool:
        return awaited.before is None and self.world.stages[stage].job == awaited.job

    def pin(self, stage: int, pin: Pin) -> None:
        """A day and perhaps a person that somebody said; a day that is past says nothing."""
        closes = self.line.closes(pin.on)
        if closes <= 0:
            return
        window = self.windows.get(stage, ANY_TIME)
        earliest = max(window.earliest, self.line.opens(pin.on))
        person = self.world.people.get(pin.person) if pin.person is not None else None
        here = person.id if person is not None and not person.retired else None
        self.windows[stage] = Window(earliest, closes - 1, here)

    def doubt(self, planned: Container[int]) -> None:
        """Joints that somebody must judge: what follows them waits for that."""
        for standing in self.sight.standings.values():
            stage = self.world.stages.get(standing.stage)
            if standing.doubtful and stage is not None and self.world.jobs[stage.job].closed_at is None:
                after = (s.id for s in self.sight.followers.get(stage.id, ()) if s.id in planned)
                self.out.update(s for s in after if not begun(self.sight.standings[s]))
                said = f"“{stage.name}” may not hold: test the joint, and what follows it can be planned."
                self._say(stage.job, stage.id, said)

    def _not_before(self, stage: int, on: date) -> None:
        window = self.windows.get(stage, ANY_TIME)
        earliest = max(window.earliest, self.line.opens(on) if on > self.line.today else 0)
        self.windows[stage] = Window(earliest, window.latest, window.person)

    def _say(self, job: int, stage: int | None, sentence: str) -> None:
        if (job, sentence) not in self._said:
            self._said.add((job, sentence))
            self.untold.append(Untold(job, stage, sentence))


def _with_followers(sight: Sight, planned: Container[int], out: Iterable[int]) -> set[int]:
    """The same stages and all that are still to be done, wait for one of them and are in nobody's hands."""
    found, left = set(out), list(out)
    while left:
        for follower in sight.followers.get(left.pop(), ()):
            standing = sight.standings.get(follower.id)
            if standing is None or follower.id not in planned or follower.id in found or in_hand(standing):
                continue
            if not begun(standing) or any(n.by_rounds for n in follower.needs if n.stage in found):
                found.add(follower.id)
                left.append(follower.id)
    return found


def held_days(awaited: Iterable[Awaited], today: date) -> dict[int, int]:
    """By how many days the customer or others are later than the promise of a job counted on, where they are.

    Method: the day it came, or is expected, at least today, less the day it was agreed for; of several the
    latest. What has no agreed day moves no promise.
    """
    found: dict[int, int] = {}
    for each in awaited:
        if each.agreed_on is not None:
            comes = each.came_on or max(each.expected_on or today, today)
            found[each.job] = max(found.get(each.job, 0), (comes - each.agreed_on).days)
    return found
