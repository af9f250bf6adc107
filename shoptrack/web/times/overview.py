"""The list of the Times: every kind of stage with its line, and what is said of a time that looks wrong."""

from dataclasses import dataclass

from flask import redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.flows.log_answers import answer_log
from shoptrack.flows.times import KindLine, Overview, overview
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.span_lines import Scale, SpanLine, scale_for, span_line
from shoptrack.web.times.door import bp, reading


@dataclass(frozen=True, slots=True)
class Row:
    """A kind of stage in the list: its times, and its line and its machine's where they are known."""

    times: KindLine
    line: SpanLine | None
    machine: SpanLine | None


@bp.get("/times")
def show_times() -> str:
    with reading() as (session, learned):
        found = overview(session, learned)
    scale = scale_of(found)
    return render_template(
        "times/list.html",
        rows=[row_of(kind, scale) for kind in found.kinds],
        retired=[row_of(kind, scale) for kind in found.retired],
        odd=found.odd,
        more_odd=sum(kind.odd for kind in found.kinds) - len(found.odd),
        scale=scale,
    )


@bp.post("/times/answers")
def say_of_log() -> Answer:
    """It counts, or it is left out; said again it is the same, said otherwise it is that."""
    refused = rights.needs_office()
    if refused is not None:
        return refused
    key = forms.words(request.form, "key", "Which time is meant", 40)
    counts = forms.choice(request.form, "counts", "Whether it counts", ("yes", "no")) == "yes"
    answer_log(store(), key, counts, rights.acting(), now())
    return redirect(forms.local_path(request.form, "back"), 303)


def scale_of(found: Overview) -> Scale:
    """One scale for all the lines, so that a longer line is more time."""
    ranges = [one for kind in found.kinds for one in (kind.range, kind.machine) if one is not None]
    return scale_for(ranges)


def row_of(times: KindLine, scale: Scale) -> Row:
    """A kind with its lines on the scale."""
    return Row(
        times,
        None if times.range is None else span_line(scale, times.range, times.rule_min),
        None if times.machine is None else span_line(scale, times.machine),
    )
