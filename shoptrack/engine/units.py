"""What a maker writes to millimetres, °C, minutes and cents, and back to how a maker writes it."""

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal

from shoptrack.errors import BadInput

LengthUnit = Literal["mm", "in", "ft-in"]
WarmthUnit = Literal["C", "F"]

MM_PER_INCH = Fraction(254, 10)  # exact, the international inch (1959 agreement)
_SIXTEENTHS = 16
_LONGEST = 40  # characters; no measure, wait or price is longer
_MM_PER = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_INCH,
    "ft": MM_PER_INCH * 12,
}
_SIGNS = {
    "′": "'", "’": "'", "″": '"', "”": '"', "''": '"', "⁄": "/", "−": "-", "–": "-", "\u00a0": " ",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
}  # fmt: skip
_NUMBER = r"(?:\d+[\s-]+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_FEET_INCHES = re.compile(rf"({_NUMBER})\s*(?:'|ft|feet|foot)[\s-]*(?:({_NUMBER})\s*(?:\"|in|inch|inches)?)?")
_ONE_UNIT = re.compile(rf"({_NUMBER})\s*(mm|cm|m|\"|inches|inch|in)?")
_WARMTH = re.compile(r"(-?\d+(?:[.,]\d+)?)\s*(?:°|º|deg)?\s*([cf])?")
_CLOCK = re.compile(r"(\d+):([0-5]\d)")
_DURATION = re.compile(
    r"(?:(\d+(?:[.,]\d+)?)\s*(?:weeks?|w))?\s*(?:(\d+(?:[.,]\d+)?)\s*(?:days?|d))?\s*"
    r"(?:(\d+(?:[.,]\d+)?)\s*(?:hours?|hrs?|h))?\s*(?:(\d+(?:[.,]\d+)?)\s*(?:minutes?|mins?|min|m)?)?"
)
_SHARE = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)\s*(?:%|per ?cent)?")
_MINUTES_PER = (7 * 24 * 60, 24 * 60, 60, 1)
_DAYS_FROM_MIN = 48 * 60  # from two days on a wait is said in days

