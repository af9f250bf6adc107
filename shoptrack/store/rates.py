"""What an hour of hands or of a machine costs, by date."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import ColumnElement, and_, select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.store.dated_rows import say_from
from shoptrack.store.tables import EditRow, RateRow


def set_rate(
    session: Session,
    *,
    cents_per_h: int,
    from_on: date,
    who: int | None,
    now: datetime,
    person: int | None = None,
    station: int | None = None,
) -> bool:
    """Say what an hour costs from a date on: a person's, a station's, or with neither anybody's.

    Gives whether anything changed. Raises BadInput below nothing, or for a person and a station at once.
    """
    if cents_per_h < 0:
        raise BadInput("An hour can’t cost less than nothing.", "rate")
    if person is not None and station is not None:
        raise BadInput("A rate is for hands or for a machine, not for both.", "whose")
    what = "hands" if station is None else "machine"
    owner = {"what": what, "person_id": person, "station_id": station}
    return say_from(session, RateRow, owner, from_on, who, now, cents_per_h=cents_per_h)


def list_rates(session: Session) -> Sequence[RateRow]:
    """Every rate there ever was: anybody's hands first, then people, then machines, each oldest first."""
    order = (RateRow.what, RateRow.person_id.nulls_first(), RateRow.station_id, RateRow.from_on)
    return session.scalars(select(RateRow).order_by(*order)).all()


def lines_about_anybody() -> ColumnElement[bool]:
    """Which lines of history speak of the rate of anybody's hands."""
    anybody = select(RateRow.id).where(RateRow.what == "hands", RateRow.person_id.is_(None))
    return and_(EditRow.table_name == RateRow.__tablename__, EditRow.row_id.in_(anybody))


def hands_rate(rates: Sequence[RateRow], person: int | None, on: date) -> int | None:
    """What an hour of a person's hands costs on a day: their own rate, else anybody's; None: none is said."""
    own = None if person is None else _in_force(rates, "hands", person, None, on)
    return own if own is not None else _in_force(rates, "hands", None, None, on)


def machine_rate(rates: Sequence[RateRow], station: int, on: date) -> int | None:
    """What an hour of a station costs on a day; None where none is said."""
    return _in_force(rates, "machine", None, station, on)


def _in_force(
    rates: Sequence[RateRow], what: str, person: int | None, station: int | None, on: date
) -> int | None:
    wanted = (what, person, station)
    own = [r for r in rates if (r.what, r.person_id, r.station_id) == wanted and r.from_on <= on]
    return max(own, key=lambda r: r.from_on).cents_per_h if own else None
