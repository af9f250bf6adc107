"""A problem and an order of priority → plain lists by rank, people as bits: many futures run fast on them."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shoptrack.engine.dispatch.presence import Presence, presence_of
from shoptrack.engine.schedule.axis import Axis
from shoptrack.engine.shapes.planned import Problem, Task, Uses
from shoptrack.engine.shapes.promised import NEVER

NO_PAUSE, LUNCH_ONLY, ANY_PAUSE = 0, 1, 2
_PAUSES = {"none": NO_PAUSE, "lunch": LUNCH_ONLY, "any": ANY_PAUSE}


@dataclass(slots=True)
class Tables:
    """A problem by rank: what has a latest start or a greatest wait first, then as the priority says.

    ``task_at`` gives the task of a rank, ``rank_of`` the reverse; ``plain`` asks nothing but one pair of
    hands and resources. People are bits.
    """

    problem: Problem
    task_at: list[int]
    rank_of: list[int]
    expected: list[int]
    hands: list[int]
    crew: list[int]
    able: list[int]
    pause: list[int]
    watched: list[bool]
    uses: list[Uses]
    keeps: list[Uses]
    needs: list[Uses]
    off: list[int]
    earliest: list[int]
    latest: list[int]
    rooms: int
    room: list[int]
    dusty: list[bool]
    wet: list[int]
    shuts: list[bool]
    urgent: list[bool]
    plain: list[bool]
    order: list[int]
    waits: list[int]
    after: list[tuple[tuple[int, int], ...]]
    overlaps: list[tuple[tuple[int, int], ...]]
    windows: list[tuple[tuple[int, int], ...]]
    begun: list[int]
    presence: Presence
    redo_min: int

    def run(self, rank: int, people: int, start: int, work_min: int) -> tuple[int, int]:
        """When the hands and all of a task end that begins at a minute; ``NEVER`` beyond all hours.

        What may not pause, and has not ended by the break or the closing, goes on past it.
        """
        pause = self.pause[rank]
        if people:
            hands = hands_of(self, rank, work_min)
            hands_end = (
                start + hands if pause == NO_PAUSE else _on(self.presence.axis(people), start, hands, pause)
            )
        else:
            hands, hands_end = 0, start
        rest = work_min - hands
        if not rest or not self.watched[rank] or pause == NO_PAUSE:
            return hands_end, hands_end + rest
        return hands_end, _watched(self.presence.anybody, start, hands_end, rest, pause)

    def carried_on(self, rank: int, people: int, work_min: int) -> tuple[int, int]:
        """The same of what is in hand at minute 0: it goes on at every hour there is."""
        hands = hands_of(self, rank, work_min)
        hands_end = _carried(self.presence.axis(people), 0, hands) if people else 0
        rest = work_min - hands
        return hands_end, _carried(self.presence.anybody, hands_end, rest) if self.watched[
            rank
        ] else hands_end + rest


def hands_of(tables: Tables, rank: int, work_min: int) -> int:
    """The minutes that hold people, in proportion where a task takes longer or shorter than expected."""
    hands, expected = tables.hands[rank], tables.expected[rank]
    return work_min if hands == expected else min(work_min, (hands * work_min + expected // 2) // expected)


def _on(axis: Axis, start: int, work: int, pause: int) -> int:
    """When work with breaks ends: past the closing of its day where it may not have a night."""
    if pause == ANY_PAUSE:
        end = axis.end_of(start, work, "any")
        return NEVER if end is None else end
    end = axis.end_of(start, work, "lunch")
    if end is not None:
        return end
    at = axis.next(start)
    if at is None:
        return start + work
    n = bisect_right(axis.ends, at)
    while n + 1 < len(axis.ends) and axis.days[n + 1] == axis.days[n]:
        n += 1
    closing = axis.ends[n]
    return closing + work - axis.worked(start, closing)


def _watched(anybody: Axis, start: int, hands_end: int, rest: int, pause: int) -> int:
    """When a machine ends that runs while anybody is at work."""
    at = anybody.next(hands_end)
    if pause == ANY_PAUSE:
        return NEVER if at is None else _on(anybody, at, rest, pause)
    if at is None or anybody.day_at(at) != anybody.day_at(start):
        return hands_end + rest
    return _on(anybody, at, rest, pause)


def _carried(axis: Axis, minute: int, work: int) -> int:
    found = axis.earliest(minute, work, "any") if work else (minute, minute)
    return NEVER if found is None else found[1]


def tabulate(problem: Problem, priority: Sequence[int], redo_min: int) -> Tables:
    """Lay a problem out by rank.

    Takes tasks by their place in the problem, the first of ``priority`` first; those not named come last, by
    number. ``redo_min``: minutes more where a greatest wait was missed. Empty: empty lists.
    """
    task_at = ranked(problem, priority)
    rank_of = sorted(range(len(task_at)), key=task_at.__getitem__)
    tasks = [problem.tasks[n] for n in task_at]
    presence = presence_of(problem)
    bit_of = presence.bit_of
    shuts = [_shuts(problem, task) for task in tasks]
    after, overlaps = _followers(tasks, rank_of)
    rooms = _coated(tasks)
    return Tables(
        problem=problem,
        task_at=task_at,
        rank_of=rank_of,
        expected=[task.work for task in tasks],
        hands=[task.hands_min for task in tasks],
        crew=[task.crew if task.hands_min else 0 for task in tasks],
        able=[_mask(bit_of, task.able) for task in tasks],
        pause=[_PAUSES[task.pause] for task in tasks],
        watched=[task.watched for task in tasks],
        uses=[task.uses for task in tasks],
        keeps=[task.keeps for task in tasks],
        needs=[(*task.uses, *task.keeps) for task in tasks],
        off=[task.off for task in tasks],
        earliest=[task.earliest for task in tasks],
        latest=[NEVER if task.latest is None else task.latest for task in tasks],
        rooms=len(rooms),
        room=[rooms.get(task.room, -1) for task in tasks],
        dusty=[task.dusty for task in tasks],
        wet=[task.wet for task in tasks],
        shuts=shuts,
        urgent=[_urgent(task) for task in tasks],
        plain=[_plain(task, rooms) and not shut for task, shut in zip(tasks, shuts, strict=True)],
        order=[task.order for task in tasks],
        waits=[len(task.after) for task in tasks],
        after=after,
        overlaps=overlaps,
        windows=[_windows(task, rank_of) for task in tasks],
        begun=[-1 if task.begun is None else sum(bit_of[w] for w in set(task.begun)) for task in tasks],
        presence=presence,
        redo_min=redo_min,
    )


def ranked(problem: Problem, priority: Sequence[int]) -> list[int]:
    """The tasks as they are taken: first what has a latest start or a greatest wait; its time runs out."""
    named = dict.fromkeys(priority)
    every = [*named, *(n for n in range(len(problem.tasks)) if n not in named)]
    return sorted(every, key=lambda n: not _urgent(problem.tasks[n]))


def _shuts(problem: Problem, task: Task) -> bool:
    return any(problem.resources[n].closed for n, _ in (*task.uses, *task.keeps))


def _coated(tasks: Sequence[Task]) -> dict[int | None, int]:
    """The rooms in which something is coated, numbered."""
    coated = sorted({task.room for task in tasks if task.wet and task.room is not None})
    return {room: n for n, room in enumerate(coated)}


def _plain(task: Task, rooms: Mapping[int | None, int]) -> bool:
    return task.crew == 1 and task.hands_min > 0 and task.pause == "any" and task.room not in rooms


def _urgent(task: Task) -> bool:
    return task.latest is not None or any(after.greatest is not None for after in task.after)


def _mask(bit_of: dict[int, int], able: frozenset[int] | None) -> int:
    return sum(bit_of.values()) if able is None else sum(bit_of[w] for w in able)


def _followers(
    tasks: Sequence[Task], rank_of: Sequence[int]
) -> tuple[list[tuple[tuple[int, int], ...]], list[tuple[tuple[int, int], ...]]]:
    """Of each rank what comes after its end, and what may begin some minutes before it."""
    after: list[list[tuple[int, int]]] = [[] for _ in tasks]
    overlaps: list[list[tuple[int, int]]] = [[] for _ in tasks]
    for rank, task in enumerate(tasks):
        for one in task.after:
            (overlaps if one.least < 0 else after)[rank_of[one.task]].append((rank, one.least))
    return [tuple(each) for each in after], [tuple(each) for each in overlaps]


def _windows(task: Task, rank_of: Sequence[int]) -> tuple[tuple[int, int], ...]:
    return tuple((rank_of[a.task], a.greatest) for a in task.after if a.greatest is not None)
