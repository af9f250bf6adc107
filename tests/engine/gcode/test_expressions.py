"""Values: numbers, parameters, brackets and functions, and what can't be reckoned."""

from math import isclose, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.gcode.expressions import Cursor
from shoptrack.engine.gcode.refusal import Unread

KNOWN = {1: 3.0, 2: 1.0, 3: -7.5}


def value(text: str) -> float:
    cursor = Cursor(text, KNOWN)
    found = cursor.value()
    assert cursor.done, text[cursor.at :]
    return found


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("5", 5.0),
        ("+5.", 5.0),
        ("-.5", -0.5),
        ("#1", 3.0),
        ("##2", 3.0),
        ("#[1+1]", 1.0),
        ("-#3", 7.5),
        ("[1+2*3]", 7.0),
        ("[[1+2]*3]", 9.0),
        ("[2-3-4]", -5.0),
        ("[2**3**2]", 64.0),
        ("[#1+2]", 5.0),
        ("[7mod5]", 2.0),
        ("[-7mod5]", 3.0),
        ("[1and0]", 0.0),
        ("[1or0]", 1.0),
        ("[1xor1]", 0.0),
        ("[1+0and1]", 1.0),
        ("abs[-2]", 2.0),
        ("acos[0]", 90.0),
        ("asin[1]", 90.0),
        ("atan[1]/[-1]", 135.0),
        ("cos[60]", 0.5),
        ("exp[1]", 2.718281828459045),
        ("ln[1]", 0.0),
        ("sin[30]", 0.5),
        ("sqrt[9]", 3.0),
        ("tan[45]", 1.0),
        ("round[2.5]", 3.0),
        ("round[-2.5]", -3.0),
        ("-[1+2]", -3.0),
        ("[1--[2]]", 3.0),
    ],
)
def test_values(text: str, wanted: float) -> None:
    """Arithmetic; powers from left to right, a sign of the divisor for mod."""
    assert value(text) == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "a number is missing"),
        ("x", "a number is missing"),
        ("-", "a number is missing"),
        ("[1", "a bracket ] is missing"),
        ("sin30", r"a bracket \[ is missing"),
        ("atan[1]", "ATAN needs two values"),
        ("#9", "parameter #9 is read, but the program never set it"),
        ("#0", "there is no parameter #0"),
        ("#5400", "there is no parameter #5400"),
        ("#1.5", "must be a whole number"),
        ("[1/0]", "can't be reckoned"),
        ("[1mod0]", "can't be reckoned"),
        ("sqrt[-1]", "can't be reckoned"),
        ("ln[0]", "can't be reckoned"),
        ("acos[2]", "can't be reckoned"),
        ("[-8**.5]", "can't be reckoned"),
        ("exp[1000]", "can't be reckoned"),
        ("[0**-1]", "can't be reckoned"),
        ("9999999999", "too large"),
        ("[1e5]", "a bracket ] is missing"),
        ("[" * 21 + "1" + "]" * 21, "more than 20 deep"),
    ],
)
def test_what_is_no_value(text: str, why: str) -> None:
    with pytest.raises(Unread, match=why):
        value(text)


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.sampled_from("+-*"))
def test_two_values_as_python_reckons_them(left: float, right: float, sign: str) -> None:
    text = f"[{left:.6f}{sign}{right:.6f}]"
    a, b = float(f"{left:.6f}"), float(f"{right:.6f}")
    wanted = {"+": a + b, "-": a - b, "*": a * b}[sign]
    if abs(wanted) > 1e9:
        with pytest.raises(Unread):
            value(text)
    else:
        assert value(text) == wanted


@given(st.floats(-89.0, 89.0))
def test_a_tangent_comes_back_as_its_angle(degrees: float) -> None:
    assert isclose(value(f"atan[tan[{degrees:.9f}]]/[1]"), degrees, abs_tol=1e-8)
    assert value(f"[{pi:.10f}*sin[{degrees:.9f}]]") == pytest.approx(
        -value(f"[{pi:.10f}*sin[{-degrees:.9f}]]")
    )
