"""A problem by rank and the minutes drawn → where everybody and everything stands before the first minute."""

from collections.abc import Sequence

from shoptrack.engine.dispatch.tables import Tables
from shoptrack.engine.shapes.promised import NEVER


class State:
    """One future at a minute.

    Of people's hands ``free`` are those that hold nothing and ``here`` those at work. ``ready`` are the ranks
    that lack hands alone, ``fresh`` those that nobody was asked for yet, ``alone`` those that need none;
    ``aside`` lie others, by the resource that they lack, the last until somebody comes; ``airless`` those
    that lack clean air, by room. ``kept_for`` are people kept for a task of several until ``kept_until``.
    """

    def __init__(
        self, tables: Tables, work_min: Sequence[int], known: Sequence[int] | None, given: int
    ) -> None:
        self.t, self.work, self.given = tables, work_min, given
        count, workers = len(work_min), len(tables.presence.worker_at)
        self.opens = tables.earliest[:]
        if known is not None:
            self.opens = [max(at, known[o]) for at, o in zip(self.opens, tables.order, strict=True)]
        self.missing = tables.waits[:]
        self.ends, self.begins, self.crew_of = [NEVER] * count, [NEVER] * count, [0] * count
        self.have = [resource.capacity for resource in tables.problem.resources]
        self.aside: list[list[int]] = [[] for _ in range(len(self.have) + 1)]
        self.free, self.here = (1 << workers) - 1, 0
        self.stays: list[int] = []
        self.days: list[int] = []
        self.held, self.doing = [0] * workers, [-1] * workers
        self.dust, self.wet, self.clear_at = [0] * tables.rooms, [0] * tables.rooms, [0] * tables.rooms
        self.airless: list[list[int]] = [[] for _ in range(tables.rooms)]
        self.hands_end: dict[int, int] = {}
        self.kept_for, self.kept_until = 0, NEVER
        self.ready: list[int] = []
        self.fresh: list[int] = []
        self.alone: list[int] = []
        self.stirred = True
        self.events: list[int] = []
        self.left = sum(1 for order in tables.order if order < given)

    def turn(self, edge: int) -> None:
        """Let people come and go."""
        self.stirred = True
        if edge >= 0:
            at = self.t.presence
            self.here, self.stays, self.days = at.present[edge], at.stays[edge], at.days[edge]
