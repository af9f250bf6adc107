"""Shares, chances and standings of a quote to plain words: "1 in 12", "25 %", "lapsed"."""

SURE = 0.0025  # cost is kept at each half per cent: finer is not known
LARGE = 30  # "1 in 173" sounds better known than it is: from here on to the nearest ten


def chance(share: float) -> str:
    """A chance as makers say it: "1 in 12", "6 in 10", "less than 1 in 200"."""
    if share < SURE:
        return "less than 1 in 200"
    if share > 1 - SURE:
        return "all but certain"
    if share < 0.3:
        many = round(1 / share)
        return f"1 in {many if many < LARGE else round(many, -1)}"
    tenths = round(share * 10)
    return f"{tenths} in 10" if tenths < 10 else "more than 9 in 10"


def per_cent(share: float | None, places: int = 0) -> str:
    """A share as "25 %"; a dash where there is none."""
    if share is None:
        return "–"
    text = f"{abs(share) * 100:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{'−' if share < 0 and float(text) else ''}{text} %"


def amount(quantity: float) -> str:
    """A quantity as it is bought, with four figures at least: "12.5", "0.0135", "1200"."""
    return f"{quantity:.0f}" if abs(quantity) >= 1000 else f"{quantity:.4g}"


def hours(minutes: float) -> str:
    """Minutes of a whole order: "45 min", "2 h 10", from ten hours on whole hours: "26 h"."""
    whole = round(minutes)
    if whole >= 600:
        return f"{round(minutes / 60):,} h"
    full, rest = divmod(whole, 60)
    return f"{whole} min" if not full else f"{full} h {rest:02d}" if rest else f"{full} h"


def under_or_over(share: float) -> str:
    """How quotes lay beside what it took: "12 % under", "4 % over", "right on"."""
    hundredths = round(abs(share) * 100)
    return "right on" if not hundredths else f"{hundredths} % {'under' if share > 0 else 'over'}"
