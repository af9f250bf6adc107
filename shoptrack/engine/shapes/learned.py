"""What teaches how long a kind of stage takes, what was learned from it, and what is foretold."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shoptrack.engine.shapes.work import Rule

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Log:
    """One finished stage as it teaches: ``minutes`` for a ``quantity`` in the kind's measure, both above 0.

    ``repeats`` is how many earlier orders of its pattern had a stage of this kind. ``counts`` is what a
    person said of a time that looked wrong: it counts, or it is left out; None while nobody said anything.
    """

    key: str
    minutes: float
    quantity: float
    pattern: int | None = None
    repeats: int = 0
    counts: bool | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """What the logs of one kind of stage taught: the posterior of ln(minutes / rule of thumb).

    ``mean`` and ``spread`` (in units of the noise's variance) are of the coefficients: shift, power of the
    measure, repeats, then one for each pattern by its column in ``columns``. The noise's variance has the
    inverse gamma distribution (``a``, ``b``); ``noise`` is the shop's level that ``b`` began from.
    ``weights`` says of each log, oldest first, how far it is believed: 1 like any other, 0 left out.
    """

    rule: Rule
    q_ref: float
    mean: Floats
    spread: Floats
    a: float
    b: float
    noise: float
    pattern_sd: float
    columns: Mapping[int, int]
    logs: tuple[Log, ...]
    weights: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Prediction:
    """Minutes foretold: ln(minutes) ~ Student-t(``df``, ``loc``, ``scale``), and the logs that it rests on.

    ``set_aside`` of the ``logs`` are hardly believed. ``of_pattern`` of them are of the very pattern.
    """

    df: float
    loc: float
    scale: float
    logs: int = 0
    of_pattern: int = 0
    set_aside: int = 0

    @property
    def untested(self) -> bool:
        """Whether nothing of this pattern was logged yet: first builds run long."""
        return self.of_pattern == 0
