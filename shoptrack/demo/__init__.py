"""The invented shop: an empty database becomes eighteen months of work and a day in the middle of it."""

import random
import sqlite3
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from shoptrack.demo.ledger import write_ledger, write_rates
from shoptrack.demo.now import write_now
from shoptrack.demo.people import ZONE, write_days_off, write_people, write_rooms
from shoptrack.demo.pieces import Catalogue, write_patterns
from shoptrack.demo.planning import write_planning
from shoptrack.demo.programs import write_router
from shoptrack.demo.quoted import write_quotes
from shoptrack.demo.recipes import write_recipes
from shoptrack.demo.remembered import write_remembered
from shoptrack.demo.scene import Scene, opened
from shoptrack.demo.terms import write_terms
from shoptrack.demo.things import write_things
from shoptrack.demo.wear import Wear
from shoptrack.demo.years import write_years
from shoptrack.errors import Refused
from shoptrack.store.backup import open_read_only
from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate
from shoptrack.store.shop import find_shop, shop_row

SEED = 20
REAL = "This database is a real shop's; the demo does not touch it."
KEPT = 2
"""How many demos of other days are kept beside today's."""


def refuse_real(path: Path) -> None:
    """Raise Refused when a real shop's database is at a path; nothing is written to it, no table is
    migrated.
    """
    if not path.exists():
        return
    file = open_read_only(path)
    try:
        row = file.execute("SELECT is_demo FROM shop").fetchone()
    except sqlite3.Error:
        row = None  # no tables yet, or no database: migrate says what is wrong
    finally:
        file.close()
    if row is not None and not row[0]:
        raise Refused(REAL)


def ensure(store: Store, now: datetime) -> Store | None:
    """Have today's demo in a database: fill an empty one; set one of another day aside and make a new one.

    Gives the new store where the old one was set aside (and closed), else None. Raises Refused for a
    database that is not a demo.
    """
    with store.reading() as session:
        row = find_shop(session)
        if row is not None and not row.is_demo:
            raise Refused(REAL)
        made_at = row.made_at if row is not None else None
    if made_at is None:
        fill(store, now)
        return None
    if _day(made_at) == _day(now):
        return None
    return _anew(store, _day(made_at), now)


def _day(at: datetime) -> date:
    return at.astimezone(ZoneInfo(ZONE)).date()


def _anew(store: Store, made_on: date, now: datetime) -> Store:
    """Set the demo of another day aside, keep the last few, and make one of today."""
    path, instance = store.path, store.instance
    store.close()
    for end in ("", "-wal", "-shm"):
        file = path.with_name(path.name + end)
        if file.exists():
            file.replace(path.with_name(f"{path.stem}-{made_on}{path.suffix}{end}"))
    for old in sorted(path.parent.glob(f"{path.stem}-*{path.suffix}"))[:-KEPT]:
        old.unlink()
    url = _url(path)
    migrate(url, instance, now)
    new = open_store(url, instance)
    fill(new, now)
    return new


def _url(path: Path) -> str:
    return f"sqlite:///{path}"


def fill(store: Store, now: datetime) -> None:
    """Write the invented shop and its log into an empty database; same seed and instant, same content."""
    rng = random.Random(SEED)
    opened_on, opened_at = opened(now)
    with store.writing() as session:
        people = write_people(session, opened_on, opened_at)
        rooms = write_rooms(session, opened_at)
        write_days_off(session, people, opened_on, _day(now))
        things = write_things(session, rooms, people, opened_at, now)
        write_router(session, things, people, opened_at)
        write_rates(session, things, opened_on)
        write_terms(session, opened_on)
        recipes = write_recipes(session, opened_at)
        patterns = write_patterns(session, Catalogue(things, rooms, recipes), opened_at)
    scene = Scene.of(store, people, rooms, things, patterns, rng, now)
    wear = Wear(scene, random.Random(SEED + 2))
    write_years(scene, wear)
    write_now(scene, wear)
    with store.writing() as session:
        write_ledger(session, things, now, random.Random(SEED + 1))
    write_quotes(scene)
    write_remembered(scene)
    write_planning(scene)
    with store.writing() as session:
        # only now: a demo that was broken off counts as one of long ago, and is made anew
        shop_row(session).made_at = now
