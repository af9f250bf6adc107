"""Invented edges after some sharpenings → whether the ranges of the next life held, beside simple methods."""

from dataclasses import dataclass, field

import numpy as np

from shoptrack.engine.edge_life import USUAL, Beliefs, EdgeFit, learn
from shoptrack.engine.shapes.learned import Floats
from tests.bench.edges import methods
from tests.bench.edges.truths import OFF, TRUTHS, Invented, Truth, invent
from tests.bench.scores import at, crps, inside

SHARPENINGS = (0, 1, 2, 4, 8)
COMING = 8
METHODS = ("ours", "likeliest", "dull ones", "usual ± .3")
Key = tuple[str, int]


@dataclass(slots=True)
class Scores:
    """Of each truth and count of sharpenings: shares that held and scores, by method."""

    held: dict[tuple[str, int, str], list[float]] = field(default_factory=dict)

    def add(self, truth: str, count: int, name: str, values: Floats) -> None:
        """Keep some outcomes of one kind."""
        self.held.setdefault((truth, count, name), []).extend(values.ravel().tolist())

    def mean(self, truths: list[str], counts: tuple[int, ...], name: str) -> float:
        """The mean over truths and counts."""
        found = [self.held.get((truth, count, name), []) for truth in truths for count in counts]
        return float(np.mean(np.concatenate([np.asarray(each) for each in found])))


def walk(edges: int, seed: int, beliefs: Beliefs = USUAL, off: float = OFF) -> Scores:
    """Invent so many edges of each truth and count, and score what is said of their next life."""
    scores = Scores()
    for place, truth in enumerate(TRUTHS):
        for count in SHARPENINGS:
            for number in range(edges):
                rng = np.random.default_rng((seed, place, count, number))
                _score(scores, truth, count, invent(truth, count, COMING, rng, off), beliefs, rng)
    return scores


def _score(
    scores: Scores, truth: Truth, count: int, edge: Invented, beliefs: Beliefs, rng: np.random.Generator
) -> None:
    fit = learn(edge.lives, edge.usual_h, beliefs)
    came, unit = edge.coming_h, float(np.median(edge.coming_h))
    said = {
        "ours": methods.ours(fit, rng),
        "likeliest": methods.likeliest(edge.lives, edge.usual_h),
        "dull ones": methods.found_mean(edge.lives, edge.usual_h),
        "usual ± .3": methods.fixed(edge.usual_h),
    }
    for name, quantiles in said.items():
        each = np.broadcast_to(quantiles, (len(came), len(quantiles)))
        scores.add(truth.name, count, f"crps {name}", crps(each, came) / unit)
        scores.add(truth.name, count, f"80 {name}", inside(each, came, 0.8))
        scores.add(truth.name, count, f"under p10 {name}", (came < at(each, 0.1)).astype(float))
    _score_use(scores, truth.name, count, fit, came, rng)


def _score_use(
    scores: Scores, truth: str, count: int, fit: EdgeFit, came: Floats, rng: np.random.Generator
) -> None:
    """What is left at a chance age, of edges that reach it; and how many are dull when told as soon due."""
    age_h = fit.life_h().p50_h * float(rng.uniform(0.3, 1.1))
    low, high = fit.left_quantiles(age_h, [0.1, 0.9])
    left = came[came > age_h] - age_h
    scores.add(truth, count, "left", ((low <= left) & (left <= high)).astype(float))
    scores.add(truth, count, "dull when soon due", (came <= fit.soon_at_h()).astype(float))


def table(scores: Scores) -> list[str]:
    """A line for each truth and count, for each truth, each count and all."""
    names = [truth.name for truth in TRUTHS]
    heads = [f"{name:>11}" for name in METHODS]
    lines = [
        f"{'':16}{'':>5}   in the 80 % range{'':28}CRPS: ours ÷",
        f"{'':16}{'lives':>5}{''.join(heads)}{''.join(heads[1:])}{'left':>8}{'dull at soon':>14}",
    ]
    rows = [(name, [name], (count,)) for name in names for count in SHARPENINGS]
    rows += [(name, [name], SHARPENINGS) for name in names]
    rows += [("all", names, (count,)) for count in SHARPENINGS] + [("all", names, SHARPENINGS)]
    return lines + [_line(scores, *row) for row in rows]


def _line(scores: Scores, name: str, truths: list[str], counts: tuple[int, ...]) -> str:
    held = "".join(f"{scores.mean(truths, counts, f'80 {method}'):11.0%}" for method in METHODS)
    own = scores.mean(truths, counts, "crps ours")
    ratio = "".join(f"{own / scores.mean(truths, counts, f'crps {m}'):11.2f}" for m in METHODS[1:])
    said = "any" if len(counts) > 1 else str(counts[0])
    left = scores.mean(truths, counts, "left")
    return (
        f"{name:16}{said:>5}{held}{ratio}{left:8.0%}{scores.mean(truths, counts, 'dull when soon due'):14.0%}"
    )