# ISO 4217, minor units of a currency where they are not two; from memory.
_DECIMALS = {
    **dict.fromkeys(("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "VND"), 0),
    **dict.fromkeys(("VUV", "XAF", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
}


def _plain(text: str, field: str) -> str:
    """What was typed, in small letters and plain signs."""
    if len(text) > _LONGEST:
        raise BadInput("That is too long for a number and its unit.", field)
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, plain)
    return text.strip().lower()


def _decimal(text: str) -> Fraction:
    """A number with a point or a comma before its decimals."""
    if re.search(r",\d{3}$", text):
        raise BadInput(f"“{text}” could be thousands or decimals: leave the comma out or use a point.")
    return Fraction(text.replace(",", "."))


def _number(text: str) -> Fraction:
    """A number as written on stock: 4 3/8, 4-3/8, 3/8, 4.5."""
    *whole, last = re.split(r"[\s-]+", text)
    if "/" in last and int(last.split("/")[1]) == 0:
        raise BadInput(f"“{text}” has nothing under the line of its fraction.")
    return (Fraction(whole[0]) if whole else Fraction(0)) + (
        Fraction(last) if "/" in last else _decimal(last)
    )


def _in_mm(text: str, unit: LengthUnit) -> Fraction | None:
    feet = _FEET_INCHES.fullmatch(text)
    if feet:
        inches = _number(feet[2]) if feet[2] else Fraction(0)
        return (_number(feet[1]) * 12 + inches) * MM_PER_INCH
    one = _ONE_UNIT.fullmatch(text)
    if one is None:
        return None
    name = one[2] or ("mm" if unit == "mm" else "in")
    return _number(one[1]) * _MM_PER.get(name, MM_PER_INCH)


def parse_length(text: str, unit: LengthUnit = "in", field: str = "") -> float:
    """A length as a maker writes it.

    Takes: 4 3/8, 4-3/8, 4' 3 1/2", 51 1/2 in, 111 mm, 11.1 cm, 1.2 m; ``unit`` is meant where none is
    written (inches for feet-inches). Gives: mm. Raises: BadInput for anything else.
    """
    plain = _plain(text, field)
    try:
        found = _in_mm(plain, unit)
    except BadInput as wrong:
        raise BadInput(str(wrong), field) from wrong
    if found is None:
        example = "111 mm" if unit == "mm" else "4 3/8 or 4' 3 1/2\""
        raise BadInput(f"“{text.strip()}” is not a length: write it like {example}.", field)
    return float(found)


def _fraction(sixteenths: int) -> str:
    """Inches from sixteenths: 4 3/8, 3/8, 4, 0."""
    whole, rest = divmod(sixteenths, _SIXTEENTHS)
    if rest == 0:
        return str(whole)
    part = Fraction(rest, _SIXTEENTHS)
    return f"{whole} {part}" if whole else f"{part}"


def _rounded(value: Fraction) -> int:
    """The nearest whole number, halves away from nought as on a rule."""
    whole = int(abs(value) + Fraction(1, 2))
    return whole if value >= 0 else -whole


def show_length(mm: float, unit: LengthUnit = "in") -> str:
    """A length as a maker writes it.

    Takes: mm. Gives: inches to the nearest 1/16 (4 3/8"), feet and inches (4' 3 1/2"), or mm to a tenth.
    """
    if unit == "mm":
        tenths = _rounded(Fraction(mm) * 10)
        return f"{_decimals(tenths, 1)} mm"
    sixteenths = _rounded(Fraction(mm) / MM_PER_INCH * _SIXTEENTHS)
    sign, size = ("-" if sixteenths < 0 else ""), abs(sixteenths)
    feet, rest = divmod(size, 12 * _SIXTEENTHS) if unit == "ft-in" else (0, size)
    if not feet:
        return f'{sign}{_fraction(rest)}"'
    return f"{sign}{feet}'" + (f' {_fraction(rest)}"' if rest else "")


def _decimals(tenths: int, places: int) -> str:
    """A count of tenths (hundredths, …) as a number without needless noughts."""
    text = f"{Decimal(tenths).scaleb(-places):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def parse_warmth(text: str, unit: WarmthUnit = "C", field: str = "") -> float:
    """A temperature: 22, 22.5 °C, 72 F; ``unit`` is meant where none is written.

    Gives: °C. Raises: BadInput for anything else.
    """
    found = _WARMTH.fullmatch(_plain(text, field))
    if found is None:
        example = "22 or 22 °C" if unit == "C" else "72 or 72 °F"
        raise BadInput(f"“{text.strip()}” is not a temperature: write it like {example}.", field)
    degrees = float(found[1].replace(",", "."))
    return (degrees - 32) * 5 / 9 if (found[2] or unit.lower()) == "f" else degrees


def show_warmth(c: float, unit: WarmthUnit = "C") -> str:
    """A temperature to the nearest whole degree: 22 °C, 72 °F."""
    return f"{_rounded(Fraction(c if unit == 'C' else c * 9 / 5 + 32))} °{unit}"


def parse_minutes(text: str, field: str = "") -> float:
    """A length of time: 1 h 25, 1:25, 85, 85 min, 1.5 h, 7 days, 2 weeks.

    Gives: minutes. Raises: BadInput for anything else.
    """
    plain = _plain(text, field)
    clock = _CLOCK.fullmatch(plain)
    if clock:
        return float(int(clock[1]) * 60 + int(clock[2]))
    found = _DURATION.fullmatch(plain)
    if found is None or not any(found.groups()):
        raise BadInput(f"“{text.strip()}” is not a length of time: write it like 85 min or 1 h 25.", field)
    parts = zip(found.groups(), _MINUTES_PER, strict=True)
    return float(sum(Fraction(part.replace(",", ".")) * per for part, per in parts if part))


def show_minutes(minutes: float) -> str:
    """A length of time to the nearest minute: 45 min, 1 h 05, 3 h, 7 days, 2 days 6 h."""
    whole = _rounded(Fraction(minutes))
    sign, size = ("-" if whole < 0 else ""), abs(whole)
    if size < 60:
        return f"{sign}{size} min"
    hours, rest = divmod(size, 60)
    if size < _DAYS_FROM_MIN:
        return f"{sign}{hours} h" + (f" {rest:02d}" if rest else "")
    days, hours = divmod(_rounded(Fraction(size, 60)), 24)
    return f"{sign}{days} days" + (f" {hours} h" if hours else "")


def minutes_words(minutes: float) -> str:
    """Minutes of work to the nearest minute, in hours however many: 45 min, 1 h 25, 2 h, 61 h."""
    whole = round(minutes)
    hours, rest = divmod(abs(whole), 60)
    sign = "−" if whole < 0 else ""
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest:02d}" if rest else f"{sign}{hours} h"


def decimals_of(currency: str) -> int:
    """How many decimals a currency is written with, two where nothing else is known.

    Takes: its three letters. Source: ISO 4217, from memory.
    """
    return _DECIMALS.get(currency.upper(), 2)


def parse_cents(text: str, currency: str = "USD", field: str = "") -> int:
    """An amount of money: 1250, 1,250.50, $12, 12.50 usd.

    Gives: the currency's smallest unit (cents; whole yen). Raises: BadInput for anything else, or for
    more decimals than the currency has.
    """
    places = decimals_of(currency)
    bare = re.sub(rf"^[^\d.\-]{{1,3}}\s*|\s*{currency.lower()}$", "", _plain(text, field))
    if not re.fullmatch(r"-?(?:\d+|\d{1,3}(?:,\d{3})+)?(?:\.\d+)?", bare) or not re.search(r"\d", bare):
        raise BadInput(f"“{text.strip()}” is not an amount of money: write it like 1250 or 12.50.", field)
    cents = Decimal(bare.replace(",", "")).scaleb(places)
    if cents != cents.to_integral_value():
        raise BadInput(f"“{text.strip()}” has more decimals than {currency.upper()} has.", field)
    return int(cents)


def show_cents(cents: float, currency: str = "USD", sign: str = "") -> str:
    """An amount of money with all its decimals: 1,250.50 USD, or $1,250.50 when the shop has a sign for it.

    Takes: the currency's smallest unit; a fraction of one is rounded, halves away from nought.
    """
    places = decimals_of(currency)
    whole = Decimal(cents).quantize(Decimal(1), ROUND_HALF_UP)
    amount = f"{abs(whole).scaleb(-places):,.{places}f}"
    minus = "-" if whole < 0 else ""
    return f"{minus}{sign}{amount}" if sign else f"{minus}{amount} {currency.upper()}"


def parse_share(text: str, field: str = "") -> int:
    """A share of a hundred: 30, 8.1, 8,1 %.

    Gives: hundredths of one per cent (8.1 % is 810). Raises: BadInput for anything else, or for more than
    two decimals.
    """
    bp = _bp(text, field)
    if bp.denominator != 1:
        raise BadInput(f"“{text.strip()}” has more than two decimals.", field)
    return int(bp)


def parse_tax(text: str, field: str = "") -> float:
    """A tax as a share of a hundred, a decimal finer than other shares: 7, 8.1 %, 8.875, 8,875 %.

    Gives: hundredths of one per cent, in tenths (8.875 % is 887.5). Raises: BadInput for anything else, or
    for more than three decimals.
    """
    bp = _bp(text, field)
    if (bp * 10).denominator != 1:
        raise BadInput(f"“{text.strip()}” has more than three decimals.", field)
    return float(bp)


def _bp(text: str, field: str) -> Fraction:
    """A share in hundredths of one per cent, exact as it is written."""
    found = _SHARE.fullmatch(_plain(text, field))
    if found is None:
        raise BadInput(f"“{text.strip()}” is not a share: write it like 30 or 8.1 %.", field)
    return Fraction(found[1].replace(",", ".")) * 100


def show_share(bp: float) -> str:
    """A share without needless decimals: 30 %, 8.1 %, 8.875 %. Takes: hundredths of one per cent."""
    return f"{_decimals(_rounded(Fraction(str(bp)) * 10), 3)} %"
