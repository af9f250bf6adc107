"""Paper: a job's printed sheet with the code that opens the job again, and the list of what cures."""

from urllib.parse import quote

from flask import Blueprint, redirect, render_template
from werkzeug.wrappers import Response as Answer

from shoptrack.flows.sheets import curing_list, job_sheet
from shoptrack.store.jobs import job_row
from shoptrack.store.tags import job_tagged
from shoptrack.web.clock import now
from shoptrack.web.codes import code_answer
from shoptrack.web.here import store, wall
from shoptrack.web.own_address import own_address
from shoptrack.web.paper_words import paper_day, paper_when, wait

bp = Blueprint("sheets", __name__)
bp.add_app_template_filter(paper_day, "paper_day")
bp.add_app_template_filter(lambda at: paper_when(at, wall()), "paper_when")
bp.add_app_template_filter(wait, "wait")


@bp.get("/jobs/<int(max=2147483647):job>/sheet")
def show_sheet(job: int) -> str:
    sheet = job_sheet(store(), job, now())
    return render_template("sheets/job.html", sheet=sheet, address=tag_address(sheet.job.tag))


@bp.get("/jobs/<int(max=2147483647):job>/code.svg")
def draw_code(job: int) -> Answer:
    with store().reading() as session:
        tag = job_row(session, job).tag
    return code_answer(tag_address(tag))


def tag_address(tag: str) -> str:
    """What the code of a job says."""
    return own_address(f"/j/{quote(tag, safe='')}")


@bp.get("/j/<tag>")
def open_tag(tag: str) -> Answer:
    """Where a scanned code leads: the newest open job with that tag."""
    with store().reading() as session:
        job = job_tagged(session, tag)
    return redirect(f"/jobs/{job}", 302)


@bp.get("/curing")
def show_curing() -> str:
    return render_template("sheets/curing.html", curing=curing_list(store(), now()))
