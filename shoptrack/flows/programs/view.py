"""A kept program → what its page shows: minutes by tool, what it takes on this router, what does not fit."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from shoptrack.engine.gcode import against_bed, against_flute
from shoptrack.engine.shapes import programs as shapes
from shoptrack.engine.shapes.programs import Factor
from shoptrack.engine.units import show_length
from shoptrack.flows.job_facts import JobFacts, job_facts
from shoptrack.flows.programs.found import Found, found_of
from shoptrack.flows.programs.lay import is_minutes
from shoptrack.flows.programs.pace import factor_of
from shoptrack.store import programs as kept
from shoptrack.store import routers
from shoptrack.store.db import Store
from shoptrack.store.names import people_names
from shoptrack.store.programs import Place, Program, ShopTool, ToolUse
from shoptrack.store.shop import shop_row

Say = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class ToolLine:
    """One tool of a program: what one run does with it, which of the shop's it is, what does not fit.

    ``choices`` are the shop's tools it may be, those of the router first. ``known``: the number was matched
    for this router before. ``share`` is of the minutes of a run.
    """

    number: int
    label: str
    cutting_min: float
    cutting_mm: float
    deepest_mm: float | None
    least_feed_mm_min: float | None
    most_feed_mm_min: float | None
    share: float
    tool: int | None
    tool_name: str
    known: bool
    choices: tuple[tuple[int, str], ...]
    too_deep: str


@dataclass(frozen=True, slots=True)
class ProgramView:
    """A program with all its page shows. ``run_min`` is the range of all its runs on this router."""

    facts: JobFacts
    place: Place
    program: Program
    found: Found
    who: str
    factor: Factor
    run_min: tuple[float, float, float]
    tools: tuple[ToolLine, ...]
    off_bed: tuple[str, ...]
    measured: bool
    path: Any

    @property
    def unmatched(self) -> int:
        """How many of its tools nobody has matched yet."""
        return sum(line.tool is None for line in self.tools)


@dataclass(frozen=True, slots=True)
class Brief:
    """A program as the pages of its stage tell of it: its name, minutes of all runs, its tools by name."""

    id: int
    job: int
    name: str
    total_min: float
    times: int
    tools: tuple[str, ...]
    unmatched: int


@dataclass(frozen=True, slots=True)
class StagePrograms:
    """The programs of a stage and what a form to attach another needs. ``measured``: it is in minutes."""

    facts: JobFacts
    place: Place
    programs: tuple[Brief, ...]
    router: routers.Router
    measured: bool


def program_view(store: Store, job: int, program: int) -> ProgramView:
    """What the page of a program shows. Raises NotFound."""
    with store.reading() as session:
        own = kept.program(session, job, program)
        place = kept.place_of(session, job, own.stage)
        found = found_of(own.read.found)
        factor = factor_of(routers.runs_by_router(session).get(own.station or 0, ()))
        say = _lengths(session)
        return ProgramView(
            facts=job_facts(session, job),
            place=place,
            program=own,
            found=found,
            who=people_names(session).get(own.added_by or 0, ""),
            factor=factor,
            run_min=_range(own.read.total_min, factor),
            tools=tuple(_lines(session, own, found, say)),
            off_bed=_off_bed(found, place, say),
            measured=is_minutes(place.unit),
            path=own.read.path,
        )


def stage_programs(store: Store, job: int, stage: int) -> StagePrograms:
    """The programs of a stage. Raises NotFound."""
    with store.reading() as session:
        place = kept.place_of(session, job, stage)
        return StagePrograms(
            facts=job_facts(session, job),
            place=place,
            programs=briefs(session, [stage]).get(stage, ()),
            router=routers.router_of(session, place.station),
            measured=is_minutes(place.unit),
        )


def briefs(session: Session, stages: Iterable[int]) -> dict[int, tuple[Brief, ...]]:
    """The programs of some stages in few words, by stage. Empty: none of them has any."""
    found = kept.programs_of(session, list(stages))
    if not found:
        return {}
    names = {tool.id: tool.name for tool in kept.shop_tools(session)}
    jobs = kept.jobs_of(session, found)
    return {
        stage: tuple(_brief(own, jobs[stage], names) for own in programs) for stage, programs in found.items()
    }


def _brief(own: Program, job: int, names: Mapping[int, str]) -> Brief:
    read = own.read
    return Brief(
        id=own.id,
        job=job,
        name=read.name,
        total_min=read.total_min,
        times=found_of(read.found).times,
        tools=tuple(dict.fromkeys(names.get(use.tool or 0) or called(use) for use in read.tools)),
        unmatched=sum(use.tool is None for use in read.tools),
    )


def called(use: ToolUse) -> str:
    """What a program calls a tool: its number, with its label where it has one."""
    return f"T{use.number} {use.label}".strip()


def _range(total_min: float, factor: Factor) -> tuple[float, float, float]:
    return total_min * factor.p10, total_min * factor.p50, total_min * factor.p90


def _lines(session: Session, own: Program, found: Found, say: Say) -> Iterable[ToolLine]:
    tools = {tool.id: tool for tool in kept.shop_tools(session)}
    known = routers.remembered_tools(session, own.station)
    total = found.minutes.total
    for use in own.read.tools:
        least, most = found.feeds.get(use.number, (None, None))
        tool = tools.get(use.tool or 0)
        yield ToolLine(
            number=use.number,
            label=use.label,
            cutting_min=use.cutting_min,
            cutting_mm=use.cutting_mm,
            deepest_mm=use.deepest_mm,
            least_feed_mm_min=least,
            most_feed_mm_min=most,
            share=use.cutting_min / total if total > 0 else 0.0,
            tool=use.tool,
            tool_name=tool.name if tool is not None else "",
            known=use.tool is not None and known.get((use.number, use.label)) == use.tool,
            choices=_choices(tools, own.station, tool),
            too_deep=_too_deep(use, tool, say),
        )


def _choices(
    tools: Mapping[int, ShopTool], station: int | None, own: ShopTool | None
) -> tuple[tuple[int, str], ...]:
    """The shop's tools by name, those mounted at the router first; a retired one where it is chosen."""
    living = [t for t in tools.values() if not t.retired or t is own]
    return tuple(
        (t.id, t.name) for t in sorted(living, key=lambda t: (t.station != station, t.name.casefold()))
    )


def _too_deep(use: ToolUse, tool: ShopTool | None, say: Say) -> str:
    if tool is None or tool.flute_mm is None or use.deepest_mm is None:
        return ""
    plain = shapes.ToolUse(
        use.number, use.label, use.cutting_min, use.cutting_mm, -use.deepest_mm, None, None
    )
    return against_flute(plain, tool.flute_mm, say)


def _off_bed(found: Found, place: Place, say: Say) -> tuple[str, ...]:
    if place.bed_length_mm is None or place.bed_width_mm is None:
        return ()
    return against_bed(found, place.bed_length_mm, place.bed_width_mm, say)


def _lengths(session: Session) -> Say:
    unit = shop_row(session).length_unit
    return lambda mm: show_length(mm, "mm" if unit == "mm" else "in")
