"""A program file for a stage → read, matched with the shop's tools and laid out there, or all as before."""

import hashlib
from collections.abc import Generator, Mapping
from contextlib import closing
from dataclasses import dataclass, replace
from datetime import datetime
from typing import IO

from sqlalchemy.orm import Session

from shoptrack.engine.shapes.programs import Program as Read
from shoptrack.errors import BadInput, Refused
from shoptrack.flows.job_stages import changing
from shoptrack.flows.programs.found import Found, found_of
from shoptrack.flows.programs.from_program import (
    found_of_program,
    path_of,
    reading_of,
    tools_of,
    ways_of,
)
from shoptrack.flows.programs.lay import lay
from shoptrack.flows.programs.reading import read_apart
from shoptrack.store import programs as kept
from shoptrack.store import routers
from shoptrack.store.db import Store
from shoptrack.store.programs import Place, ToolUse
from shoptrack.store.routers import Router

GREATEST_BYTES = 100 * 1024 * 1024
TOO_LARGE = "The file is larger than 100 MB."
NOTHING = "There is not one cut in this file, so it is no machine program for this stage."
THERE_ALREADY = "This very program is attached to the stage already."
MOST_TIMES = 1000
_PIECE = 1024 * 1024


@dataclass(frozen=True, slots=True)
class Sent:
    """A file as it was sent, open at its beginning, with its name and what was said of it."""

    file: IO[bytes]
    name: str
    times: int = 1


def attach(
    store: Store, job: int, stage: int, sent: Sent, who: int | None, now: datetime
) -> Generator[int, None, int]:
    """Read a program and attach it to a stage; tells how many bytes are read, gives the program's number.

    The file is closed in the end. Nothing is written before all of it was read, and then all in one
    transaction. Raises BadInput at its field for a file that can't be read or is there already, Refused for a
    closed job, NotFound.
    """
    with closing(sent.file):
        fingerprint, size = fingerprint_of(sent.file)
        with store.reading() as session:
            place = kept.place_of(session, job, stage)
            router = routers.router_of(session, place.station)
            _refuse_same(session, stage, fingerprint)
        if not size:
            raise BadInput("The file is empty.", "file")
        read = yield from read_apart(sent.file, ways_of(router))
    if read.cutting_mm <= 0:
        raise BadInput(NOTHING, "file")
    with changing(store, job, stage, now) as (session, sight):
        _refuse_same(session, stage, fingerprint)  # another may have sent it meanwhile
        place = kept.place_of(session, job, stage)
        if routers.router_of(session, place.station) != router:
            raise Refused("The settings of the router changed while the program was read. Send it once more.")
        made = _keep(session, place, sent, read, router, (fingerprint, size), who, now)
        lay(session, sight, place, who, now)
    return made


def _keep(
    session: Session,
    place: Place,
    sent: Sent,
    read: Read,
    router: Router,
    mark: tuple[str, int],
    who: int | None,
    now: datetime,
) -> int:
    known = routers.remembered_tools(session, place.station)
    tools = tuple(replace(use, tool=known.get((use.number, use.label))) for use in tools_of(read))
    found = found_of_program(read, router, sent.times)
    reading = reading_of(found, sent.name, *mark, path_of(read.strokes), tools)
    return kept.keep_program(session, place.stage, place.station, reading, who, now)


def _refuse_same(session: Session, stage: int, fingerprint: str) -> None:
    if kept.same_program(session, stage, fingerprint) is not None:
        raise BadInput(THERE_ALREADY, "file")


def fingerprint_of(file: IO[bytes]) -> tuple[str, int]:
    """The fingerprint of a file and its size in bytes; it is open at its beginning then."""
    file.seek(0)
    found, size = hashlib.sha256(), 0
    while piece := file.read(_PIECE):
        found.update(piece)
        size += len(piece)
    file.seek(0)
    return found.hexdigest(), size


def match(
    store: Store, job: int, program: int, means: Mapping[int, int | None], who: int | None, now: datetime
) -> None:
    """Say which of the shop's tools the numbers of a program mean; it is remembered for its router.

    Raises BadInput at its field for a tool that is not there or retired, Refused for a closed job, NotFound.
    """
    with store.reading() as session:
        stage = kept.program(session, job, program).stage
    with changing(store, job, stage, now) as (session, sight):
        own = kept.program(session, job, program)
        _refuse_removed(own)
        _refuse_strange(session, own.read.tools, means)
        if kept.say_tools(session, program, means, who, now):
            if own.station is not None:
                said = {
                    (use.number, use.label): means[use.number]
                    for use in own.read.tools
                    if use.number in means
                }
                routers.remember_tools(session, own.station, said)
            lay(session, sight, kept.place_of(session, job, stage), who, now)


def _refuse_strange(session: Session, own: tuple[ToolUse, ...], means: Mapping[int, int | None]) -> None:
    tools = {tool.id: tool for tool in kept.shop_tools(session)}
    before = {use.number: use.tool for use in own}
    for number, tool in means.items():
        if tool is None or tool == before.get(number):
            continue
        if tool not in tools or tools[tool].retired:
            raise BadInput("That tool is not there any more.", f"tool-{number}")


def run_times(store: Store, job: int, program: int, times: int, who: int | None, now: datetime) -> None:
    """Say how often the stage runs a program: once for each piece or sheet. Raises Refused, NotFound."""
    with store.reading() as session:
        stage = kept.program(session, job, program).stage
    with changing(store, job, stage, now) as (session, sight):
        own = kept.program(session, job, program)
        _refuse_removed(own)
        found = found_of(own.read.found)
        if found.times != times:
            kept.say_times(session, program, found.times, times, who, now)
            rewrite(session, own, replace(found, times=times))
            lay(session, sight, kept.place_of(session, job, stage), who, now)


def rewrite(session: Session, own: kept.Program, found: Found) -> None:
    """Write a program anew as it is timed now."""
    read = own.read
    new = reading_of(found, read.name, read.fingerprint, read.size, read.path, read.tools)
    kept.rewrite_times(session, own.id, new)


def _refuse_removed(own: kept.Program) -> None:
    if own.removed_at is not None:
        raise Refused("This program was removed from its stage. Attach the file again to change anything.")


def remove(store: Store, job: int, program: int, who: int | None, now: datetime) -> None:
    """Take a program off its stage, which then says what its others do, or what it said before; once.

    Raises Refused for a closed job, NotFound.
    """
    with store.reading() as session:
        own = kept.program(session, job, program)
    if own.removed_at is not None:
        return
    with changing(store, job, own.stage, now) as (session, sight):
        kept.remove_program(session, program, who, now)
        lay(session, sight, kept.place_of(session, job, own.stage), who, now)
