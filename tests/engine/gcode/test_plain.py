"""Thousands of lines at once: the very answer of reading them one by one."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode.plain import obey_run, run_end
from shoptrack.engine.gcode.state import State
from tests.engine.gcode.programs import obeyed, refused

READY = ("T1 M6", "S1000 M3 F100", "G0 X0 Y0 Z5")
values = st.decimals(-50, 50, places=3).map(str)


@st.composite
def lines(draw: st.DrawFn) -> str:
    words = [draw(st.sampled_from(["", "G0", "G1", "g01", "N7 G00", "N8", " "]))]
    words += [f"{axis}{draw(values)}" for axis in "XyZ" if draw(st.booleans())]
    if draw(st.integers(0, 9)) == 0:
        words.append(f"F{draw(st.integers(0, 3)) * 500}")
    return draw(st.sampled_from(["", " ", "\t"])).join(words)


def one_by_one(before: tuple[str, ...], run: list[str]) -> State:
    return obeyed(*before, *run)


def at_once(before: tuple[str, ...], run: list[str]) -> State:
    state = obeyed(*before)
    text = "".join(line + "\n" for line in run).encode()
    assert run_end(state, text, 0) == len(text), text
    assert obey_run(state, text, len(run))
    return state


def facts(state: State) -> tuple[object, ...]:
    tally = state.tally
    return (
        state.line,
        state.motion,
        state.units,
        tally.cuts.box(),
        tally.moves.box(),
        tally.doubts(),
        [(use.number, use.least_z_mm, use.least_feed_mm_min, use.most_feed_mm_min) for use in tally.uses()],
    )


def totals(state: State) -> list[float]:
    tally = state.tally
    cut = [number for use in tally.uses() for number in (use.cutting_min, use.cutting_mm)]
    return [*cut, tally.rapid_mm, tally.rapid_min, state.feed, *state.place]


@given(
    st.lists(lines(), min_size=1, max_size=60),
    st.sampled_from(["G90", "G91", "G20", "G20 G91", "G92 X1 Z2", "M5", "G1"]),
    st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_it_is_what_one_by_one_gives(run: list[str], before: str, has_feed: bool) -> None:
    ready = READY if has_feed else ("T1 M6", "G0 X0 Y0 Z5")
    one, all_ = one_by_one((*ready, before), run), at_once((*ready, before), run)
    assert facts(all_) == facts(one)
    assert totals(all_) == pytest.approx(totals(one), nan_ok=True)


@given(st.lists(lines(), min_size=1, max_size=40))
@settings(max_examples=60, deadline=None)
def test_unknown_places_add_nothing_either_way(run: list[str]) -> None:
    """Only X is known before, or nothing at all."""
    for before in (("G0 X3",), ("G0",)):
        one, all_ = one_by_one(before, run), at_once(before, run)
        assert facts(all_) == facts(one)
        assert totals(all_) == pytest.approx(totals(one), nan_ok=True)


@st.composite
def bent(draw: st.DrawFn) -> list[str]:
    """Quarters, halves and whole turns from where the last line ended, with straight moves between."""
    x, y, run = 0, 0, []
    for _ in range(draw(st.integers(1, 40))):
        code, i, j = draw(st.integers(0, 3)), draw(st.integers(-9, 9)), draw(st.integers(1, 9))
        turn = draw(st.sampled_from([(i + j, j - i), (2 * i, 2 * j), (i - j, i + j), (0, 0)]))
        x, y = x + turn[0], y + turn[1]
        centre = f" I{i} J{j}" if code > 1 else ""
        run.append(
            f"G{code} X{x} Y{y} Z{draw(st.integers(-3, 3))}{centre}"
            if turn != (0, 0) or code < 2
            else f"G{code}{centre} F{draw(st.integers(1, 900))}"
        )
    return run


@given(bent(), st.sampled_from(["G90", "G20", "G92 X0 Y0 Z2"]))
@settings(max_examples=150, deadline=None)
def test_arcs_are_what_one_by_one_gives(run: list[str], before: str) -> None:
    one, all_ = one_by_one((*READY, before), run), at_once((*READY, before), run)
    assert facts(all_)[:3] == facts(one)[:3]
    assert facts(all_)[5:] == facts(one)[5:]
    assert totals(all_) == pytest.approx(totals(one))
    for ours, theirs in ((all_.tally.cuts, one.tally.cuts), (all_.tally.moves, one.tally.moves)):
        assert ours.low == pytest.approx(theirs.low)
        assert ours.high == pytest.approx(theirs.high)


@pytest.mark.parametrize("line", ["G2 X5 Y5 I1 J0", "G2 X5", "G1 X5 I1", "G3 X0 Y0 I0 J0"])
def test_a_run_with_a_line_that_can_not_be_is_left_alone(line: str) -> None:
    state = obeyed(*READY)
    before = totals(state), state.line
    text = f"G1 X1\n{line}\nG1 X2\n".encode()
    assert run_end(state, text, 0) == len(text)
    assert not obey_run(state, text, 3)
    assert (totals(state), state.line) == before
    assert refused("\n".join([*READY, "G1 X1"] + ["X2"] * 50 + [line])).line == 55


def test_the_drawing_of_a_run_has_its_corners() -> None:
    run = ["G1 X100", "Y100", "X0", "Y0"] + ["Z-1"] + [f"X{n}" for n in range(1, 101)]
    assert at_once(READY, run).tally.drawing.strokes() == one_by_one(READY, run).tally.drawing.strokes()


@pytest.mark.parametrize(
    "line",
    [
        "G2 X1 R5",
        "X1 X2",
        "Y1 X2",
        "G1 X1 ; said",
        "G17",
        "G1.1 X2",
        "X1e5",
        "X[1]",
        "M3",
        "X1234567890",
        "F-1",
        "/X1",
    ],
)
def test_what_is_not_plain_is_left_to_be_read_alone(line: str) -> None:
    state = obeyed(*READY, "G1")
    text = f"X1\nX2\n{line}\nX3\n".encode()
    assert run_end(state, text, 0) == 6
    assert run_end(state, text, 6) == 6


@pytest.mark.parametrize("before", ["G93", "G95 F1", "G18 G2 X0 Y0 Z5 I1", "G80", "G90.1 G2 X2 Y0 I1 J0"])
def test_where_other_rules_hold_lines_are_read_alone(before: str) -> None:
    assert run_end(obeyed(*READY, before), b"X1\n" * 50, 0) == 0
    assert run_end(obeyed(*READY), b"X1\n" * 50, 0) == 150


def test_from_an_unknown_place_by_steps_lines_are_read_alone() -> None:
    assert run_end(obeyed("G91 G0"), b"X1\n", 0) == 0
    assert run_end(obeyed("G0 X0 Y0 Z0", "G91"), b"X1\n", 0) == 3


@pytest.mark.parametrize("odd", ["G3 X9 Y0 R12", "G1 X9 S2000", "X1 X2", "G1 X9 (turn)", "X1.2.3"])
def test_a_run_ends_before_a_line_that_is_not_plain_never_within_it(odd: str) -> None:
    run = "G0 X1 Y1\nG1 Z-1 F100\n" * 10
    assert run_end(obeyed(*READY), f"{run}{odd}\nX3\n".encode(), 0) == len(run)
    assert run_end(obeyed(*READY), f"{odd}\nX3\n".encode(), 0) == 0
