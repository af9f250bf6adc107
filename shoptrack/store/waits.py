"""Who waits for whom in a job: rows to needs, past the stages that were taken out, and no ring of them."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter

from shoptrack.engine.shapes import Need
from shoptrack.errors import BadInput
from shoptrack.store.tables import StageNeedRow, StageRow


def live_needs(
    own: Mapping[int, Need], live: Collection[int], of_removed: Callable[[int], tuple[Need, ...]]
) -> tuple[Need, ...]:
    """A stage's needs, each removed stage among them replaced by what that one waits for.

    Takes the needs by the stage needed, the stages that are still in the job, and the live needs of a removed
    one. Gives them in the order given, one for each stage. Empty: it waits for nothing.
    Method: what a stage says of another itself wins; an inherited need is by rounds only where both were, and
    keeps the waits that the removed stage had. The rows stay as they are, so a stage that is brought back is
    where it was.
    """
    found: dict[int, Need] = {s: need for s, need in own.items() if s in live}
    for need in own.values():
        if need.stage in live:
            continue
        for inherited in of_removed(need.stage):
            by_rounds = need.by_rounds and inherited.by_rounds
            found.setdefault(inherited.stage, replace(inherited, by_rounds=by_rounds))
    return tuple(found.values())


def waits_of(rows: Iterable[StageRow]) -> dict[int, tuple[Need, ...]]:
    """What each stage of a job really waits for: of a stage that was taken out, what that one waited for."""
    stages = list(rows)
    live = {row.id for row in stages if row.removed_at is None}
    own = {row.id: {n.needs_id: need_of(n) for n in row.needs} for row in stages}

    def waits(stage: int) -> tuple[Need, ...]:
        return live_needs(own[stage], live, waits)

    return {row.id: waits(row.id) for row in stages}


def before(waits: Mapping[int, tuple[Need, ...]], stages: Iterable[int]) -> set[int]:
    """These stages with all that come before them."""
    found, left = set[int](), list(stages)
    while left:
        stage = left.pop()
        if stage not in found:
            found.add(stage)
            left += [n.stage for n in waits.get(stage, ())]
    return found


def refuse_ring(rows: Sequence[StageRow], stage: int, needs: Iterable[Need]) -> None:
    """Raise BadInput, with the names, when a stage that needs these would wait for itself."""
    names = {row.id: row.name for row in rows}
    graph = {row.id: [n.needs_id for n in row.needs] for row in rows}
    graph[stage] = [n.stage for n in needs]
    if any(other not in names for other in graph[stage]):
        raise BadInput("It can only wait for stages of the same job.", "after")
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as problem:
        ring = ", which waits for ".join(f"“{names[s]}”" for s in reversed(problem.args[1]))
        raise BadInput(f"They would wait for each other: {ring}.", "after") from problem


def need_of(row: StageNeedRow) -> Need:
    """What a row says must be done before."""
    return Need(row.needs_id, row.by_rounds, row.least_wait_min, row.greatest_wait_min)


def need_row(stage: int, need: Need) -> StageNeedRow:
    """The row that says it of a stage."""
    return StageNeedRow(
        stage_id=stage,
        needs_id=need.stage,
        by_rounds=need.by_rounds,
        least_wait_min=need.least_wait_min,
        greatest_wait_min=need.greatest_wait_min,
    )
