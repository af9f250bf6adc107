"""The programs of a stage → what it says by them: tools and their shares, its measure, hands at changes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.flows.programs.found import Before, Found, found_of, plain
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.stages_view import said_now
from shoptrack.store import job_stages as rows_of
from shoptrack.store import programs as kept
from shoptrack.store.edits import edit
from shoptrack.store.programs import Place, Program

WHY = "by its machine programs"


@dataclass(frozen=True, slots=True)
class Laid:
    """What a stage says by its programs; ``measure_min`` None: its measure is not in minutes."""

    tools: tuple[tuple[int, float], ...]
    measure_min: float | None
    hands_at_min: tuple[float, ...]


def laid_by(programs: Sequence[tuple[Program, Found]], unit: str) -> Laid:
    """What a stage says by its programs, run one after another in the order in which they were attached.

    Takes each program with what was found of it. Method: a tool's share is its cutting minutes in all over
    the minutes of all programs; between two runs somebody is needed too, to put the next piece on.
    """
    total = sum(found.minutes.total * found.times for _, found in programs)
    cutting = defaultdict[int, float](float)
    for program, found in programs:
        for use in program.read.tools:
            if use.tool is not None:
                cutting[use.tool] += use.cutting_min * found.times
    shares = ((tool, min(minutes / total, 1.0)) for tool, minutes in cutting.items() if total > 0)
    return Laid(
        tools=tuple(sorted((tool, round(share, 4)) for tool, share in shares if round(share, 4) > 0)),
        measure_min=_measured(total) if is_minutes(unit) and _measured(total) > 0 else None,
        hands_at_min=hands_at(found for _, found in programs),
    )


def hands_at(programs: Iterable[Found]) -> tuple[float, ...]:
    """The minutes at which somebody is needed, over all runs of all programs; at the very start one is."""
    found, begun = list[float](), 0.0
    for program in programs:
        for _ in range(program.times):
            found += [begun, *(begun + minute for minute in program.hands_at_min)]
            begun += program.minutes.total
    return tuple(sorted({round(minute, 2) for minute in found if round(minute, 2) > 0}))


def _measured(minutes: float) -> float:
    """Minutes as the measure of a stage is written: to a tenth, while they are few to a hundredth."""
    return round(minutes, 1 if minutes >= 10 else 2)


def is_minutes(unit: str) -> bool:
    """Whether a stage of this measure is measured in minutes that a machine cuts."""
    return any(word in ("min", "mins", "minute", "minutes") for word in unit.casefold().split())


def lay(session: Session, sight: Sight, place: Place, who: int | None, now: datetime) -> None:
    """Make a stage say what its programs do, or what it said before where the last of them was removed.

    To be called within ``job_stages.changing``, which makes the tally anew. What is done keeps its measure,
    which was confirmed; so does a stage whose measure somebody wrote over since.
    """
    programs = [
        (p, found_of(p.read.found)) for p in kept.programs_of(session, [place.stage]).get(place.stage, ())
    ]
    before = _before(session, place, programs)
    if before is None:
        return
    laid = laid_by(programs, place.unit) if programs else Laid(before.tools, None, before.hands_at_min or ())
    before = _say(session, sight, place, before, laid, bool(programs), who, now)
    for n, (program, found) in enumerate(programs):
        own = replace(found, before=before if n == 0 else None)
        if own != found:
            kept.write_found(session, program.id, plain(own))


def _before(session: Session, place: Place, programs: Sequence[tuple[Program, Found]]) -> Before | None:
    """What the stage said before its first program: kept on that, or on one that was removed just now."""
    for _, found in programs:
        if found.before is not None:
            return found.before
    passed_on = kept.newest_removed(session, place.stage)
    if passed_on is not None and (found := found_of(passed_on.read.found)).before is not None:
        kept.write_found(session, passed_on.id, plain(replace(found, before=None)))
        return found.before
    if not programs:
        return None
    said = said_now(session, place.job, place.stage)
    row = rows_of.stage_of_job(session, place.job, place.stage)
    hands = None if row.hands_at_min is None else tuple(row.hands_at_min)
    return Before(said.tools, said.quantity, hands)


def _say(
    session: Session,
    sight: Sight,
    place: Place,
    before: Before,
    laid: Laid,
    by_programs: bool,
    who: int | None,
    now: datetime,
) -> Before:
    """Write it into the stage; gives what it said before, with the measure that is laid there now."""
    row = rows_of.stage_of_job(session, place.job, place.stage)
    said = said_now(session, place.job, place.stage)
    tools = (laid.tools or before.tools) if by_programs else before.tools
    quantity, own = _measure(sight, place, said.quantity, before, laid, by_programs)
    if (said.tools, said.quantity) != (tools, quantity):
        rows_of.change_stage(session, row, replace(said, tools=tools, quantity=quantity), who, now)
    hands = list(laid.hands_at_min) if by_programs else before.hands_at_min and list(before.hands_at_min)
    edit(session, row, who, now, why=WHY if by_programs else "", hands_at_min=hands or None)
    return replace(before, laid=own)


def _measure(
    sight: Sight, place: Place, said: float, before: Before, laid: Laid, by_programs: bool
) -> tuple[float, float | None]:
    """The measure that the stage is to have, and the one that programs laid; None: they laid none."""
    passes = sight.replayed.passes.get(place.stage, ())
    done = passes[0].count_done if passes else 0.0
    fixed = bool(passes) and passes[0].finished_at is not None
    written_over = before.laid is not None and said != before.laid
    wanted = laid.measure_min if by_programs else before.quantity if before.laid is not None else None
    if wanted is None or fixed or written_over or wanted < done:
        return said, before.laid if written_over or fixed else None
    return wanted, wanted if by_programs else None
