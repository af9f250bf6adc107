"""Invented shops job by job → whether totals of jobs held, and what a job's first half told of the rest."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from shoptrack.engine.durations import USUAL, Beliefs, fit_shop, predict
from shoptrack.engine.shapes.learned import Fit, Floats, Log, Prediction
from shoptrack.engine.totals import Part, draw_min, likeness, surprise
from tests.bench import worlds
from tests.bench.scores import crps, inside
from tests.bench.worlds import KINDS, WORLDS, Shop, Work, World

COLUMNS = (*range(KINDS), *range(4))
"""The kinds of a job's stages: the first six to ten of these."""
JOBS, FIRST = 30, 4
"""Jobs of each shop, and the first that is asked about."""
DRAWS = 400


@dataclass(frozen=True, slots=True)
class Asked:
    """One job as it was asked about; nothing but numbers that are scored.

    ``alone`` and ``alike``: whether the total lay in the 80 % range of sums drawn as if independent, and of
    sums drawn together; their CRPS by its minutes. ``blind`` and ``told``: how far the median of the later
    half's minutes was off without and with what the earlier half told, by those minutes. ``rest`` whether
    the later half lay in its 80 % range when told.
    """

    alone: float
    alike: float
    crps_alone: float
    crps_alike: float
    blind: float
    told: float
    rest: float
    rho: float


def walk_shops(
    shops: int, seed: int, beliefs: Beliefs = USUAL, chosen: Iterable[World] = WORLDS
) -> dict[str, list[Asked]]:
    """Every world's shops, job by job."""
    found: dict[str, list[Asked]] = {}
    for place, world in enumerate(chosen):
        found[world.name] = []
        for number in range(shops):
            rng = np.random.default_rng((seed, place, number, JOBS))
            found[world.name] += walk(worlds.invent(world, rng), beliefs, rng)
    return found


def walk(shop: Shop, beliefs: Beliefs, rng: np.random.Generator) -> list[Asked]:
    """Learn before every job from all that came before, foretell it, keep its surprises, go on."""
    work = worlds.jobs(shop, COLUMNS, JOBS, rng)
    honest = worlds.honest_min(shop, work, rng)[0]
    said = worlds.logged_min(shop, honest, rng)
    logs: dict[int, list[Log]] = {k: [] for k in range(KINDS)}
    surprises: list[list[float]] = []
    found = []
    for job, stages in enumerate(rng.integers(KINDS, len(COLUMNS) + 1, JOBS)):
        fits = fit_shop({k: (logs[k], shop.kinds[k].rule) for k in logs}, beliefs)
        foretold = [_foretell(fits, work, job, n) for n in range(stages)]
        own = [surprise(one, float(said[job, n])) for n, one in enumerate(foretold)]
        if job >= FIRST:
            found.append(_ask(foretold, own, honest[job, :stages], likeness(surprises), rng))
        surprises.append(own)
        for n in range(stages):
            logs[COLUMNS[n]].append(_log(work, float(said[job, n]), job, n))
    return found


def _foretell(fits: dict[int, Fit], work: Work, job: int, n: int) -> Prediction:
    pattern, repeats = worlds.repeated(work, job)
    return predict(fits[COLUMNS[n]], float(work.quantity[job, n]), pattern, repeats)


def _log(work: Work, minutes: float, job: int, n: int) -> Log:
    return Log(f"{job}.{n}", minutes, float(work.quantity[job, n]), *worlds.repeated(work, job))


def _ask(
    foretold: Sequence[Prediction], own: Sequence[float], came: Floats, rho: float, rng: np.random.Generator
) -> Asked:
    parts = [Part(one) for one in foretold]
    half = len(parts) // 2
    alone = np.sort(draw_min(parts, 0.0, rng, DRAWS).sum(axis=1))
    together = draw_min(parts, rho, rng, DRAWS)
    alike = np.sort(together.sum(axis=1))
    told = np.sort(draw_min(parts[half:], rho, rng, DRAWS, own[:half]).sum(axis=1))
    total, rest = came.sum(), came[half:].sum()
    return Asked(
        alone=float(inside(alone, total, 0.8)),
        alike=float(inside(alike, total, 0.8)),
        crps_alone=float(crps(alone, total) / total),
        crps_alike=float(crps(alike, total) / total),
        blind=abs(float(np.median(together[:, half:].sum(axis=1))) - rest) / rest,
        told=abs(float(np.median(told)) - rest) / rest,
        rest=float(inside(told, rest, 0.8)),
        rho=rho,
    )


def table(found: dict[str, list[Asked]]) -> list[str]:
    """The lines by world, and pooled."""
    whole = {**found, "all worlds": [one for jobs in found.values() for one in jobs]}
    lines = [
        f"Totals of jobs of {KINDS} to {len(COLUMNS)} stages, jobs {FIRST + 1} to {JOBS} of a shop: "
        "in the 80 % range, CRPS; and the later half",
        f"{'':18}{'jobs':>6}{'alone':>8}{'alike':>8}{'CRPS ÷':>9}{'told: error ÷':>15}{'in 80 %':>9}{'ρ':>6}",
    ]
    for name, jobs in whole.items():
        mean = _means(jobs)
        lines.append(
            f"{name:18}{len(jobs):6}{mean['alone']:8.1%}{mean['alike']:8.1%}"
            f"{mean['crps_alike'] / mean['crps_alone']:9.2f}{mean['told'] / mean['blind']:15.2f}"
            f"{mean['rest']:9.1%}{mean['rho']:6.2f}"
        )
    return lines


def _means(jobs: Sequence[Asked]) -> dict[str, float]:
    sums: dict[str, float] = defaultdict(float)
    for one in jobs:
        for name in Asked.__dataclass_fields__:
            sums[name] += getattr(one, name) / len(jobs)
    return sums
