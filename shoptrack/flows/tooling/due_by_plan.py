"""Edges and the plan that is shown → when each is due, when it must leave, and what would wait meanwhile."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np

from shoptrack.engine.edge_due import NEVER, After, Due, Send, Use, due, send_by
from shoptrack.engine.edge_life import EdgeFit, LifeRange
from shoptrack.engine.hours import day_spans, local
from shoptrack.engine.shapes import Calendar, EdgeStands, Rack, ToolStands
from shoptrack.flows.planning.plan import Planned
from shoptrack.flows.planning.worthwhile import PlaceOf
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.tooling.ahead import ToCut, by_day_and_job, to_cut
from shoptrack.flows.tooling.due import CutAhead, DueOf, Dues, Gap, Known, marks_of

LOOKED_AT = timedelta(days=182)
"""So far ahead an edge is said to be due on a day; what lasts longer is not due."""


def dues_of(sight: Sight, planned: Planned, rack: Rack, known: Mapping[int, Known]) -> Dues:
    """When the edges of the shop are due by a plan.

    Takes what is known of each tool that has an edge. Gives the same for the same plan and log: the draws of
    an edge have its number as their seed. Empty: no tool has an edge.
    """
    ahead = _Ahead(sight, planned)
    found = [
        each for tool, stands in rack.tools.items() if tool in known for each in ahead.of(stands, known[tool])
    ]
    return Dues(
        database_id=sight.head.database_id,
        number=planned.number,
        made_at=sight.now,
        of=tuple(sorted(found, key=_first_due)),
        marks=marks_of(sight),
    )


def _first_due(each: DueOf) -> tuple[bool, date, date, float, str, int]:
    """Found dull on its tool first, then by the day it must leave or is due, then by chance."""
    dull = each.stands.dull and each.stands.where == "fitted"
    day = each.p50_on or date.max
    return (not dull, min(each.send_by_on or day, day), day, -each.chance_dull, each.tool_name, each.edge)


class _Ahead:
    """What is planned, with the days that the dues are looked for on."""

    def __init__(self, sight: Sight, planned: Planned) -> None:
        self.world, self.today = sight.world, planned.laid.line.today
        self.cuts = to_cut(sight.world, planned.laid, planned.plan)
        end = planned.laid.instant(max((p.end for p in planned.plan.placed), default=0))
        self.open_on = open_days(sight.world.calendar, self.today, LOOKED_AT)
        last = local(sight.world.calendar, end).date().toordinal()
        self.beyond = [on for on in self.open_on if on > last]

    def of(self, tool: ToolStands, known: Known) -> Iterator[DueOf]:
        """The edges of a tool, each with its days; a dull one must be back when the one that cuts is due."""
        cutting = cutting_edge(tool)
        send = self._at_once(known.kind.away_days)
        if cutting is not None:
            main, send = self._cutting(tool, cutting, known)
            yield main
        for stands in tool.edges:
            if stands is not cutting:
                sent = stands.dull and stands.where in ("fitted", "spare") and known.kind.renewed == "sent"
                yield _due_of(tool, stands, known, NEVER, send if sent else None)

    def _at_once(self, away_days: int) -> Send | None:
        """Sent today, it is back as soon as it can be."""
        return send_by(self.open_on[0], away_days, self.open_on) if self.open_on else None

    def _cutting(self, tool: ToolStands, stands: EdgeStands, known: Known) -> tuple[DueOf, Send | None]:
        """The edge that cuts what is planned, and by when one must leave to be there when it is due."""
        age, fit, cuts = stands.effective_h, known.fit, self.cuts.get(tool.tool, ())
        soon_h = _soon_at_h(fit)
        first = self.today.toordinal()
        uses = [Use(first + day, job, h) for (day, job), h in by_day_and_job(cuts).items()]
        after = After(known.lately_h, self.beyond)
        rng = np.random.default_rng([tool.tool, stands.edge.id])
        found = due(fit, age, uses, rng, after)
        send = send_by(found.p20_on, known.kind.away_days, self.open_on)
        leaves = send if known.kind.renewed == "sent" else None
        made = _due_of(tool, stands, known, found, leaves)
        return replace(
            made,
            soon_on=self.today if age >= soon_h else _on(_passes(soon_h - age, uses, after)),
            gap=None if leaves is None else self._gap(tool, stands, known, leaves, cuts),
            cuts=tuple(self._cut_ahead(cuts, found.p50_on)),
        ), send

    def _gap(
        self, tool: ToolStands, stands: EdgeStands, known: Known, send: Send, cuts: Sequence[ToCut]
    ) -> Gap:
        """The days without this edge, and whether another can cut what is planned for them."""
        first = self.today.toordinal()
        within = [cut for cut in cuts if send.on <= first + cut.day < send.back_on]
        asked_h = sum(cut.effective_h for cut in within) or known.lately_h * known.kind.away_days
        covered = any(
            _lasts_h(known.fit, other) >= asked_h
            for other in tool.edges
            if other is not stands and _there_by(other, send.on, self.today.toordinal())
        )
        waits = () if covered else tuple(dict.fromkeys(self._place(cut) for cut in within))
        return Gap(date.fromordinal(send.on), date.fromordinal(send.back_on), covered, waits)

    def _cut_ahead(self, cuts: Sequence[ToCut], until: int | None) -> Iterator[CutAhead]:
        """The stages that are cut until a day, each once."""
        first, hours = self.today.toordinal(), dict[int, float]()
        within = [cut for cut in cuts if until is None or first + cut.day <= until]
        for cut in within:
            hours[cut.stage] = hours.get(cut.stage, 0.0) + cut.effective_h
        begins = {cut.stage: cut for cut in reversed(within)}
        for stage, own in hours.items():
            yield CutAhead(self._place(begins[stage]), self.today + timedelta(days=begins[stage].day), own)

    def _place(self, cut: ToCut) -> PlaceOf:
        stage = self.world.stages[cut.stage]
        return PlaceOf(stage.id, stage.job, self.world.jobs[stage.job].tag, stage.name)


def _due_of(tool: ToolStands, stands: EdgeStands, known: Known, found: Due, send: Send | None) -> DueOf:
    fit, age = known.fit, stands.effective_h
    return DueOf(
        tool=tool.tool,
        tool_name=known.name,
        kind=known.kind,
        stands=stands,
        chance_dull=1.0 if stands.dull else max(0.0, fit.chance_dull(age)),
        left_h=None if stands.dull else _left(fit, age),
        life_h=_left(fit, 0.0),
        usual_h=known.usual_h,
        dull_lives=fit.dull,
        cut_short=fit.cut_short,
        p10_on=_on(found.p10_on),
        p50_on=_on(found.p50_on),
        p90_on=_on(found.p90_on),
        send_by_on=None if send is None else _on(send.on),
        send_late=send is not None and send.late,
    )


def cutting_edge(tool: ToolStands) -> EdgeStands | None:
    """The edge that cuts next: the one on the tool unless it is dull, else the first that can be put on."""
    if tool.fitted is not None and not tool.fitted.dull:
        return tool.fitted
    return next((edge for edge in tool.edges if edge.usable and not edge.dull), None)


def open_days(calendar: Calendar, first: date, within: timedelta) -> list[int]:
    """The shop's working days from one on, as ordinals."""
    days = (first + timedelta(days=n) for n in range(within.days + 1))
    return [on.toordinal() for on in days if day_spans(calendar, None, on)]


