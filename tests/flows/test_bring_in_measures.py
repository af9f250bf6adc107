"""Measures of one system in the units of the other."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_measures import in_unit


@pytest.mark.parametrize(
    ("measure", "unit", "wanted", "found"),
    [
        # Source: NIST Special Publication 811 (2008), appendix B.8, from memory: a square foot is
        # 9.290 304 E-02 m², a foot 3.048 E-01 m, a board foot 2.359 737 E-03 m³, a cubic foot
        # 2.831 685 E-02 m³
        (1, "square feet", "square metres", 0.09290304),
        (1, "ft", "metres", 0.3048),
        (1, "inches", "mm", 25.4),
        (1, "board feet", "cubic metres", 0.002359737),
        (1, "cubic feet", "m³", 0.02831685),
        (2, "m²", "square feet", 2 / 0.09290304),
        (3, "Sq. Ft.", "square feet", 3),
        (144, "square inches", "square feet", 1),
        (1000, "litres", "m3", 1),
        (12, "mm", "cm", 1.2),
        (2, "yards", "feet", 6),
    ],
)
def test_lengths_areas_and_volumes_are_turned_into_each_other(
    measure: float, unit: str, wanted: str, found: float
) -> None:
    assert in_unit(measure, unit, wanted) == pytest.approx(found, rel=1e-6)


@pytest.mark.parametrize(("unit", "wanted"), [("", "joints"), ("joint", "joints"), (" Joints ", "joints"),
                                              ("square feet", "square feet"), ("cuts", "cut")])  # fmt: skip
def test_the_same_unit_changes_nothing(unit: str, wanted: str) -> None:
    assert in_unit(0.1 + 0.2, unit, wanted) == 0.1 + 0.2


@pytest.mark.parametrize(
    ("unit", "wanted"),
    [
        ("feet", "square feet"),
        ("coats", "joints"),
        ("m2", "pieces"),
        ("hours", "cutting minutes"),
        ("x" * 99, "mm"),
    ],
)
def test_what_can_not_be_turned_is_refused_by_name(unit: str, wanted: str) -> None:
    with pytest.raises(BadInput, match=f"measured in {wanted}") as wrong:
        in_unit(1, unit, wanted)
    assert len(str(wrong.value)) < 120
