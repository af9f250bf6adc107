"""The shop as it is described: name and zone, people and hours, rooms, stations, clamps, kinds of stage."""

from collections.abc import Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Attendance, Interruption, RoomProfile, Rule
from shoptrack.errors import BadInput, NotSetUp
from shoptrack.store.tables import (
    DayOffRow,
    PersonRow,
    PoolCountRow,
    PoolRow,
    RoomRow,
    RoomTempRow,
    RuleRow,
    ShopRow,
    StageKindRow,
    StationRow,
    WeekRow,
)

WorkingDays = Sequence[Sequence[tuple[time, time]]]
"""The working spans of each weekday, Monday first."""

PLAIN_DAY = ((time(8), time(12)), (time(12, 30), time(16, 30)))


def make_shop(session: Session, name: str, zone: str, now: datetime, **settings: object) -> ShopRow:
    """Set the shop up: its name, its time zone and any other column of the shop.

    Raises BadInput when the zone is not one of the zone database.
    """
    try:
        ZoneInfo(zone)
    except (KeyError, ValueError, OSError) as problem:
        raise BadInput(f"{zone} is not a time zone; one looks like America/Chicago.", "zone") from problem
    row = ShopRow(id=1, name=name, zone=zone, made_at=now, **settings)
    session.add(row)
    session.flush()
    return row


def find_shop(session: Session) -> ShopRow | None:
    """The shop's own row; None before it is set up."""
    return session.get(ShopRow, 1)


def shop_zone(session: Session) -> ZoneInfo:
    """The shop's time zone. Empty: UTC before it is set up."""
    shop = find_shop(session)
    return ZoneInfo(shop.zone if shop else "UTC")


def shop_row(session: Session) -> ShopRow:
    """The shop's own row. Raises NotSetUp before it is set up."""
    row = find_shop(session)
    if row is None:
        raise NotSetUp("The shop isn't set up yet.")
    return row


def make_person(session: Session, name: str, *, position: int = 0) -> PersonRow:
    """Add somebody who works here; ``position`` is the place among the names."""
    row = PersonRow(name=name, position=position)
    session.add(row)
    session.flush()
    return row


def list_people(session: Session) -> list[PersonRow]:
    """Those who work here now, in their order."""
    chosen = select(PersonRow).where(PersonRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(PersonRow.position, PersonRow.id)))


def set_week(session: Session, *, from_on: date, days: WorkingDays, person: int | None = None) -> None:
    """Say the working week of a person, or of the shop, from a date on; said again, it replaces.

    Raises BadInput when there are not seven days or a span ends before it begins.
    """
    if len(days) != 7:
        raise BadInput("A week has seven days.", "days")
    if any(opens >= closes for spans in days for opens, closes in spans):
        raise BadInput("Work must begin before it ends.", "days")
    whose = WeekRow.person_id.is_(None) if person is None else WeekRow.person_id == person
    session.execute(delete(WeekRow).where(whose, WeekRow.from_on == from_on))
    for weekday, spans in enumerate(days):
        for opens, closes in spans or ((None, None),):
            row = WeekRow(person_id=person, from_on=from_on, weekday=weekday, opens=opens, closes=closes)
            session.add(row)
    session.flush()


def add_day_off(
    session: Session, *, first_on: date, last_on: date, person: int | None = None, reason: str = ""
) -> DayOffRow:
    """Say that a person, or nobody, works from one date to another, both included.

    Raises BadInput when the last day is before the first.
    """
    if last_on < first_on:
        raise BadInput("The last day off is before the first.", "last_on")
    row = DayOffRow(person_id=person, first_on=first_on, last_on=last_on, reason=reason)
    session.add(row)
    session.flush()
    return row


def make_room(session: Session, name: str, *, from_at: datetime, usual: RoomProfile) -> RoomRow:
    """Add a room with its usual warmth."""
    row = RoomRow(name=name)
    session.add(row)
    session.flush()
    set_warmth(session, row.id, from_at=from_at, usual=usual)
    return row


