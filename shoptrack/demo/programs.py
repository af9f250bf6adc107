"""The machine program of the invented shop, attached to its doors, and how its router reads programs."""

from collections.abc import Generator
from contextlib import ExitStack
from datetime import datetime, timedelta
from tempfile import TemporaryFile
from typing import IO, cast

from sqlalchemy.orm import Session

from shoptrack.demo.people import People
from shoptrack.demo.reeds import NAME, UPCUT, VEE, reed_program
from shoptrack.demo.scene import Scene
from shoptrack.demo.things import Things
from shoptrack.flows.programs.attach import Sent, attach, match
from shoptrack.store import programs as kept
from shoptrack.store.routers import Router, say_router

ROUTER = Router(dwell_unit="seconds", starts_in="inch", rapid_mm_min=4800.0, tool_change_s=90.0)
PATTERN, STAGE = "inlaid door", "carve the panels"
SINCE = timedelta(days=170)
"""Since when programs are attached to the doors that are ordered."""
MEANS = {VEE[0]: "60° V-bit", UPCUT[0]: "1/8 upcut bit"}


def write_router(session: Session, things: Things, people: People, opened_at: datetime) -> None:
    """Say how the router reads programs."""
    say_router(session, things.stations["router table"], ROUTER, people.maren, opened_at)


def attach_program(scene: Scene, job: int, pattern: str, pieces: int, at: datetime) -> None:
    """Attach the program to a door that is ordered, run once for each; its bits are matched once."""
    if pattern != PATTERN or at < scene.now - SINCE:
        return
    stage = scene.stage(job, STAGE)
    with ExitStack() as stack:
        file = cast("IO[bytes]", stack.enter_context(TemporaryFile()))
        file.write(reed_program())
        program = _to_the_end(
            attach(scene.store, job, stage, Sent(file, NAME, pieces), scene.people.maren, at)
        )
    with scene.store.reading() as session:
        known = all(use.tool is not None for use in kept.program(session, job, program).read.tools)
    if not known:
        means = {number: scene.things.tools[tool] for number, tool in MEANS.items()}
        match(scene.store, job, program, means, scene.people.maren, at)
    scene.look_again()


def _to_the_end(work: Generator[int, None, int]) -> int:
    while True:
        try:
            next(work)
        except StopIteration as end:
            return cast("int", end.value)
