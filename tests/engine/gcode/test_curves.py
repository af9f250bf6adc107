"""Many arcs at once: each as it is alone."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode.arcs import Arc, by_centre
from shoptrack.engine.gcode.curves import Curves, chord_counts, chord_ends, curves, reaches
from shoptrack.engine.shapes.learned import Floats

Row = tuple[float, float, float, float, bool]
rows = st.lists(
    st.tuples(
        st.floats(-100, 100), st.floats(-100, 100), st.floats(0.5, 80), st.floats(0.01, 6.2), st.booleans()
    ),
    min_size=1,
    max_size=30,
)


def places(taken: list[Row]) -> tuple[Floats, Floats, Floats, Floats]:
    x, y, radius, turn, clockwise = (np.array(column) for column in zip(*taken, strict=True))
    centre = np.stack((x, y))
    begins = np.arange(len(taken)) * 0.7
    ends = begins + np.where(clockwise, -turn, turn)
    start = centre + radius * np.stack((np.cos(begins), np.sin(begins)))
    end = centre + radius * np.stack((np.cos(ends), np.sin(ends)))
    return start, end, centre, clockwise


def both(taken: list[Row]) -> tuple[Curves, list[Arc]]:
    start, end, centre, clockwise = places(taken)
    each = [
        by_centre(tuple(a), tuple(b), tuple(c), bool(d), 0.0, 0.01)
        for a, b, c, d in zip(start.T, end.T, centre.T, clockwise, strict=True)
    ]
    return curves(start, end, centre, clockwise.astype(bool), 0.01), each


@given(rows)
@settings(max_examples=80, deadline=None)
def test_lengths_reaches_and_chords_are_those_of_each_alone(taken: list[Row]) -> None:
    found, each = both(taken)
    assert found.sound
    assert found.mm == pytest.approx([arc.length_mm for arc in each])
    least, most = reaches(found)
    for n, arc in enumerate(each):
        turned = list(arc.quarters())
        for axis in (0, 1):
            for mine, pick in ((least[axis, n], min), (most[axis, n], max)):
                ends = [arc.at(0)[axis], arc.at(1)[axis]]
                wanted = pick([place[axis] for place in turned] + ends)
                assert pick([mine if mine == mine else ends[0], *ends]) == pytest.approx(wanted, abs=1e-6)
    assert chord_counts(found, 0.2).tolist() == pytest.approx([arc.chords(0.2) for arc in each], abs=1)


@given(rows)
@settings(max_examples=40, deadline=None)
def test_chords_end_on_the_arcs(taken: list[Row]) -> None:
    found, each = both(taken)
    counts = chord_counts(found, 0.1)
    which, ends = chord_ends(found, counts)
    assert len(which) == counts.sum() - len(counts)
    wanted = [arc.at(n / count) for arc, count in zip(each, counts, strict=True) for n in range(1, count)]
    assert ends.T.ravel() == pytest.approx([number for place in wanted for number in place], abs=1e-6)


def test_what_is_no_arc_is_not_sound() -> None:
    start, end, centre, clockwise = places([(0, 0, 5, 1, True), (9, 9, 5, 2, False)])
    way = clockwise.astype(bool)
    assert not curves(start, end + 0.1, centre, way, 0.01).sound
    assert not curves(start, end, start, way, 100.0).sound
    assert not curves(start * np.nan, end, centre, way, 0.01).sound


def test_a_whole_turn_ends_where_it_begins() -> None:
    start = np.array([[5.0], [0.0]])
    found = curves(start, start, np.zeros((2, 1)), np.array([True]), 0.01)
    assert found.sweep == pytest.approx([-2 * np.pi])


def test_no_arcs_at_all_are_sound() -> None:
    none = np.zeros((2, 0))
    found = curves(none, none, none, np.zeros(0, dtype=bool), 0.01)
    assert found.sound
    assert len(found.mm) == 0
