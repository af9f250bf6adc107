"""A plan that is worked otherwise than planned → whether the days on which edges were told as due held."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from shoptrack.engine.edge_due import After, Due, Use, due, send_by
from shoptrack.engine.edge_life import Life, learn

PLANNED, LOOKED = 30, 150
"""Working days that the plan goes on for, and that are looked at in all."""
SHARES = ("p10", "p20", "p50")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stage of the plan: its job, working days, hours that it takes of the edge, and place in the order."""

    job: int
    days: float
    edge_h: float
    turn: float


@dataclass(frozen=True, slots=True)
class Slip:
    """How the work goes otherwise: ln-sds of the times of a job and a stage, how much longer all takes, jobs
    put in a week, how far stages trade places, and the share of days on which nobody is there.
    """

    name: str
    job_sd: float = 0.0
    stage_sd: float = 0.0
    longer: float = 1.0
    put_in: float = 0.0
    trade: float = 0.0
    away: float = 0.0


SLIPS = (
    Slip("as planned"),
    Slip("times differ", job_sd=0.25, stage_sd=0.35),
    Slip("all takes longer", job_sd=0.25, stage_sd=0.35, longer=1.3),
    Slip("jobs put in", job_sd=0.25, stage_sd=0.35, put_in=1.0),
    Slip("another order", job_sd=0.25, stage_sd=0.35, trade=6.0),
    Slip("all of it", job_sd=0.25, stage_sd=0.35, longer=1.15, put_in=0.7, trade=4.0, away=0.05),
)


@dataclass(slots=True)
class Outcome:
    """Of one edge: where the day it was dull lay; of each share whether it was back, and days too early."""

    inside: bool
    before: bool
    after: bool
    back: dict[str, bool]
    early_days: dict[str, int]


def pieces(rng: np.random.Generator, first_job: int, jobs: int, turn: float) -> list[Piece]:
    """Jobs of two to six stages, of which two in five use the edge."""
    found: list[Piece] = []
    for job in range(first_job, first_job + jobs):
        for _ in range(int(rng.integers(2, 7))):
            edge_h = float(rng.uniform(0.5, 5.0)) if rng.random() < 0.4 else 0.0
            found.append(Piece(job, float(rng.uniform(0.2, 1.2)), edge_h, turn + len(found)))
    return found


def laid(work: Sequence[Piece], open_on: Sequence[int]) -> list[Use]:
    """The stages one after the other, each spread evenly over the days that it lies on."""
    uses: list[Use] = []
    at = 0.0
    for piece in sorted(work, key=lambda each: each.turn):
        end = at + piece.days
        for n in range(int(at), min(int(np.ceil(end)), len(open_on))):
            share = (min(end, n + 1) - max(at, n)) / piece.days
            uses.append(Use(open_on[n], piece.job, share * piece.edge_h))
        at = end
    return [use for use in uses if use.effective_h > 0.0]


def worked(work: Sequence[Piece], slip: Slip, rng: np.random.Generator) -> list[Piece]:
    """The same stages as they truly come."""
    of_job = np.exp(slip.job_sd * rng.standard_normal(10_000)) * slip.longer
    put_in = [
        replace(piece, turn=float(turn))
        for turn in rng.uniform(0, len(work), rng.poisson(slip.put_in * LOOKED / 5))
        for piece in pieces(rng, int(rng.integers(5000, 9999)), 1, 0.0)[:3]
    ]
    found = []
    for piece in [*work, *put_in]:
        of_stage = float(of_job[piece.job] * np.exp(slip.stage_sd * rng.standard_normal()))
        cuts = float(of_job[piece.job] * np.exp(0.3 * rng.standard_normal()))
        turn = piece.turn + slip.trade * float(rng.standard_normal())
        found.append(Piece(piece.job, piece.days * of_stage, piece.edge_h * cuts, turn))
    return found


def tried(slip: Slip, lives: int, rng: np.random.Generator) -> Outcome | None:
    """One edge of some age, foretold and worked; None: it was dull before the age or not within all days."""
    shape, median_h = float(rng.uniform(1.8, 5.0)), float(rng.uniform(12.0, 40.0))
    whole_h = median_h * (rng.exponential(size=lives + 1) / np.log(2.0)) ** (1.0 / shape)
    age_h = median_h * float(rng.uniform(0.0, 1.1))
    if whole_h[-1] <= age_h:
        return None
    usual_h = median_h * 2.0 ** float(rng.uniform(-1.0, 1.0))
    fit = learn([Life(float(h), True) for h in whole_h[:-1]], usual_h)
    open_on = [day for day in range(LOOKED * 2) if day % 7 < 5][:LOOKED]
    work = pieces(rng, 0, LOOKED, 0.0)
    planned = [use for use in laid(work, open_on) if use.on < open_on[PLANNED]]
    rate = sum(use.effective_h for use in planned) / PLANNED
    told = due(fit, age_h, planned, rng, After(rate, open_on[PLANNED:]))
    there = [day for day in open_on if rng.random() >= slip.away]
    came = _dull_on(laid(worked(work, slip, rng), there), float(whole_h[-1] - age_h))
    return None if came is None else _judged(told, came, open_on, int(rng.integers(2, 9)))


def _dull_on(uses: Sequence[Use], left_h: float) -> int | None:
    run = np.cumsum([use.effective_h for use in uses])
    return None if run[-1] < left_h else uses[int(np.argmax(run >= left_h))].on


def _judged(told: Due, came: int, open_on: Sequence[int], away_days: int) -> Outcome:
    low = open_on[-1] if told.p10_on is None else told.p10_on
    high = open_on[-1] if told.p90_on is None else told.p90_on
    outcome = Outcome(low <= came <= high, came < low, came > high, {}, {})
    for share, on in zip(SHARES, (told.p10_on, told.p20_on, told.p50_on), strict=True):
        sent = send_by(on, away_days, open_on)
        if sent is not None and not sent.late:
            outcome.back[share] = sent.back_on <= came
            outcome.early_days[share] = max(sum(sent.back_on <= day < came for day in open_on), 0)
    return outcome


def table(edges: int, seed: int, counts: Sequence[int] = (0, 4, 24)) -> Iterator[str]:
    """A line for each way of slipping and count of lives that the edge was learned from."""
    heads = "".join(f"{f'back by {share}':>14}{'days early':>12}" for share in SHARES)
    yield f"{'':18}{'lives':>5}{'edges':>7}{'in P10–P90':>12}{'before':>8}{'after':>7}{heads}"
    for place, slip in enumerate(SLIPS):
        for lives in counts:
            rngs = (np.random.default_rng((seed, place, lives, n)) for n in range(edges))
            found = [each for each in (tried(slip, lives, rng) for rng in rngs) if each is not None]
            yield _line(slip.name, lives, found)


def _line(name: str, lives: int, found: Sequence[Outcome]) -> str:
    shares = [np.mean([getattr(each, part) for each in found]) for part in ("inside", "before", "after")]
    line = f"{name:18}{lives:>5}{len(found):>7}{shares[0]:12.0%}{shares[1]:8.0%}{shares[2]:7.0%}"
    for share in SHARES:
        back = [each.back[share] for each in found if share in each.back]
        early = [each.early_days[share] for each in found if share in each.early_days]
        line += f"{np.mean(back):14.0%}{np.mean(early):12.1f}"
    return line
