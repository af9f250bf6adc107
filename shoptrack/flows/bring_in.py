"""A table that was handed in → looked through row by row, then brought in whole or not at all."""

from collections.abc import Generator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy.orm import Session

from shoptrack.errors import Refused
from shoptrack.flows import bring_in_kept as kept
from shoptrack.flows.bring_in_customers import CUSTOMERS
from shoptrack.flows.bring_in_materials import MATERIALS
from shoptrack.flows.bring_in_past_times import PAST_TIMES
from shoptrack.flows.bring_in_shapes import Already, Look, Progress, RowWrong, Subject, Ways, Wrong
from shoptrack.flows.bring_in_sheet import Sheet, read_sheet
from shoptrack.flows.bring_in_text import read_text
from shoptrack.store.db import Store, head
from shoptrack.store.shop import find_shop

T = TypeVar("T")
SUBJECTS: dict[str, Subject[Any]] = {s.name: s for s in (PAST_TIMES, CUSTOMERS, MATERIALS)}
STEP_ROWS = 2500
_IGNORED_NAMED = 12
CHANGED = "The shop has changed since you looked: look at the rows again, then bring them in."


@dataclass(frozen=True, slots=True)
class Brought:
    """What was brought in: how many rows came in, were there already, and were left out."""

    new: int
    already: int
    refused: int


def hand_in(instance: Path, subject: Subject[T], data: bytes, now: datetime) -> str:
    """Keep a file to be looked through; gives its sign. Raises BadInput for one that is no such table."""
    read_sheet(read_text(data).text, subject.columns)
    return kept.keep(instance, data, now)


def look(store: Store, subject: Subject[T], sign: str, now: datetime) -> Generator[Progress, None, Look[T]]:
    """Look through a kept file without writing anything, telling how far it is.

    Raises NotFound where the file is gone, BadInput where it is no such table.
    """
    opened = _opened(store, subject, sign)
    with store.reading() as session:
        found = yield from _judged(session, subject, opened, now)
    return found


def bring(
    store: Store, subject: Subject[T], sign: str, refused: int, who: int | None, now: datetime
) -> Generator[Progress, None, Brought]:
    """Bring a kept file in, in one transaction, and let go of it; telling how far it is meanwhile.

    Takes how many rows the person was told would be left out. Raises Refused where that is no longer so,
    NotFound where the file is gone. Nothing is told while others would have to wait for their turn to write.
    """
    opened = _opened(store, subject, sign)
    with store.reading() as session:
        seen_at = head(session)
        found = yield from _judged(session, subject, opened, now)
    with store.writing() as session:
        if head(session) != seen_at:  # somebody wrote meanwhile: what was new may be there now
            found = to_the_end(_judged(session, subject, opened, now))
        if found.refused != refused:
            raise Refused(CHANGED)
        subject.write(session, found.new, ways_of(session, now), who, now)
    kept.drop(store.instance, sign)
    return Brought(len(found.new), found.already, found.refused)


def ways_of(session: Session, now: datetime) -> Ways:
    """How the shop writes things, and its today."""
    shop = find_shop(session)
    zone = ZoneInfo(shop.zone if shop else "UTC")
    return Ways(shop.currency if shop else "USD", now.astimezone(zone).date(), now.astimezone(UTC))


def _opened(store: Store, subject: Subject[T], sign: str) -> tuple[Sheet, str]:
    text = read_text(kept.read(store.instance, sign))
    return read_sheet(text.text, subject.columns), text.note


def _judged(
    session: Session, subject: Subject[T], opened: tuple[Sheet, str], now: datetime
) -> Generator[Progress, None, Look[T]]:
    sheet, note = opened
    yield Progress(0, len(sheet.rows))
    judge = subject.judging(session, ways_of(session, now), sheet.mark)
    new: list[T] = []
    wrong: list[Wrong] = []
    notes: dict[str, None] = dict.fromkeys([note, _ignored(sheet)])  # each once, in order
    already = 0
    for place, row in enumerate(sheet.rows, 1):
        try:
            found = judge(row)
        except RowWrong as refused:
            wrong += refused.wrong
        else:
            if isinstance(found, Already):
                already += 1
            else:
                new.append(found.item)
                notes.update(dict.fromkeys(found.notes))
        if place % STEP_ROWS == 0 or place == len(sheet.rows) > STEP_ROWS:
            yield Progress(place, len(sheet.rows))
    said = tuple(n for n in notes if n)
    return Look(len(sheet.rows), tuple(new), already, tuple(wrong), said)


def _ignored(sheet: Sheet) -> str:
    if not sheet.ignored:
        return ""
    named = ", ".join(f"“{name[:40]}”" for name in sheet.ignored[:_IGNORED_NAMED])
    more = " and others" if len(sheet.ignored) > _IGNORED_NAMED else ""
    are = "This column is" if len(sheet.ignored) == 1 else "These columns are"
    return f"{are} not known and left out: {named}{more}."


def to_the_end(work: Generator[Progress, None, Look[T]]) -> Look[T]:
    """What comes of looking through, for those who need not hear how far it is."""
    while True:
        try:
            next(work)
        except StopIteration as end:
            found: Look[T] = end.value
            return found
