"""Arcs: centres and radii, full circles, what they reach, and lengths beside fine polylines."""

from itertools import pairwise
from math import cos, dist, hypot, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode.arcs import Arc, by_centre, by_radius
from shoptrack.engine.gcode.refusal import Unread

angles = st.floats(0.0, 2 * pi)
radii = st.floats(0.5, 500.0)


def places(arc: Arc, count: int) -> list[tuple[float, float, float]]:
    return [(*arc.at(n / count), arc.rise_mm * n / count) for n in range(count + 1)]


def test_a_quarter_either_way_round() -> None:
    quick = by_centre((1, 0), (0, 1), (0, 0), False, 0, 0.01)
    slow = by_centre((1, 0), (0, 1), (0, 0), True, 0, 0.01)
    assert (quick.length_mm, slow.length_mm) == (pytest.approx(pi / 2), pytest.approx(3 * pi / 2))
    assert list(quick.quarters()) == []
    assert list(slow.quarters()) == [(-1, 0), (0, -1)]


@pytest.mark.parametrize("clockwise", [True, False])
def test_one_that_ends_where_it_begins_is_a_full_circle(clockwise: bool) -> None:
    arc = by_centre((3, 4), (3, 4), (0, 0), clockwise, 12, 0.01)
    assert arc.length_mm == pytest.approx(hypot(10 * pi, 12))
    assert sorted(arc.quarters()) == [(-5, 0), (0, -5), (0, 5), (5, 0)]


def test_a_radius_below_nought_goes_the_longer_way() -> None:
    short = by_radius((0, 0), (1, 1), 1, True, 0, 0.01)
    long = by_radius((0, 0), (1, 1), -1, True, 0, 0.01)
    assert short.centre == pytest.approx((1, 0))
    assert long.centre == pytest.approx((0, 1))
    assert (short.sweep, long.sweep) == (pytest.approx(-pi / 2), pytest.approx(-3 * pi / 2))


def test_a_radius_a_little_too_small_is_half_a_circle() -> None:
    arc = by_radius((0, 0), (10, 0), 4.999, False, 0, 0.05)
    assert (arc.radius_mm, abs(arc.sweep)) == (5, pytest.approx(pi))


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda: by_radius((0, 0), (0, 0), 5, True, 0, 0.05), "ends where it begins"),
        (lambda: by_radius((0, 0), (10, 0), 4, True, 0, 0.05), "too small"),
        (lambda: by_centre((1, 0), (0, 1.1), (0, 0), True, 0, 0.05), "not equally far"),
        (lambda: by_centre((1, 0), (0, 1), (1, 0), True, 0, 5.0), "lies on one of its ends"),
    ],
)
def test_what_is_no_arc(make: object, why: str) -> None:
    with pytest.raises(Unread, match=why):
        make()  # type: ignore[operator]


@given(radii, angles, angles, st.booleans(), st.floats(-50.0, 50.0))
@settings(max_examples=60)
def test_its_length_is_that_of_a_fine_polyline(
    radius: float, begins: float, ends: float, clockwise: bool, rise: float
) -> None:
    """1,500 chords are shorter than the arc by (sweep / chords)² / 24 at most (arithmetic)."""
    start, end = ((radius * cos(a), radius * sin(a)) for a in (begins, ends))
    arc = by_centre(start, end, (0.0, 0.0), clockwise, rise, 0.01)
    way = places(arc, 1500)
    chords = sum(dist(a, b) for a, b in pairwise(way))
    assert chords == pytest.approx(arc.length_mm, rel=2e-6)
    assert dist(way[-1][:2], end) < 1e-6 * (1 + radius)


@given(radii, angles, angles, st.booleans())
@settings(max_examples=60)
def test_it_reaches_as_far_as_a_fine_polyline(
    radius: float, begins: float, ends: float, clockwise: bool
) -> None:
    start, end = ((radius * cos(a), radius * sin(a)) for a in (begins, ends))
    arc = by_centre(start, end, (0.0, 0.0), clockwise, 0.0, 0.01)
    way = places(arc, 1500)
    reached = [start, end, *arc.quarters()]
    for axis in (0, 1):
        fine = [place[axis] for place in way]
        assert min(p[axis] for p in reached) == pytest.approx(min(fine), abs=1e-5 * radius)
        assert max(p[axis] for p in reached) == pytest.approx(max(fine), abs=1e-5 * radius)


@given(radii, angles, st.floats(0.05, 2 * pi - 0.05), st.booleans())
@settings(max_examples=60)
def test_radius_and_centre_say_the_same_arc(
    radius: float, begins: float, turn: float, clockwise: bool
) -> None:
    sweep = -turn if clockwise else turn
    start, end = ((radius * cos(a), radius * sin(a)) for a in (begins, begins + sweep))
    signed = radius if turn <= pi else -radius
    one = by_centre(start, end, (0.0, 0.0), clockwise, 0.0, 0.01)
    other = by_radius(start, end, signed, clockwise, 0.0, 0.01)
    # near half a turn the centre is hardly told by the radius
    assert other.length_mm == pytest.approx(one.length_mm, rel=1e-5)
    assert dist(other.centre, (0.0, 0.0)) < 1e-3 * radius


@given(st.floats(0.01, 500.0), st.floats(0.1, 2 * pi), st.floats(0.01, 5.0))
def test_chords_stay_within_what_is_asked(radius: float, sweep: float, within: float) -> None:
    arc = Arc((0.0, 0.0), radius, 0.3, sweep, 0.0)
    count = arc.chords(within)
    if count < 256:
        assert radius * (1 - cos(min(sweep / count / 2, pi))) <= within * 1.0001 or radius <= within
