"""Dates that were promised and when jobs were done → how often dates held, by the chance that was shown."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

from sqlalchemy.orm import Session

from shoptrack.engine.shares import share_between
from shoptrack.store.done_jobs import done_jobs
from shoptrack.store.promised_dates import DateHeld, kept_and_missed

BANDS = (0.0, 0.5, 0.7, 0.85, 0.95)
"""The least chance of each band in which dates are counted together."""
FEWEST = 10
"""Of fewer dates nothing is said but how many they are."""


@dataclass(frozen=True, slots=True)
class BandHeld:
    """Dates that were shown with chances in one band: ``low`` to ``high``; both None: no chance was shown.

    ``said`` is the mean chance shown. The true share lies between ``least`` and ``most``.
    """

    low: float | None
    high: float | None
    said: float | None
    held: int
    of: int
    least: float
    most: float

    @property
    def share(self) -> float:
        """How often they held; nought where there are none."""
        return self.held / self.of if self.of else 0.0

    @property
    def verdict(self) -> str:
        """What may be said: "too few", "as said", "less often", "more often"; "" where none was shown."""
        if self.said is None:
            return ""
        if self.of < FEWEST:
            return "too few"
        if self.least <= self.said <= self.most:
            return "as said"
        return "less often" if self.share < self.said else "more often"


@dataclass(frozen=True, slots=True)
class DatesHeld:
    """All dates, then those of each band that has any; ``late_days`` is the middle lateness of the missed."""

    whole: BandHeld
    bands: tuple[BandHeld, ...]
    late_days: int | None


def dates_held(session: Session, today: date) -> DatesHeld:
    """How often dates held. Empty: none was promised yet.

    A date that is over with its job not done was missed. Jobs done before chances were kept, or that were
    promised while none could be reckoned, count among those without a chance.
    """
    return held_of(_every(session), today)


def _every(session: Session) -> tuple[DateHeld, ...]:
    kept = kept_and_missed(session)
    known = {(each.job, each.promised_on) for each in kept}
    done = (DateHeld(each.job, each.promised_on, None, each.done_on) for each in done_jobs(session))
    return (*kept, *(each for each in done if (each.job, each.promised_on) not in known))


def held_of(dates: Sequence[DateHeld], today: date) -> DatesHeld:
    """The same of dates that were read."""
    over = [each for each in dates if each.done_on is not None or each.promised_on < today]
    shown = [each for each in over if each.chance is not None]
    highs = (*BANDS[1:], 1.0)
    bands = [
        _band([e for e in shown if low <= (e.chance or 0.0) < high or (e.chance == high == 1.0)], low, high)
        for low, high in zip(BANDS, highs, strict=True)
    ]
    without = _band([each for each in over if each.chance is None], None, None)
    late = sorted(((e.done_on or today) - e.promised_on).days for e in over if not e.kept)
    return DatesHeld(
        _band(over, None, None),
        tuple(band for band in (*bands, without) if band.of),
        late[len(late) // 2] if late else None,
    )


def _band(dates: Sequence[DateHeld], low: float | None, high: float | None) -> BandHeld:
    held = sum(1 for each in dates if each.kept)
    chances = [each.chance for each in dates if each.chance is not None]
    least, most = share_between(held, len(dates))
    said = fmean(chances) if chances and low is not None else None
    return BandHeld(low, high, said, held, len(dates), least, most)
