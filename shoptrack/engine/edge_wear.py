"""What was learned of an edge, and what making it sharp costs → the cents an hour of work takes of it."""

from math import gamma

import numpy as np

from shoptrack.engine.edge_life import EdgeFit


def lasting_h(fit: EdgeFit) -> float:
    """The effective hours that one sharpening pays for, in the long run.

    Takes what was learned. Gives hours. Method: with a Weibull life of shape k and scale η an edge is made
    sharp once in η·Γ(1 + 1/k) hours, so an hour takes 1 / (η·Γ(1 + 1/k)) of a sharpening; that share is
    averaged over all lives that may be the true one. A plain mean of the lives would be longer, and an hour
    too cheap by as much as nobody knows yet. Source: the renewal theorem, from memory.
    """
    grown = np.array([gamma(1.0 + 1.0 / k) for k in fit.shapes.tolist()])
    return float(1.0 / (fit.weights / (fit.scales_h * grown[:, None])).sum())


def wear_cents_per_h(
    lasting: float, renew_cents: int, share: float = 1.0, wear: float = 1.0, people: int = 1
) -> float:
    """What an hour of a stage takes of an edge, in cents.

    Takes the effective hours that a sharpening pays for (``lasting_h``) and what it costs; the share of the
    stage's minutes in which it cuts, how hard the material is, and how many people share the hour of hands.
    """
    return renew_cents * share * wear / (lasting * max(1, people))
