"""All that the shop is and has → its parts list: a number, a part, how many, and what is in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flask import render_template
from sqlalchemy.orm import Session

from shoptrack.engine.units import show_cents
from shoptrack.store import backup
from shoptrack.store.holidays import countries, parts
from shoptrack.store.hour_costs import year_on
from shoptrack.store.hours import days_off, week_on, week_words, weeks_of
from shoptrack.store.names import people_names
from shoptrack.store.overtime import overtime_said
from shoptrack.store.patterns import list_patterns
from shoptrack.store.pins import holders
from shoptrack.store.rates import hands_rate, list_rates
from shoptrack.store.shop import list_people, shop_row
from shoptrack.store.terms import terms_on
from shoptrack.web.here import config, store
from shoptrack.web.render import minutes, short_date
from shoptrack.web.shop.door import Editor, bp, editor, is_there
from shoptrack.web.shop.hour_cost_page import year_words
from shoptrack.web.shop.minutes import time_words
from shoptrack.web.shop.overtime_page import hours_words
from shoptrack.web.shop.terms_page import terms_words
from shoptrack.web.shop.things import THINGS

MOST_NAMES = 8
MONEY = (
    ("Customers", "/customers", "who the work is for, what they owe"),
    ("Months", "/months", "hours, money and what is owed, month by month"),
    ("Weeks", "/weeks", "everybody’s hours, week by week"),
)
OTHERS = (
    ("Curing list", "/curing", "what cures and until when, to print"),
    ("Calendar for a phone", "/calendar", "promised dates and marks in a phone’s own calendar"),
    ("In and out", "/files", "past times brought in, everything taken out"),
    ("Tablets", "/devices", "which tablets and phones may come in"),
    ("Search", "/search", "jobs, quotes, customers, notes"),
    ("History", "/shop/history", "who changed what, and when"),
    ("First day", "/start", "the guided start, step by step"),
)


@dataclass(frozen=True, slots=True)
class Part:
    """A line of the parts list; ``count`` is how many there are, where that can be counted."""

    name: str
    path: str
    words: str
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """A few lines under a heading of their own."""

    name: str
    parts: tuple[Part, ...]


@bp.get("/shop")
def show_sheet() -> str:
    by = editor()
    with store().reading() as session:
        groups = (
            Group("the shop", (_itself(session), _things(session, "people"), *_time(session, by))),
            Group(
                "what stands in it", _some(session, ("rooms", "stations", "clamps", "tools", "edge-kinds"))
            ),
            Group("customers and money", (*_pages(MONEY), *_money(session, by))),
            Group("what the work is made of", _made_of(session)),
            Group("papers and tablets", (*_pages(OTHERS), *_safety(session, by))),
        )
    return render_template("shop/sheet.html", groups=groups)


def named(names: Iterable[str]) -> str:
    """The first few names in one line, and how many more."""
    known = list(names)
    more = len(known) - MOST_NAMES
    return ", ".join(known[:MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def _pages(known: Sequence[tuple[str, str, str]]) -> tuple[Part, ...]:
    return tuple(Part(name, path, words) for name, path, words in known if is_there(path))


def _itself(session: Session) -> Part:
    row = shop_row(session)
    lengths = "inches" if row.length_unit == "in" else "mm"
    return Part(
        "The shop itself",
        "/shop/itself",
        f"{row.name}, {row.zone.replace('_', ' ')}, {lengths}, °{row.temperature_unit}, {row.currency}",
    )


def _things(session: Session, what: str) -> Part:
    rows = THINGS[what].rows(session)
    return Part(THINGS[what].title, f"/shop/{what}", named(row.name for row in rows), len(rows))


def _some(session: Session, whats: Sequence[str]) -> tuple[Part, ...]:
    return tuple(_things(session, what) for what in whats)


def _time(session: Session, by: Editor) -> tuple[Part, ...]:
    week = week_on(weeks_of(session, None), by.today)
    coming = [row for row in reversed(days_off(session)) if row.last_on >= by.today]
    country, _, part = (shop_row(session).holidays_of or "").partition("-")
    place = [dict(countries()).get(country, ""), dict(parts(country)).get(part, "")]
    off = [f"{short_date(row.first_on, by.today)} {row.reason}".strip() for row in coming[:3]]
    more = f" and {len(coming) - 3} more" if len(coming) > 3 else ""
    return (
        Part(
            "Working hours",
            "/shop/hours",
            week_words(week.days, lambda at: time_words(at, by.wall)) if week else "",
        ),
        Part("Days off", "/shop/days-off", ", ".join(off) + more, len(coming)),
        _overtime(session, by),
        Part("Holidays", "/shop/holidays", ", ".join(p for p in place if p) or "of no country yet"),
    )


def _overtime(session: Session, by: Editor) -> Part:
    names = people_names(session)
    coming = [row for row in reversed(overtime_said(session)) if row.on_date >= by.today]
    said = [
        f"{short_date(o.on_date, by.today)} {names.get(o.person_id or 0, 'everybody')} {hours_words(o, by)}"
        for o in coming[:3]
    ]
    more = f" and {len(coming) - 3} more" if len(coming) > 3 else ""
    return Part("Overtime", "/shop/overtime", ", ".join(said) + more, len(coming))


def _money(session: Session, by: Editor) -> tuple[Part, ...]:
    """What an hour is reckoned at, what a year of hours costs, and what a quote asks for."""
    rate, year = hands_rate(list_rates(session), None, by.today), year_on(session, by.today)
    terms = terms_on(session, by.today)
    said = "starting value, say your own: " if terms.starting else ""
    rated = "none yet" if rate is None else f"an hour of hands {show_cents(rate, by.wall.currency)}"
    return (
        Part("Rates", "/shop/rates", rated),
        Part(
            "What an hour costs",
            "/shop/hour-cost",
            "reckoned from a year: none said yet" if year is None else year_words(year, by.wall),
        ),
        Part("Terms of a quote", "/shop/terms", said + terms_words(terms, by.wall)),
    )


def _safety(session: Session, by: Editor) -> tuple[Part, ...]:
    """The PINs, by who has one, and the backups, by the age of the last good one."""
    has = holders(session)
    names = named(p.name for p in list_people(session) if p.id in has)
    good = backup.list_good(config().instance / "backups")
    age = f"last good one {minutes((by.now - good[-1].at).total_seconds() / 60)} ago" if good else "none yet"
    return (
        Part("PINs", "/office/pin", names or "nobody has one, so the office asks for none", len(has)),
        Part("Backups", "/backups", f"{age}; one is made each day", len(good)),
    )


def _made_of(session: Session) -> tuple[Part, ...]:
    patterns = [p.name for p in list_patterns(session)]
    found = list(_some(session, ("materials", "recipes", "kinds")))
    if is_there("/patterns"):
        found.append(Part("Patterns", "/patterns", named(patterns), len(patterns)))
    return tuple(found)
