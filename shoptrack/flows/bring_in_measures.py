"""A measure in one unit → the same in the unit a kind of stage is measured in, or why that can't be."""

import re
from fractions import Fraction

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_cells import short

_INCH_MM = Fraction(254, 10)  # exact, the international inch (1959 agreement)
_FOOT_MM = _INCH_MM * 12

_LENGTHS = {
    ("mm", "millimetre", "millimeter"): Fraction(1),
    ("cm", "centimetre", "centimeter"): Fraction(10),
    ("m", "metre", "meter", "running metre", "running meter", "linear metre", "linear meter"): Fraction(1000),
    ("in", "inch", "inche", '"', "″"): _INCH_MM,
    ("ft", "foot", "feet", "'", "′", "running foot", "running feet", "linear foot", "linear feet"): _FOOT_MM,
    ("yd", "yard"): _FOOT_MM * 3,
}
_AREAS = {
    ("mm2", "square millimetre", "square millimeter", "sq mm"): Fraction(1),
    ("cm2", "square centimetre", "square centimeter", "sq cm"): Fraction(100),
    ("m2", "square metre", "square meter", "sq m", "sqm"): Fraction(1000) ** 2,
    ("in2", "square inch", "square inche", "sq in"): _INCH_MM**2,
    ("ft2", "square foot", "square feet", "sq ft", "sqft"): _FOOT_MM**2,
}
_VOLUMES = {
    ("m3", "cubic metre", "cubic meter", "cu m", "cbm"): Fraction(1000) ** 3,
    ("l", "litre", "liter"): Fraction(100) ** 3,
    ("ft3", "cubic foot", "cubic feet", "cu ft"): _FOOT_MM**3,
    # a board foot is a foot square and an inch thick (common practice, no source)
    ("board foot", "board feet", "bd ft", "bf", "bdft"): _FOOT_MM**2 * _INCH_MM,
}
_SIZES = {
    name: (dimension, size)
    for dimension, table in enumerate((_LENGTHS, _AREAS, _VOLUMES), 1)
    for names, size in table.items()
    for name in names
}


def in_unit(measure: float, unit: str, wanted: str) -> float:
    """A measure in the unit that is wanted.

    Takes the measure, the unit it is in (none written: the one wanted), and the kind's unit. Lengths, areas
    and volumes are turned into each other between feet and metres. Raises BadInput for any other unit.
    """
    if unit == wanted or not unit.strip() or _folded(unit) == _folded(wanted):
        return measure
    dimension, size = _SIZES.get(_folded(unit), (0, Fraction(1)))
    wanted_dimension, wanted_size = _SIZES.get(_folded(wanted), (0, Fraction(1)))
    if not dimension or dimension != wanted_dimension:
        raise BadInput(f"It is in “{short(unit)}”, but this kind of stage is measured in {wanted}.")
    return measure if size == wanted_size else float(Fraction(measure) * size / wanted_size)


def _folded(unit: str) -> str:
    """A unit as it is compared: small letters, no points, one of many like many."""
    plain = unit.replace("²", "2").replace("³", "3").replace(".", " ").casefold()
    plain = re.sub(r"\s+", " ", plain).strip()
    return plain.removesuffix("s") if len(plain) > 2 else plain
