"""Logged minutes of a kind of stage → what the next one takes, as a distribution that holds what it says."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, log
from statistics import median

import numpy as np

from shoptrack.engine import student
from shoptrack.engine.shapes import Rule
from shoptrack.engine.shapes.learned import Fit, Floats, Log, Prediction

METHOD = "1"
"""Raised with every change that would foretell something else from the same logs."""

LEAST_RULE_MIN = 1.0
SET_ASIDE_BELOW = 0.8
"""A log believed less than this is a question to ask, not a deletion."""


@dataclass(frozen=True, slots=True)
class Beliefs:
    """What is taken for granted before anything was logged; all on the scale of ln(minutes).

    ``noise`` is the first guess of how far two stages alike differ; the other ``_sd`` are of the shift from
    the rule of thumb, of the power of the measure, of what repeating does (about ``repeat_mean``), and of
    patterns among each other. Half of a log's weight is gone after ``half_life`` newer ones (None: never);
    from ``wild_from`` logs on times that look wrong lose theirs (None: never): of such, ``wild_share`` are
    expected, ``wild_sd`` off. The shop's level of noise stays within its bounds, and the first guess weighs
    ``level_weight`` logs against what was found.
    """

    noise: float = 0.35
    shift_sd: float = 0.45
    power_sd: float = 0.30
    repeat_sd: float = 0.10
    repeat_mean: float = -0.05
    pattern_sd: float = 0.25
    a: float = 3.0
    half_life: float | None = 60.0
    wild_from: int | None = 3
    wild_share: float = 0.05
    wild_sd: float = 1.2
    level_weight: float = 6.0
    least_noise: float = 0.08
    most_noise: float = 1.5


USUAL = Beliefs()


def fit(logs: Sequence[Log], rule: Rule, beliefs: Beliefs = USUAL) -> Fit:
    """Learn from the logs of one kind, oldest first.

    Takes the logs and the kind's rule of thumb (minutes). Gives the posterior. Empty: what was believed
    before. Method: y = ln(minutes / rule(q)) = shift + power · ln(q/q_ref) + g · ln(1 + repeats) + u_pattern
    + e, e ~ N(0, σ²); normal-inverse-gamma, conjugate, prior a = 3, b = a·noise²; σ² scales the priors of the
    coefficients too. A log's weight falls by half with every ``half_life`` newer ones; of times that look
    wrong the weight is their chance to be from the usual noise rather than from one of 1.2 in 20 (at most six
    rounds). A rule of no minutes at all is no guess: the logs' own median per unit stands in its place.
    Source: conjugate regression as in textbooks (from memory); the rest is our own.
    """
    if logs and rule.setup_min + rule.rate_min <= 0:
        rule = Rule(0.0, median(one.minutes / one.quantity for one in logs))
    columns = {p: n for n, p in enumerate(sorted({x.pattern for x in logs if x.pattern is not None}), 3)}
    q_ref = exp(sum(log(x.quantity) for x in logs) / len(logs)) if logs else 0.0
    bare = Fit(
        rule=rule,
        q_ref=q_ref,
        mean=_first_mean(columns, beliefs),
        spread=np.diag(_first_variance(columns, beliefs)),
        a=beliefs.a,
        b=beliefs.a * beliefs.noise**2,
        noise=beliefs.noise,
        pattern_sd=beliefs.pattern_sd,
        columns=columns,
        logs=tuple(logs),
        weights=(1.0,) * len(logs),
    )
    if not logs:
        return bare
    return _robust(bare, *_rows(bare), beliefs)


def fit_shop(
    kinds: Mapping[int, tuple[Sequence[Log], Rule]], beliefs: Beliefs = USUAL, rounds: int = 3
) -> dict[int, Fit]:
    """Learn from all kinds at once, so that they share one level of noise.

    Takes the logs and the rule of thumb by kind. Method: noise² ← (6·.35² + Σ squares left over) / (6 + Σ
    weights), between .08 and 1.5, and all kinds again; at most three rounds.
    """
    level = beliefs
    fits = {kind: fit(logs, rule, level) for kind, (logs, rule) in kinds.items()}
    for _ in range(rounds - 1):
        found = _noise(fits.values(), level, beliefs)
        if abs(found - level.noise) < 0.005:
            break
        level = replace(beliefs, noise=found)
        fits = {kind: fit(logs, rule, level) for kind, (logs, rule) in kinds.items()}
    return fits


def predict(learned: Fit, quantity: float, pattern: int | None = None, repeats: int = 0) -> Prediction:
    """The minutes of the next stage: its measure, its pattern, and how many orders of that came before.

    Method: ln T ~ t(2a, ln rule(q) + xᵀm, √(b/a · (1 + xᵀA⁻¹x + [pattern unseen]·(pattern sd / noise)²))).
    Work without a pattern differs like patterns among each other; as far as the logs are such work too that
    is in their noise already, so of it only the share of the logs that have a pattern is added.
    """
    row = _row(learned, quantity, pattern, repeats)
    own, set_aside, patterned = _rests_on(learned)
    strange = patterned if pattern is None else float(pattern not in learned.columns)
    unseen = strange * (learned.pattern_sd / learned.noise) ** 2
    return Prediction(
        df=2.0 * learned.a,
        loc=log(_rule_min(learned.rule, quantity)) + float(row @ learned.mean),
        scale=float(np.sqrt(learned.b / learned.a * (1.0 + row @ learned.spread @ row + unseen))),
        logs=len(learned.logs),
        of_pattern=0 if pattern is None else own[pattern],
        set_aside=set_aside,
    )


@lru_cache(maxsize=128)
def _rests_on(learned: Fit) -> tuple[Counter[int | None], int, float]:
    """How many logs of each pattern a fit has, how many of all are set aside, and the share with a pattern;
    counted once a fit.
    """
    aside = sum(1 for weight in learned.weights if weight < SET_ASIDE_BELOW)
    own = Counter(log_.pattern for log_ in learned.logs if log_.counts is not False)
    return own, aside, 1.0 - own[None] / own.total() if own else 1.0


def quantile_min(foretold: Prediction, share: float) -> float:
    """The minutes under which a share of such stages stay."""
    return exp(foretold.loc + foretold.scale * float(student.quantile(share, foretold.df)))


def chance_under(foretold: Prediction, minutes: float) -> float:
    """The chance that such a stage takes less than some minutes (above nought)."""
    return float(student.cdf((log(minutes) - foretold.loc) / foretold.scale, foretold.df))


def learned_rule(learned: Fit, pattern: int | None = None, repeats: int = 0) -> Rule:
    """The rule of thumb that the logs would give: touching the learned median at the usual measure.

    Method: the tangent of T(q) = rule(q)·e^shift·(q/q_ref)^power at q_ref; where its set-up or its rate would
    be negative, that is nought and the other carries all. Empty: the shop's own rule.
    """
    q = learned.q_ref
    if not learned.logs:
        return learned.rule
    now = exp(predict(learned, q, pattern, repeats).loc)
    slope = now * (learned.rule.rate_min / _rule_min(learned.rule, q) + float(learned.mean[1]) / q)
    by_rate = min(max(slope * q, 0.0), now)
    return Rule(setup_min=now - by_rate, rate_min=by_rate / q)


def _robust(bare: Fit, x: Floats, y: Floats, beliefs: Beliefs) -> Fit:
    """Fit, ask of each log whether it looks like the others, and fit again."""
    fades = _fading(len(y), beliefs.half_life)
    said = np.array([np.nan if log_.counts is None else float(log_.counts) for log_ in bare.logs])
    believed = np.where(np.isnan(said), 1.0, said)
    found = _posterior(bare, x, y, fades * believed, beliefs)
    if beliefs.wild_from is None or len(y) < beliefs.wild_from:
        return replace(found, weights=tuple(float(weight) for weight in believed))
    for _ in range(6):
        last = believed
        believed = np.where(np.isnan(said), _likeness(y - x @ found.mean, found.b / found.a, beliefs), said)
        found = _posterior(bare, x, y, fades * believed, beliefs)
        if np.max(np.abs(believed - last)) < 1e-3:
            break
    return replace(found, weights=tuple(float(weight) for weight in believed))


def _likeness(left: Floats, variance: float, beliefs: Beliefs) -> Floats:
    """Each log's chance to be an honest one, by how far it is off."""
    share, sd = beliefs.wild_share, beliefs.wild_sd
    usual = (1.0 - share) * np.exp(-(left**2) / (2.0 * variance)) / np.sqrt(variance)
    wild = share * np.exp(-(left**2) / (2.0 * sd**2)) / sd
    return np.asarray(usual / (usual + wild))


