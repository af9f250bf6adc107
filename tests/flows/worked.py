"""Weeks of the small shop worked stage by stage, so that there is something to learn from."""

from datetime import date, datetime, timedelta

from tests.joinery import UNA, Joinery, at

FIRST_DAY = -60
"""Work begins so many days before the Wednesday of the joinery."""


def mill(
    shop: Joinery, minutes: list[int], first: int = FIRST_DAY, person: int = UNA
) -> list[dict[str, int]]:
    """A tray a day, of which nothing but the milling is done, in so many minutes each; its stages by name."""
    found = []
    for days, taken in zip(workdays(first), minutes, strict=False):
        tray = shop.add("tray", f"tray {days}", date(2026, 12, 24))
        shop.tap("start", at("8:00", days), tray["milling"], person=person)
        shop.tap("finish", at("8:00", days) + timedelta(minutes=taken), tray["milling"], person=person)
        found.append(tray)
    return found


def workdays(first: int) -> list[int]:
    """Days from the joinery's Wednesday that are no weekend, from the first on up to the day before it."""
    return [days for days in range(first, 0) if (at("12:00", days)).weekday() < 5]


def stage_at(shop: Joinery, stage: int, when: datetime, minutes: float, person: int = UNA) -> None:
    """A stage from its start to its finish."""
    shop.tap("start", when, stage, person=person)
    shop.tap("finish", when + timedelta(minutes=minutes), stage, person=person)
