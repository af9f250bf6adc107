"""Values that count from an instant on, and the instant that never comes."""

from datetime import UTC, datetime
from typing import TypeVar

T = TypeVar("T")

FAR = datetime.max.replace(tzinfo=UTC)
"""Later than anything: a mark that is not reached within the horizon."""

Dated = tuple[tuple[datetime, T], ...]
"""Values with the instant each counts from, oldest first; the first counts for all time before it too."""


def in_force(dated: Dated[T], at: datetime) -> T:
    """The value in force at an instant: the newest that counts from then or earlier, else the first.

    Raises IndexError when ``dated`` is empty.
    """
    value = dated[0][1]
    for from_at, later in dated:
        if from_at > at:
            break
        value = later
    return value
