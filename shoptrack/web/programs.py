"""Machine programs of a stage: a file is read, its tools matched, its path drawn; taken off again."""

from collections.abc import Iterable, Mapping
from typing import Any

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput
from shoptrack.flows.programs import attach as flow
from shoptrack.flows.programs.attach import GREATEST_BYTES, MOST_TIMES
from shoptrack.flows.programs.view import Brief, ProgramView, briefs, program_view, stage_programs
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.files_told import told
from shoptrack.web.forms import Fields
from shoptrack.web.here import store, wall
from shoptrack.web.programs_drawing import PathSheet, path_sheet
from shoptrack.web.programs_sent import in_megabytes, sent_program, soon
from shoptrack.web.programs_words import Words, run_words

NUMBER = "int(max=2147483647)"
bp = Blueprint("programs", __name__, url_prefix=f"/jobs/<{NUMBER}:job>")
AT_ONCE_S = 1.5
"""A program that is read within this time is answered by its page, a longer one by a page of progress."""


@bp.get(f"/stages/<{NUMBER}:stage>/programs")
def show_stage(job: int, stage: int) -> str:
    return _stage(job, stage, {}, None)


@bp.post(f"/stages/<{NUMBER}:stage>/programs")
def hand_in(job: int, stage: int) -> Answer | tuple[str, int]:
    """Read a program and attach it."""
    fields: Fields = {}
    try:
        sent = sent_program()
        fields = request.form
        work = flow.attach(store(), job, stage, sent, rights.acting(), now())
        made = soon(work, AT_ONCE_S)
    except BadInput as wrong:
        return _stage(job, stage, fields, wrong), 400
    if made is not None:
        return redirect(f"/jobs/{job}/programs/{made}", 303)
    return _told(job, stage, in_megabytes(work, request.content_length or 0))


@bp.get(f"/programs/<{NUMBER}:program>")
def show_program(job: int, program: int) -> str:
    return _program(job, program, {}, None)


@bp.post(f"/programs/<{NUMBER}:program>")
def match_tools(job: int, program: int) -> Answer | tuple[str, int]:
    """Say which of the shop's tools the program's numbers mean."""
    try:
        means = {number: _tool(number) for number in _numbers()}
        flow.match(store(), job, program, means, rights.acting(), now())
    except BadInput as wrong:
        return _program(job, program, request.form, wrong), 400
    return redirect(f"/jobs/{job}/programs/{program}?said=tools#tools", 303)


@bp.post(f"/programs/<{NUMBER}:program>/times")
def say_times(job: int, program: int) -> Answer | tuple[str, int]:
    try:
        times = forms.whole(request.form, "times", "How often it is run", most=MOST_TIMES)
        flow.run_times(store(), job, program, times, rights.acting(), now())
    except BadInput as wrong:
        return _program(job, program, request.form, wrong), 400
    return redirect(f"/jobs/{job}/programs/{program}", 303)


@bp.post(f"/programs/<{NUMBER}:program>/removed")
def remove(job: int, program: int) -> Answer:
    flow.remove(store(), job, program, rights.acting(), now())
    stage = program_view(store(), job, program).place.stage
    return redirect(f"/jobs/{job}/stages/{stage}/programs", 303)


@bp.app_template_global("programs_of")
def programs_of(stages: Iterable[int]) -> Mapping[int, tuple[Brief, ...]]:
    """The programs of some stages in few words, for the pages that show these stages."""
    with store().reading() as session:
        return briefs(session, stages)


@bp.app_template_filter("run_time")
def run_time(minutes: float) -> str:
    """Minutes of a machine in words, for the pages that show programs."""
    return run_words(minutes)


def _numbers() -> list[int]:
    """The program's numbers that the form speaks of."""
    said = [name.removeprefix("tool-") for name in request.form if name.startswith("tool-")]
    return [int(number) for number in said if number.isascii() and number.isdigit() and len(number) < 10]


def _tool(number: int) -> int | None:
    return forms.maybe_id(request.form, f"tool-{number}", f"The tool for T{number}")


def _told(job: int, stage: int, work: Any) -> Answer:
    """A page that tells how far the reading is, and at its end where to look at what was read."""
    view = stage_programs(store(), job, stage)

    def shown(made: int) -> str:
        made_view = program_view(store(), job, made)
        return render_template("programs/_read.html", view=made_view, say=Words(wall()))

    page = "programs/reading.html"
    return told(work, shown, page, counted="megabytes read", wrong_page="programs/_wrong.html", view=view)


def _stage(job: int, stage: int, fields: Fields, wrong: BadInput | None) -> str:
    view = stage_programs(store(), job, stage)
    shown = {"view": view, "say": Words(wall()), "most_mb": GREATEST_BYTES // (1024 * 1024)}
    return render_template("programs/stage.html", fields=fields, wrong=wrong, **shown)


def _program(job: int, program: int, fields: Fields, wrong: BadInput | None) -> str:
    view = program_view(store(), job, program)
    shown = {"view": view, "sheet": _sheet(view), "say": Words(wall()), "most_times": MOST_TIMES}
    return render_template("programs/program.html", fields=fields, wrong=wrong, **shown)


def _sheet(view: ProgramView) -> PathSheet | None:
    place = view.place
    has_bed = place.bed_length_mm is not None and place.bed_width_mm is not None
    bed = (place.bed_length_mm or 0.0, place.bed_width_mm or 0.0) if has_bed else None
    return path_sheet(view.path, (view.found.cuts.x_mm, view.found.cuts.y_mm), bed)
