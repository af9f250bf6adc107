"""The invented shop, its people, hours, days off and rooms, written into an empty database."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import RoomProfile
from shoptrack.store import shop

SHOP = "Hollow Pear Woodshop"
ZONE = "America/New_York"

_LONG = ((time(7, 30), time(12)), (time(12, 30), time(16, 30)))
_FRIDAY = ((time(7, 30), time(12)), (time(12, 30), time(14, 30)))
_PART = ((time(9), time(12)), (time(12, 30), time(14, 30)))
WEEK: shop.WorkingDays = (_LONG, _LONG, _LONG, _LONG, _FRIDAY, (), ())
PART_WEEK: shop.WorkingDays = ((), _PART, _PART, _PART, (), (), ())

# an upland stone barn: the bench room is kept warm, the machine room cools out every night
BENCH_ROOM = RoomProfile(
    heated_c=(19, 19, 19.5, 20, 20.5, 21.5, 22.5, 22, 21, 20, 19.5, 19),
    unheated_c=(15.6, 15.6, 16, 16.5, 17, 18, 19, 18.5, 17.5, 16.5, 16, 15.6),
    heated_from=time(6),
    heated_until=time(17, 30),
)
MACHINE_ROOM = RoomProfile(
    heated_c=(15, 15, 16, 17, 18, 20, 21.5, 21, 19, 17, 16, 15),
    unheated_c=(6, 6.5, 8.5, 10.5, 12.5, 15, 16.5, 16, 14, 11, 8.5, 7),
    heated_from=time(6, 30),
    heated_until=time(16, 30),
)
FINISH_ROOM = RoomProfile(
    heated_c=(20, 20, 20, 20.5, 21, 22, 23, 22.5, 21.5, 20.5, 20, 20),
    unheated_c=(17, 17, 17, 17.5, 18, 18.5, 19.5, 19, 18, 17.5, 17, 17),
    heated_from=time(5, 30),
    heated_until=time(19),
)


@dataclass(frozen=True)
class People:
    """Who works here, by id: the owner, the second maker, and the part-timer."""

    maren: int
    idris: int
    wilda: int

    @property
    def all(self) -> tuple[int, ...]:
        """In the order of the names on the wall."""
        return (self.maren, self.idris, self.wilda)


@dataclass(frozen=True)
class Rooms:
    """The rooms by id."""

    bench: int
    machines: int
    finish: int


def write_people(session: Session, opened_on: date, opened_at: datetime) -> People:
    """The shop, its week and the three who work in it."""
    shop.make_shop(session, SHOP, ZONE, opened_at, is_demo=True, length_unit="in", temperature_unit="F")
    shop.set_week(session, from_on=opened_on, days=WEEK)
    rows = [shop.make_person(session, n, position=p) for p, n in enumerate(("Maren", "Idris", "Wilda"))]
    people = People(*(row.id for row in rows))
    shop.set_week(session, from_on=opened_on, days=PART_WEEK, person=people.wilda)
    return people


def write_days_off(session: Session, people: People, opened_on: date, today_on: date) -> None:
    """Closing weeks far enough from today on either side, and single days of people's own."""
    for months_ago in (14, 5):
        monday = _monday(today_on - timedelta(days=30 * months_ago))
        shop.add_day_off(
            session, first_on=monday, last_on=monday + timedelta(days=6), reason="the shop is closed"
        )
    ahead = _monday(today_on + timedelta(days=75))
    shop.add_day_off(session, first_on=ahead, last_on=ahead + timedelta(days=6), reason="the shop is closed")
    for weeks, person, length in ((70, people.idris, 4), (47, people.maren, 9), (31, people.idris, 2)):
        first_on = _monday(today_on - timedelta(weeks=weeks))
        if first_on > opened_on:
            last_on = first_on + timedelta(days=length)
            shop.add_day_off(session, first_on=first_on, last_on=last_on, person=person, reason="away")
    coming = today_on + timedelta(days=16)
    shop.add_day_off(session, first_on=coming, last_on=coming, person=people.maren, reason="wood auction")


def _monday(on: date) -> date:
    return on - timedelta(days=on.weekday())


def write_rooms(session: Session, opened_at: datetime) -> Rooms:
    """Three rooms with their usual warmth by month."""
    named = (("bench room", BENCH_ROOM), ("machine room", MACHINE_ROOM), ("finish room", FINISH_ROOM))
    return Rooms(*(shop.make_room(session, n, from_at=opened_at, usual=usual).id for n, usual in named))
