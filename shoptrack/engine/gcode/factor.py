"""Logged minutes of a router beside those of its programs → by how much it is slower than they say."""

from collections.abc import Sequence
from math import exp, log, sqrt

from shoptrack.engine import student
from shoptrack.engine.shapes.programs import Factor

# Starting values, our own guess: a router that gets up to speed and down again takes a seventh longer, most
# are within a quarter of that, and two runs of one differ by a tenth.
_MIDDLE, _MIDDLE_SD = log(1.15), 0.25
_NOISE, _NOISE_RUNS = 0.10, 3.0


def factor(runs: Sequence[tuple[float, float]]) -> Factor:
    """What the minutes of a program are to be multiplied by on this router.

    Takes (logged machine minutes, minutes by the program) of its runs; those that are not above 0 teach
    nothing. Gives the quantiles of the next run's factor. Empty: the starting value.
    Method: y = ln(logged / program) ~ N(m, σ²), m ~ N(ln 1.15, σ²·.25²/.10²), σ² inverse gamma (3, 3·.10²):
    conjugate, so the next y is Student-t(2a, m, √(b/a · (1 + 1/k))).
    Source: conjugate normal model as in textbooks (from memory); the starting values are our own.
    """
    y = [log(logged / said) for logged, said in runs if logged > 0 and said > 0]
    n = len(y)
    prior = (_NOISE / _MIDDLE_SD) ** 2
    weight = prior + n
    mean = sum(y) / n if n else _MIDDLE
    middle = (prior * _MIDDLE + n * mean) / weight
    a = _NOISE_RUNS + n / 2
    off = sum((each - mean) ** 2 for each in y) + prior * n * (mean - _MIDDLE) ** 2 / weight
    b = _NOISE_RUNS * _NOISE**2 + off / 2
    scale = sqrt(b / a * (1 + 1 / weight))
    away = scale * float(student.quantile(0.9, 2 * a))
    return Factor(exp(middle - away), exp(middle), exp(middle + away), n)
