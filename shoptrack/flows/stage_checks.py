"""A stage of a job as it is to be, and as it was → why this shop can't do it, with the field it is of."""

from collections.abc import Mapping

from shoptrack.engine.feasible import Problem
from shoptrack.errors import BadInput
from shoptrack.flows.pattern_checks import check
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.pattern_things import Things
from shoptrack.store.patterns import PatternNeed, PatternStage

FIELDS = {"measure": "quantity", "needs": "after", "wait": "after"}
"""Where the form of a job's stage calls what is amiss otherwise than a pattern's."""


def refuse_impossible(
    said: StageSaid, was: StageSaid | None, others: Mapping[int, StageSaid], things: Things
) -> None:
    """Refuse what can't be done with what the shop has; what was so before is no reason to refuse the rest.

    Takes the stage as it is to be and as it was (None: new), the job's other stages by id, and what the shop
    has. Raises BadInput with the first reason.
    """
    known = {(p.about, p.sentence) for p in problems_of(was, others, things)} if was else set()
    for problem in problems_of(said, others, things):
        if (problem.about, problem.sentence) not in known:
            raise BadInput(problem.sentence, _field(problem, said))


def problems_of(said: StageSaid, others: Mapping[int, StageSaid], things: Things) -> tuple[Problem, ...]:
    """What can't be done of one stage, as flows.pattern_checks finds it of a pattern's. Empty: it can."""
    needed = [others[n.stage] for n in said.needs if n.stage in others]
    needs = [
        PatternNeed(place, n.by_rounds, n.least_wait_min, n.greatest_wait_min)
        for place, n in enumerate((n for n in said.needs if n.stage in others), 1)
    ]
    stages = [*(_planned(each, []) for each in needed), _planned(said, needs)]
    return tuple(p for p in check(stages, things) if p.place == len(stages))


def _planned(said: StageSaid, needs: list[PatternNeed]) -> PatternStage:
    """A job's stage as a pattern of one job would have it: its measure is fixed."""
    return PatternStage(
        said.kind_id,
        said.name,
        fixed=said.quantity,
        per_piece=0,
        rounds=said.rounds,
        people=said.people,
        station=said.station_id,
        room=said.room_id,
        recipe=said.recipe_id,
        joint=said.joint,
        width_mm=said.width_mm,
        length_mm=said.length_mm,
        needs=needs,
        clamps=said.clamps,
        tools=said.tools,
    )


def _field(problem: Problem, said: StageSaid) -> str:
    """The field of the form that a problem is of."""
    if problem.about == "clamps":
        return f"clamps-{said.clamps[problem.which].pool}"
    if problem.about == "tools":
        return f"cuts-{said.tools[problem.which][0]}"
    return FIELDS.get(problem.about, problem.about)
