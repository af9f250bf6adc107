"""Values that count from a date on → the one that counts now, and all of them as lines with their spans."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from shoptrack.store.base import Base
from shoptrack.web.shop.door import Editor
from shoptrack.web.shop.minutes import since_words


@dataclass(frozen=True, slots=True)
class Line:
    """A value in words, and from when it counts; the first counts for all time before it too."""

    since: str
    words: str
    now: bool
    first: bool
    starting: bool


def in_force_now(rows: Sequence[Base], editor: Editor) -> Any:
    """The row that counts now: the newest of now or earlier, else the first; None without any."""
    passed = [row for row in rows if _has_begun(since_of(row), editor)]
    return passed[-1] if passed else next(iter(rows), None)


def in_force_from_its_day(rows: Sequence[Base], editor: Editor) -> Any:
    """The row that counts now of what has no value before the first day that was said; None till then."""
    return next((row for row in reversed(rows) if _has_begun(since_of(row), editor)), None)


def lines(rows: Sequence[Base], editor: Editor, words: Callable[[Any], str]) -> tuple[Line, ...]:
    """All that was said, the newest first."""
    here = in_force_now(rows, editor)
    found = [
        Line(
            since_words(since_of(row), editor.now, editor.wall),
            words(row),
            row is here,
            n == 0,
            bool(getattr(row, "starting", False)),
        )
        for n, row in enumerate(rows)
    ]
    return tuple(reversed(found))


def lines_from_their_day(
    rows: Sequence[Base], editor: Editor, words: Callable[[Any], str]
) -> tuple[Line, ...]:
    """All that was said, the newest first, of what has no value before the first day that was said."""
    begun = in_force_from_its_day(rows, editor) is not None
    return tuple(replace(line, first=False, now=line.now and begun) for line in lines(rows, editor, words))


def since_of(row: Any) -> Any:
    """The instant or the day from which a row counts."""
    return row.from_at if hasattr(row, "from_at") else row.from_on


def _has_begun(since: Any, editor: Editor) -> bool:
    return bool(since <= editor.now) if isinstance(since, datetime) else bool(since <= editor.today)
