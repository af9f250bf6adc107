"""Shares, hundreds of them at once → the quantiles of the normal distribution; numpy has none."""

import numpy as np

from shoptrack.engine.shapes.learned import Floats

# Source: Wichura (1988), Algorithm AS 241, Applied Statistics 37, routine PPND16; values from memory, the
# lowest power first.
_MIDDLE, _MIDDLE_SQUARED = 0.425, 0.180625
_MIDDLE_OVER = (
    3.3871328727963666080e0,
    1.3314166789178437745e2,
    1.9715909503065514427e3,
    1.3731693765509461125e4,
    4.5921953931549871457e4,
    6.7265770927008700853e4,
    3.3430575583588128105e4,
    2.5090809287301226727e3,
)
_MIDDLE_UNDER = (
    1.0,
    4.2313330701600911252e1,
    6.8718700749205790830e2,
    5.3941960214247511077e3,
    2.1213794301586595867e4,
    3.9307895800092710610e4,
    2.8729085735721942674e4,
    5.2264952788528545610e3,
)
_NEAR, _FAR = 1.6, 5.0
_NEAR_OVER = (
    1.42343711074968357734e0,
    4.63033784615654529590e0,
    5.76949722146069140550e0,
    3.64784832476320460504e0,
    1.27045825245236838258e0,
    2.41780725177450611770e-1,
    2.27238449892691845833e-2,
    7.74545014278341407640e-4,
)
_NEAR_UNDER = (
    1.0,
    2.05319162663775882187e0,
    1.67638483018380384940e0,
    6.89767334985100004550e-1,
    1.48103976427480074590e-1,
    1.51986665636164571966e-2,
    5.47593808499534494600e-4,
    1.05075007164441684324e-9,
)
_FAR_OVER = (
    6.65790464350110377720e0,
    5.46378491116411436990e0,
    1.78482653991729133580e0,
    2.96560571828504891230e-1,
    2.65321895265761230930e-2,
    1.24266094738807843860e-3,
    2.71155556874348757815e-5,
    2.01033439929228813265e-7,
)
_FAR_UNDER = (
    1.0,
    5.99832206555887937690e-1,
    1.36929880922735805310e-1,
    1.48753612908506148525e-2,
    7.86869131145613259100e-4,
    1.84631831751005468180e-5,
    1.42151175831644588870e-7,
    2.04426310338993978564e-15,
)


def quantile(p: Floats | float) -> Floats:
    """The value below which a share ``p`` (strictly between 0 and 1) lies, as an array of its shape.

    Method: ratios of polynomials, one about the middle in (p − ½)², two for the tails in √(−ln p). Good to
    1e-15 of the value down to 1e-300.
    """
    shares = np.asarray(p, dtype=np.float64)
    from_middle = shares - 0.5
    inner = _MIDDLE_SQUARED - from_middle**2
    z: Floats = np.asarray(from_middle * _ratio(inner, _MIDDLE_OVER, _MIDDLE_UNDER))
    outer = np.abs(from_middle) > _MIDDLE
    z[outer] = np.copysign(_tail(np.minimum(shares, 1.0 - shares)[outer]), from_middle[outer])
    return z


def _tail(p: Floats) -> Floats:
    """How far out a small share lies beyond."""
    depth = np.sqrt(-np.log(p))
    z = _ratio(depth - _NEAR, _NEAR_OVER, _NEAR_UNDER)
    far = depth > _FAR
    z[far] = _ratio(depth[far] - _FAR, _FAR_OVER, _FAR_UNDER)
    return z


def _ratio(x: Floats, over: tuple[float, ...], under: tuple[float, ...]) -> Floats:
    return np.asarray(_polynomial(x, over) / _polynomial(x, under))


def _polynomial(x: Floats, powers: tuple[float, ...]) -> Floats:
    found = np.full_like(x, powers[-1])
    for each in powers[-2::-1]:
        found *= x
        found += each
    return found