def _posterior(bare: Fit, x: Floats, y: Floats, weights: Floats, beliefs: Beliefs) -> Fit:
    """The conjugate update of the bare fit by weighted rows."""
    precision = np.diag(1.0 / _first_variance(bare.columns, beliefs))
    first = _first_mean(bare.columns, beliefs)
    whole = precision + (x.T * weights) @ x
    spread: Floats = np.asarray(np.linalg.inv(whole), dtype=np.float64)
    mean = spread @ (precision @ first + x.T @ (weights * y))
    # as squares, not as a difference of large sums: it can't come out below nought
    moved = mean - first
    left = float(weights @ (y - x @ mean) ** 2 + moved @ precision @ moved)
    return replace(
        bare, mean=mean, spread=spread, a=bare.a + float(weights.sum()) / 2.0, b=bare.b + left / 2.0
    )


def _noise(fits: Collection[Fit], level: Beliefs, first: Beliefs) -> float:
    """The shop's level of noise after a round of fits."""
    b0 = level.a * level.noise**2
    left = sum(max(2.0 * (f.b - b0), 0.0) for f in fits)
    weights = sum(2.0 * (f.a - level.a) for f in fits)
    square = (first.level_weight * first.noise**2 + left) / (first.level_weight + weights)
    return float(np.clip(np.sqrt(square), first.least_noise, first.most_noise))


