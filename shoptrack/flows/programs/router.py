"""How a station reads programs → as its page shows it; and said anew, with its programs timed by that."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.programs import Factor
from shoptrack.flows.programs.attach import rewrite
from shoptrack.flows.programs.found import found_of
from shoptrack.flows.programs.from_program import timed
from shoptrack.flows.programs.lay import lay
from shoptrack.flows.programs.pace import factor_of
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.flows.shopfloor import sight_of
from shoptrack.store import programs as kept
from shoptrack.store import routers
from shoptrack.store.db import Store
from shoptrack.store.routers import Router


@dataclass(frozen=True, slots=True)
class RouterView:
    """A station as its page of settings shows it: its settings, its pace, the programs that were read for it.

    ``by_own_unit``: so many of these programs were read in the unit that the router starts in, as they say
    none themselves; with another unit they have to be sent again.
    """

    station: int
    name: str
    router: Router
    factor: Factor
    programs: int
    by_own_unit: int


def router_view(store: Store, station: int) -> RouterView:
    """A station's settings for programs. Raises NotFound."""
    with store.reading() as session:
        row = routers.station_row(session, station)
        own = [found_of(p.read.found) for p in kept.programs_of_router(session, station)]
        runs = routers.runs_by_router(session).get(station, ())
        return RouterView(
            station=station,
            name=row.name,
            router=routers.router_of(session, station),
            factor=factor_of(runs),
            programs=len(own),
            by_own_unit=sum(found.unit_assumed for found in own),
        )


def say(store: Store, station: int, said: Router, who: int | None, now: datetime) -> None:
    """Say how a station reads programs, and time those of it anew from what is kept of them.

    Stages of open jobs get their new minutes in the same transaction. Raises BadInput, NotFound.
    """
    with store.writing() as session:
        if not routers.say_router(session, station, said, who, now):
            return
        router = routers.router_of(session, station)
        places = kept.open_places(session, _time_anew(session, station, router))
        if places:
            sight = sight_of(store, session, now, tuple({place.job for place in places}))
            for place in places:
                lay(session, sight, place, who, now)
            rebuild_tally(session, now)


def _time_anew(session: Session, station: int, router: Router) -> set[int]:
    """Time every program of a router by its new settings; gives the stages whose minutes are others now."""
    stages = set[int]()
    for own in kept.programs_of_router(session, station):
        found = found_of(own.read.found)
        anew = timed(found, router)
        if anew != found:
            rewrite(session, own, anew)
        if anew.minutes != found.minutes:
            stages.add(own.stage)
    return stages
