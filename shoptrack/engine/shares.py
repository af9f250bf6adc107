"""How often something held out of how many → the interval in which its true share lies."""

from math import sqrt
from statistics import NormalDist

LEVEL = 0.95


def share_between(held: int, of: int, level: float = LEVEL) -> tuple[float, float]:
    """Between which shares the true one lies, if each of them is a toss of its own.

    Takes how often it held, out of how many, and how sure to be. Empty: of none, anything from 0 to 1.
    Method: Wilson's score interval, (p + z²/2n ± z·√(p(1 − p)/n + z²/4n²)) / (1 + z²/n). Source: E. B.
    Wilson (1927), Journal of the American Statistical Association 22, from memory.
    """
    if of == 0:
        return (0.0, 1.0)
    z = NormalDist().inv_cdf((1.0 + level) / 2.0)
    share, tail = held / of, z * z / of
    middle = (share + tail / 2.0) / (1.0 + tail)
    half = z * sqrt(share * (1.0 - share) / of + tail / (4.0 * of)) / (1.0 + tail)
    return (middle - half if held else 0.0, middle + half if held < of else 1.0)