def _rows(bare: Fit) -> tuple[Floats, Floats]:
    """The logs as rows of what they are explained by, and ln(minutes / rule of thumb); all at once."""
    logs = bare.logs
    quantity = np.array([log_.quantity for log_ in logs], dtype=float)
    x = np.zeros((len(logs), 3 + len(bare.columns)))
    x[:, 0] = 1.0
    x[:, 1] = np.log(quantity / bare.q_ref)
    x[:, 2] = np.log([1.0 + log_.repeats for log_ in logs])
    for n, log_ in enumerate(logs):
        if log_.pattern is not None:
            x[n, bare.columns[log_.pattern]] = 1.0
    rule = np.maximum(bare.rule.setup_min + bare.rule.rate_min * quantity, LEAST_RULE_MIN)
    return x, np.log(np.array([log_.minutes for log_ in logs], dtype=float) / rule)


def _row(learned: Fit, quantity: float, pattern: int | None, repeats: int) -> Floats:
    row = np.zeros(3 + len(learned.columns))
    row[0] = 1.0
    row[1] = log(quantity / learned.q_ref) if learned.q_ref else 0.0
    row[2] = log(1.0 + repeats)
    if pattern is not None and pattern in learned.columns:
        row[learned.columns[pattern]] = 1.0
    return row


def _first_mean(columns: Mapping[int, int], beliefs: Beliefs) -> Floats:
    mean = np.zeros(3 + len(columns))
    mean[2] = beliefs.repeat_mean
    return mean


def _first_variance(columns: Mapping[int, int], beliefs: Beliefs) -> Floats:
    """Prior variances of the coefficients in units of the noise's variance."""
    sds = [beliefs.shift_sd, beliefs.power_sd, beliefs.repeat_sd, *[beliefs.pattern_sd] * len(columns)]
    return (np.array(sds) / beliefs.noise) ** 2


def _fading(count: int, half_life: float | None) -> Floats:
    newer = np.arange(count - 1, -1, -1, dtype=float)
    return np.ones(count) if half_life is None else 0.5 ** (newer / half_life)


def _rule_min(rule: Rule, quantity: float) -> float:
    return max(rule.minutes(quantity), LEAST_RULE_MIN)
