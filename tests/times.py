"""Times for the tests of what is learned, by taps and from before the log; and its pages as they are read."""

import json
import re
from collections.abc import Sequence
from datetime import date, timedelta
from html import unescape

from shoptrack.store.past_times import PastTime, add_past_times
from tests.joinery import LONG_AGO, NOW, UNA, Joinery, at

FIRST = date(2026, 1, 5)


def bring_in(
    joinery: Joinery,
    kind: str,
    minutes: Sequence[float],
    quantity: float = 4,
    pattern: int | None = None,
    first: date = FIRST,
    **said: str,
) -> None:
    """Times from before the log, one a day from the first on, each of an order of its own."""
    times = [
        PastTime(
            finished_on=first + timedelta(days=n),
            job=said.get("job") or f"old {kind} {n}",
            pattern="",
            pattern_id=pattern,
            stage=kind,
            kind_id=joinery.kinds[kind],
            quantity=quantity,
            minutes=each,
            person=said.get("person", "Wim"),
            person_id=None,
            row_key=f"{kind}-{first}-{n}",
        )
        for n, each in enumerate(minutes)
    ]
    with joinery.store.writing() as session:
        add_past_times(session, times, LONG_AGO)


def mill(joinery: Joinery, title: str, minutes: int, days: int, person: int = UNA, pieces: int = 2) -> int:
    """A tray milled in so many minutes from nine o'clock on, some days before (less than nought); its job."""
    tray = joinery.add("tray", title, None, pieces)
    hours, rest = divmod(minutes, 60)
    joinery.tap("start", at("9:00", days), tray["milling"], person=person)
    joinery.tap("finish", at(f"{9 + hours}:{rest:02d}", days), tray["milling"], person=person)
    return tray["job"]


def text_of(html: str) -> str:
    """The words of a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def charts_of(html: str) -> list[dict[str, object]]:
    """The figures that a page carries."""
    return [json.loads(unescape(said)) for said in re.findall(r'data-chart="([^"]*)"', html)]


__all__ = ["FIRST", "NOW", "bring_in", "charts_of", "mill", "text_of"]
