"""Stations, clamps and tools of the shop → what there is of each at a time, and how much a stage takes."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.edge_book import away
from shoptrack.engine.shapes import FAR, Pool, World, in_force
from shoptrack.engine.shapes.planned import Minutes, Resource, Uses
from shoptrack.flows.planning.calendar import Timeline
from shoptrack.flows.shopfloor import Sight

Away = Mapping[int, Sequence[tuple[datetime, datetime]]]
"""Tools that are away, by id, and from when to when."""


@dataclass(frozen=True, slots=True)
class Things:
    """All resources of a problem, and the places at which each station, reach of clamps and tool is there.

    A reach of clamps stands for all clamps of it or longer, since a longer one may stand in for a shorter:
    what is held of a reach is taken from it and from every shorter one. ``reaches`` are (mm, place), and
    ``owned`` how many there are of a pool by itself.
    """

    resources: tuple[Resource, ...]
    stations: Mapping[int, int]
    reaches: tuple[tuple[int, int], ...]
    tools: Mapping[int, int]
    pool_of: Mapping[int, int]
    pools: Mapping[int, Pool]
    owned: Mapping[int, int]

    def clamps(self, held: Iterable[tuple[int, int]]) -> Uses:
        """So many clamps of some pools, as they are taken from every reach."""
        taken: Counter[int] = Counter()
        for pool, count in held:
            if pool in self.pools and count > 0:
                reach_mm = self.pools[pool].reach_mm
                for mm, place in self.reaches:
                    if mm <= reach_mm:
                        taken[place] += count
        return tuple(taken.items())

    def enough(self, held: Iterable[tuple[int, int]]) -> bool:
        """Whether there are so many clamps at all."""
        return all(count <= self.resources[place].capacity for place, count in self.clamps(held))


def things_of(world: World, sight: Sight, line: Timeline, tools_away: Away) -> Things:
    """What the shop has. Clamps of which somebody counted fewer on the wall are not counted on.

    A tool that is away is closed until its edge is back; of one that nobody expects back nothing is planned.
    Empty: a shop without anything has no resources.
    """
    owned = _owned(world, sight)
    found: list[Resource] = []
    stations = {station: len(found) + n for n, station in enumerate(world.stations)}
    found += [Resource(s.name, max(1, s.places)) for s in world.stations.values()]
    first: dict[int, Pool] = {}
    for pool in world.pools.values():
        first.setdefault(pool.reach_mm, pool)
    reaches = tuple((mm, len(found) + n) for n, mm in enumerate(sorted(first)))
    found += [_of_reach(world, owned, mm, first[mm].name) for mm, _ in reaches]
    gone = {
        tool: _minutes(line, spans)
        for tool, spans in tools_away.items()
        if tool in world.tools and spans and tool not in edgeless(tools_away)
    }
    tools = {tool: len(found) + n for n, tool in enumerate(gone)}
    found += [Resource(world.tools[tool], len(world.stages), closed) for tool, closed in gone.items()]
    pool_of = {place: first[mm].id for mm, place in reaches}
    return Things(tuple(found), stations, reaches, tools, pool_of, world.pools, owned)


def edges_away(world: World, sight: Sight, line: Timeline) -> Away:
    """The tools of which no edge may be used now, from when to when; for ever where none is expected.

    Empty: every tool has an edge that is sharp, or none was ever written down.
    """
    out = {t for t, own in sight.edges.items() if own.edges and not any(edge.usable for edge in own.edges)}
    if not out:
        return {}
    edges = {id_: edge for id_, edge in world.edges.items() if edge.tool in out}
    deeds = [deed for deed in sight.replayed.deeds if deed.tool in out]
    return away(edges, deeds, sight.now, lambda on: line.instant(line.opens(on)))


def edgeless(tools_away: Away) -> frozenset[int]:
    """Those of them that nobody expects an edge for."""
    return frozenset(tool for tool, spans in tools_away.items() if any(end >= FAR for _, end in spans))


def _of_reach(world: World, owned: Mapping[int, int], mm: int, name: str) -> Resource:
    """All clamps of a reach or longer."""
    longer = [pool.id for pool in world.pools.values() if pool.reach_mm >= mm]
    reaches = {world.pools[pool].reach_mm for pool in longer}
    return Resource(f"{name} or longer" if len(reaches) > 1 else name, max(0, sum(owned[p] for p in longer)))


def _owned(world: World, sight: Sight) -> dict[int, int]:
    """Clamps of each pool, with what a count of the wall found more or less."""
    found = _miscounted(sight)
    return {pool.id: _in_force(pool, sight.now) + found.get(pool.id, 0) for pool in world.pools.values()}


def _in_force(pool: Pool, now: datetime) -> int:
    return in_force(pool.owned, now) if pool.owned else 0


def _miscounted(sight: Sight) -> dict[int, int]:
    """By how many a count of the wall differed from what is owned and held.

    Empty while some are lent to a shorter pool: the count can't be told from the loan.
    """
    owned = {pool.id: _in_force(pool, sight.now) for pool in sight.world.pools.values()}
    held: Counter[int] = Counter()
    for standing in sight.standings.values():
        for made, _ in standing.cures:
            held.update(dict(made.clamps))
    if any(held[pool] > owned[pool] for pool in owned):
        return {}
    free = sight.replayed.free_clamps
    return {pool: held[pool] + free[pool] - n for pool, n in owned.items() if pool in free}


def _minutes(line: Timeline, spans: Sequence[tuple[datetime, datetime]]) -> Minutes:
    """Stretches from now on, in order, joined where they touch."""
    joined: list[tuple[int, int]] = []
    for start, end in sorted((max(0, line.floor(a)), line.ceil(b)) for a, b in spans):
        if end <= start:
            continue
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)
