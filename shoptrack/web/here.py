"""A request to the shop it is about: the store, the settings and how the shop writes things."""

from typing import cast

from flask import current_app, g

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.store.tables import ShopRow
from shoptrack.web.render import Wall


def store() -> Store:
    """The database that this program serves."""
    return cast(Store, current_app.extensions["shoptrack.store"])


def config() -> Config:
    """The instance's settings."""
    return cast(Config, current_app.extensions["shoptrack.config"])


def wall_of(row: ShopRow | None) -> Wall:
    """How the shop of a row writes things; the defaults before it is set up."""
    if row is None:
        return Wall()
    return Wall(
        name=row.name,
        zone=row.zone,
        length_unit=row.length_unit,
        temperature_unit=row.temperature_unit,
        currency=row.currency,
        clock_24h=row.clock_24h,
        is_demo=row.is_demo,
        first_day=row.first_day,
    )


def hold_wall(row: ShopRow | None) -> None:
    """Keep for this request what a page has read anyway."""
    g.wall = wall_of(row)


def wall() -> Wall:
    """The shop's name, zone and units, read once a request."""
    if "wall" not in g:
        with store().reading() as session:
            hold_wall(session.get(ShopRow, 1))
    return cast(Wall, g.wall)
