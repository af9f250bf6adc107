"""Quoted and done: one job, all of them, and what pays."""

from dataclasses import dataclass

from flask import Blueprint, render_template

from shoptrack.engine.shapes.quoted import Range
from shoptrack.errors import NotFound
from shoptrack.flows import quoted_against, what_pays
from shoptrack.flows.job_facts import job_facts
from shoptrack.flows.quoted_against import Against, StageAgainst
from shoptrack.store.names import kind_names
from shoptrack.web import rights
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.quote_drawing import RangeLine, range_line
from shoptrack.web.quote_words import chance, per_cent, under_or_over

bp = Blueprint("quoted", __name__)
bp.before_request(rights.needs_office)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A quoted range with where what happened lies on the same scale, in per cent."""

    line: RangeLine
    took_x: float


@dataclass(frozen=True, slots=True)
class Row:
    """A stage of the sheet with its drawing; None where it was not quoted or nothing is known of it."""

    stage: StageAgainst
    drawn: Drawn | None


@bp.get("/jobs/<int(max=2147483647):job>/quoted")
def show_job(job: int) -> str:
    with store().reading() as session:
        facts, found = job_facts(session, job), quoted_against.against(session, job)
    if found is None:
        raise NotFound("This job was not made of a quote, or it is not closed yet.")
    return render_template("quoted/job.html", facts=facts, a=found, rows=_rows(found), whole=_whole(found),
                           chance=chance, per_cent=per_cent)  # fmt: skip


@bp.get("/quotes/record")
def show_record() -> str:
    with store().reading() as session:
        found = quoted_against.record(session, kind_names(session))
    return render_template("quoted/record.html", record=found, per_cent=per_cent, over=under_or_over)


@bp.get("/quotes/pays")
def show_pays() -> str:
    with store().reading() as session:
        found = what_pays.what_pays(session, now())
    return render_template("quoted/pays.html", pays=found)


def _whole(found: Against) -> Drawn:
    return _drawn(found.hands, found.took_min, max(found.hands.p90, found.took_min))


def _drawn(quoted: Range, took_min: float, most: float) -> Drawn:
    line = range_line(quoted, most)
    return Drawn(line, round(line.p90.x * took_min / max(quoted.p90, 1e-9), 2))


def _rows(found: Against) -> list[Row]:
    """The stages on one scale, the longest across the sheet."""
    most = max([0.0, *(max(s.quoted.p90 if s.quoted else 0.0, s.took_min or 0.0) for s in found.stages)])
    return [Row(stage, _stage(stage, most)) for stage in found.stages]


def _stage(stage: StageAgainst, most: float) -> Drawn | None:
    if stage.quoted is None or stage.took_min is None or stage.quoted.p90 <= 0:
        return None
    return _drawn(stage.quoted, stage.took_min, most)