def _there_by(other: EdgeStands, day: int, today: int) -> bool:
    """Whether another edge is in the shop and sharp by a day; one that is overdue is not counted on."""
    if other.where == "away":
        return other.back_on is not None and today <= other.back_on.toordinal() <= day
    return other.usable and not other.dull


def _lasts_h(fit: EdgeFit, other: EdgeStands) -> float:
    """The hours that half of such edges last on; one that comes from the sharpener is new."""
    return _left(fit, 0.0 if other.where == "away" else other.effective_h).p50_h


@lru_cache(maxsize=512)
def _left(fit: EdgeFit, age_h: float) -> LifeRange:
    """How much longer an edge lasts; most are asked for again with every plan."""
    return LifeRange(*(float(h) for h in fit.left_quantiles(age_h, (0.1, 0.5, 0.9))))


@lru_cache(maxsize=128)
def _soon_at_h(fit: EdgeFit) -> float:
    return fit.soon_at_h()


def _passes(left_h: float, uses: Iterable[Use], after: After) -> int | None:
    """The first day on which the hours that are planned come to so many; what comes after the plan too."""
    planned = sorted((use.on, use.effective_h) for use in uses)
    run, last = 0.0, 0
    for on, hours in (*planned, *((on, after.rate_h) for on in after.open_on)):
        run, last = run + hours, on
        if run >= left_h:
            return last
    return None


def _on(day: int | None) -> date | None:
    return None if day is None else date.fromordinal(day)
