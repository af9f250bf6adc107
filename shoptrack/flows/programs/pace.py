"""Logged runs of a router → by how much they exceed its programs, and what stages with programs will take."""

from collections.abc import Mapping, Sequence
from math import log

from sqlalchemy.orm import Session

from shoptrack.engine.gcode import factor
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.programs import Factor
from shoptrack.store import routers
from shoptrack.store.programs import open_stages
from shoptrack.store.routers import Ran

NEWEST_RUNS = 100
"""A router's factor rests on so many of its newest runs."""
_Z90 = 1.2815515655446004
"""Nine in ten of a normal distribution lie under so many spreads above its middle."""
_DF = 30.0  # near enough to normal on ln minutes; the factor's own range has the doubt in it


def factor_of(runs: Sequence[Ran]) -> Factor:
    """By how much a router's runs exceed what its programs say, learned from its newest runs.

    Method: a machine's minutes are counted from its start, hands setting up; so the kind's set-up by rule of
    thumb is taken off them first, and a run that took no longer than that says nothing. Empty: the
    starting value.
    """
    pairs = [(ran.machine_min - ran.setup_min, ran.program_min) for ran in runs[-NEWEST_RUNS:]]
    return factor([pair for pair in pairs if pair[0] > 0])


def foretold_runs(session: Session, setup_min: Mapping[int, float]) -> dict[int, Prediction]:
    """What the machine takes on each open stage that has programs, set-up and all, by its router's factor.

    Takes the set-up of each kind of stage. Of a program that was read for no router the factor is the
    starting value. Empty: no open stage has a program.
    """
    stages = open_stages(session)
    if not stages:
        return {}
    minutes, runs = routers.program_min_by_stage(session, stages), routers.runs_by_router(session)
    asked = {stage: minutes[stage] for stage in stages if minutes[stage][1] > 0}
    factors = {station: factor_of(runs.get(station or 0, ())) for station, _ in asked.values()}
    return {
        stage: _run(setup_min.get(stages[stage], 0.0), program_min, factors[station])
        for stage, (station, program_min) in asked.items()
    }


def _run(setup_min: float, program_min: float, own: Factor) -> Prediction:
    """Minutes of a run: its middle, and the spread of the factor over the part that is the program's."""
    p10, p50, p90 = (setup_min + program_min * share for share in (own.p10, own.p50, own.p90))
    return Prediction(_DF, log(p50), log(p90 / p10) / (2 * _Z90), own.runs)
