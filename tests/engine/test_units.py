"""Lengths, warmth, minutes and money as makers write them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine import units
from shoptrack.errors import BadInput


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("4 3/8", 111.125),
        ("4-3/8", 111.125),
        ("4⅜″", 111.125),
        ("3/8", 9.525),
        ("4' 3 1/2\"", 1308.1),
        ("4'-3 1/2\"", 1308.1),
        ("4’ 3½”", 1308.1),
        ("4 ft 3 1/2 in", 1308.1),
        ("4'", 1219.2),
        ("51.5", 1308.1),
        (".75", 19.05),
        ("111 mm", 111.0),
        ("111mm", 111.0),
        ("11,1 cm", 111.0),
        ("1.2 m", 1200.0),
        ("  2 in ", 50.8),
    ],
)
def test_length_as_a_maker_writes_it(text: str, mm: float) -> None:
    assert units.parse_length(text) == pytest.approx(mm, abs=1e-9)


def test_bare_number_is_in_the_shops_unit() -> None:
    assert units.parse_length("111", "mm") == 111
    assert units.parse_length("2", "ft-in") == 50.8


@pytest.mark.parametrize(
    "text",
    ["", " ", "wide", "4 3/0", "4/", "4 3 8", "'", "-3", "1,200 mm", "1e3", "4 mm 3", "9" * 41, "\0", "nan"],
)
def test_bad_length_gets_one_plain_sentence(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        units.parse_length(text, "in", "width")
    assert wrong.value.field == "width"
    assert str(wrong.value).endswith(".")


@pytest.mark.parametrize(
    ("mm", "unit", "shown"),
    [
        (111.125, "in", '4 3/8"'),
        (111, "in", '4 3/8"'),
        (1308.1, "in", '51 1/2"'),
        (1308.1, "ft-in", "4' 3 1/2\""),
        (1219.2, "ft-in", "4'"),
        (25.3, "ft-in", '1"'),
        (304.7, "ft-in", "1'"),
        (9.525, "in", '3/8"'),
        (0, "in", '0"'),
        (-9.525, "in", '-3/8"'),
        (111, "mm", "111 mm"),
        (19.05, "mm", "19.1 mm"),
        (-0.04, "mm", "0 mm"),
        (1200, "mm", "1200 mm"),
    ],
)
def test_length_is_shown_as_a_maker_writes_it(mm: float, unit: units.LengthUnit, shown: str) -> None:
    assert units.show_length(mm, unit) == shown


@settings(deadline=None)
@given(st.integers(0, 16 * 12 * 20), st.sampled_from(["in", "ft-in"]))
def test_any_sixteenth_reads_back_as_itself(sixteenths: int, unit: units.LengthUnit) -> None:
    mm = sixteenths * 25.4 / 16
    assert units.parse_length(units.show_length(mm, unit), unit) == pytest.approx(mm, abs=1e-6)


@settings(deadline=None)
@given(st.floats(0, 5000))
def test_shown_length_is_within_half_a_sixteenth(mm: float) -> None:
    assert abs(units.parse_length(units.show_length(mm, "in")) - mm) <= 25.4 / 32 + 1e-6


@pytest.mark.parametrize(
    ("text", "unit", "c"),
    [
        ("72 °F", "C", 22.2222),
        ("72", "F", 22.2222),
        ("22", "C", 22),
        ("-5 c", "F", -5),
        ("22,5°C", "C", 22.5),
    ],
)
def test_warmth(text: str, unit: units.WarmthUnit, c: float) -> None:
    assert units.parse_warmth(text, unit) == pytest.approx(c, abs=1e-4)


def test_warmth_is_shown_to_the_degree() -> None:
    assert units.show_warmth(22.2222, "F") == "72 °F"
    assert units.show_warmth(-0.4) == "0 °C"
    assert units.show_warmth(12.5) == "13 °C"


@pytest.mark.parametrize("text", ["", "warm", "22 K", "°", "1" * 50])
def test_bad_warmth(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_warmth(text)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("1 h 25", 85),
        ("1h25m", 85),
        ("1:25", 85),
        ("85", 85),
        ("85 min", 85),
        ("1.5 h", 90),
        ("1,5 h", 90),
        ("7 days", 10080),
        ("2 weeks", 20160),
        ("2 days 6 h", 3240),
        ("0", 0),
    ],
)
def test_minutes(text: str, minutes: float) -> None:
    assert units.parse_minutes(text) == minutes


@pytest.mark.parametrize("text", ["", "soon", "1:75", "-5", "1 h 2 h", "5 furlongs"])
def test_bad_minutes(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_minutes(text)


@pytest.mark.parametrize(
    ("minutes", "shown"),
    [
        (0, "0 min"),
        (45, "45 min"),
        (59.6, "1 h"),
        (65, "1 h 05"),
        (85, "1 h 25"),
        (1440, "24 h"),
        (10080, "7 days"),
        (3240, "2 days 6 h"),
        (-20, "-20 min"),
    ],
)
def test_minutes_are_shown(minutes: float, shown: str) -> None:
    assert units.show_minutes(minutes) == shown


@settings(deadline=None)
@given(st.integers(0, 2879))
def test_shown_minutes_read_back(minutes: int) -> None:
    assert units.parse_minutes(units.show_minutes(minutes)) == minutes


@pytest.mark.parametrize(
    ("text", "currency", "cents"),
    [
        ("1250", "USD", 125000),
        ("1,250.50", "USD", 125050),
        ("$12", "USD", 1200),
        ("€ 3.20", "EUR", 320),
        ("12.5 usd", "USD", 1250),
        ("-5", "USD", -500),
        ("1,500", "JPY", 1500),
        ("1.234", "KWD", 1234),
    ],
)
def test_money(text: str, currency: str, cents: int) -> None:
    assert units.parse_cents(text, currency) == cents


@pytest.mark.parametrize("text", ["", "$", ".", "1,25", "1.234", "--5", "twelve", "1" * 60, "NaN", "1e5"])
def test_bad_money(text: str) -> None:
    with pytest.raises(BadInput):
        units.parse_cents(text)


def test_money_is_shown_with_all_its_decimals() -> None:
    assert units.show_cents(125050) == "1,250.50 USD"
    assert units.show_cents(125050, sign="$") == "$1,250.50"
    assert units.show_cents(-500, sign="$") == "-$5.00"
    assert units.show_cents(1500, "JPY") == "1,500 JPY"
    assert units.show_cents(1234, "KWD") == "1.234 KWD"
    assert units.show_cents(10.5) == "0.11 USD"


@settings(deadline=None)
@given(st.integers(-(10**12), 10**12), st.sampled_from(["USD", "EUR", "JPY", "KWD"]))
def test_money_reads_back_to_the_cent(cents: int, currency: str) -> None:
    assert units.parse_cents(units.show_cents(cents, currency), currency) == cents


@pytest.mark.parametrize(
    ("text", "bp"),
    [
        ("30", 3000),
        ("8.1", 810),
        ("8,1 %", 810),
        (" 42.86% ", 4286),
        (".5", 50),
        ("0", 0),
        ("7 per cent", 700),
    ],
)
def test_shares(text: str, bp: int) -> None:
    assert units.parse_share(text) == bp


@pytest.mark.parametrize("text", ["", "%", "-5", "8.125", "8,125", "1/3", "thirty", "1e2", "NaN", "1" * 60])
def test_bad_shares(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        units.parse_share(text, "margin")
    assert wrong.value.field == "margin"


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_shares_read_back(bp: int) -> None:
    shown = units.show_share(bp)
    assert units.parse_share(shown) == units.parse_tax(shown) == bp
    assert "." not in shown or not shown.endswith(("0 %", ". %"))


@pytest.mark.parametrize(
    ("text", "bp"),
    [
        ("8.875", 887.5),
        ("8,875 %", 887.5),
        ("8.873", 887.3),
        (".001", 0.1),
        ("6.250", 625),
        ("20", 2000),
        ("0", 0),
    ],
)
def test_taxes(text: str, bp: float) -> None:
    """A comma with three digits can't be thousands here: no tax is more than the price."""
    assert units.parse_tax(text) == bp


@pytest.mark.parametrize(
    "text", ["", "%", "-5", "8.8751", "8,8751", "8.875" + "0" * 20 + "1", "1/3", "1e2", "NaN"]
)
def test_bad_taxes(text: str) -> None:
    with pytest.raises(BadInput) as wrong:
        units.parse_tax(text, "tax")
    assert wrong.value.field == "tax"


@settings(deadline=None)
@given(st.integers(0, 10**6))
def test_taxes_read_back(tenths: int) -> None:
    """Whatever a tax is, to three decimals of a per cent, its field has it again."""
    bp = tenths / 10
    shown = units.show_share(bp)
    assert units.parse_tax(shown) == bp
    assert "." not in shown or not shown.endswith(("0 %", ". %"))