def set_warmth(session: Session, room: int, *, from_at: datetime, usual: RoomProfile) -> None:
    """Say the usual warmth of a room from an instant on. Raises BadInput unless it has twelve months."""
    if len(usual.heated_c) != 12 or len(usual.unheated_c) != 12:
        raise BadInput("The usual warmth needs a number for each of the twelve months.", "heated_c")
    for month, (heated, unheated) in enumerate(zip(usual.heated_c, usual.unheated_c, strict=True), start=1):
        session.add(
            RoomTempRow(
                room_id=room,
                from_at=from_at,
                month=month,
                heated_c=heated,
                unheated_c=unheated,
                heated_from=usual.heated_from,
                heated_until=usual.heated_until,
            )
        )
    session.flush()


def list_rooms(session: Session) -> list[RoomRow]:
    """The rooms in use."""
    return list(session.scalars(select(RoomRow).where(RoomRow.retired_at.is_(None)).order_by(RoomRow.id)))


def make_station(
    session: Session,
    name: str,
    *,
    room: int | None = None,
    makes_dust: bool = False,
    greatest_width_mm: float | None = None,
    least_length_mm: float | None = None,
    bed_length_mm: float | None = None,
    bed_width_mm: float | None = None,
) -> StationRow:
    """Add a machine or place that one stage holds at a time, with its limits."""
    row = StationRow(
        name=name,
        room_id=room,
        makes_dust=makes_dust,
        greatest_width_mm=greatest_width_mm,
        least_length_mm=least_length_mm,
        bed_length_mm=bed_length_mm,
        bed_width_mm=bed_width_mm,
    )
    session.add(row)
    session.flush()
    return row


def list_stations(session: Session) -> list[StationRow]:
    """The stations in use."""
    chosen = select(StationRow).where(StationRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(StationRow.id)))


def make_pool(session: Session, name: str, *, reach_mm: int, owned: int, from_at: datetime) -> PoolRow:
    """Add clamps of one reach, with how many there are."""
    row = PoolRow(name=name, reach_mm=reach_mm)
    session.add(row)
    session.flush()
    set_owned(session, row.id, from_at=from_at, owned=owned)
    return row


def set_owned(session: Session, pool: int, *, from_at: datetime, owned: int) -> None:
    """Say how many clamps of a pool there are from an instant on. Raises BadInput below none."""
    if owned < 0:
        raise BadInput("There can't be fewer than no clamps.", "owned")
    session.add(PoolCountRow(pool_id=pool, from_at=from_at, owned=owned))
    session.flush()


def list_pools(session: Session) -> list[PoolRow]:
    """The clamp pools in use, shortest reach first."""
    chosen = select(PoolRow).where(PoolRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(PoolRow.reach_mm, PoolRow.id)))


def make_kind(
    session: Session,
    name: str,
    *,
    unit: str,
    rule: Rule,
    from_at: datetime,
    attendance: Attendance = "hands-on",
    interruption: Interruption = "any",
    dusty: bool = False,
    caution: str = "",
    position: int = 0,
    starting: bool = False,
) -> StageKindRow:
    """Add a kind of stage with its measure's unit and its rule of thumb, a ``starting`` one or its own."""
    row = StageKindRow(
        name=name,
        unit=unit,
        attendance=attendance,
        interruption=interruption,
        dusty=dusty,
        caution=caution,
        position=position,
    )
    session.add(row)
    session.flush()
    set_rule(session, row.id, from_at=from_at, rule=rule, starting=starting)
    return row


def set_rule(session: Session, kind: int, *, from_at: datetime, rule: Rule, starting: bool = False) -> None:
    """Say a kind's rule of thumb from an instant on. Raises BadInput for minutes below none."""
    if rule.setup_min < 0 or rule.rate_min < 0:
        raise BadInput("A rule of thumb can't have fewer than no minutes.", "setup_min")
    said = {"setup_min": rule.setup_min, "rate_min": rule.rate_min, "starting": starting}
    session.add(RuleRow(kind_id=kind, from_at=from_at, **said))
    session.flush()


def list_kinds(session: Session) -> list[StageKindRow]:
    """The kinds of stage in use, in their order."""
    chosen = select(StageKindRow).where(StageKindRow.retired_at.is_(None))
    return list(session.scalars(chosen.order_by(StageKindRow.position, StageKindRow.id)))


def every_kind(session: Session) -> dict[int, StageKindRow]:
    """Every kind of stage there ever was, by number."""
    return {row.id: row for row in session.scalars(select(StageKindRow))}
