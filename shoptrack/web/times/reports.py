"""Where the hours of jobs go, whether what was foretold held, and the script that draws the charts."""

from flask import Response, render_template, request

from shoptrack.errors import BadInput
from shoptrack.flows.times_of_jobs import JobHours, job_hours
from shoptrack.flows.times_record import FEWEST, records
from shoptrack.web import chart_script, forms
from shoptrack.web.clock import now
from shoptrack.web.here import store
from shoptrack.web.security import CONTENT_POLICY
from shoptrack.web.times.door import all_learned, bp
from shoptrack.web.times.figures import hours_chart, record_chart

WITH_CHARTS = frozenset({"times.show_kind", "times.say_rule", "times.show_jobs", "times.show_record"})
EVER = "all"


@bp.get("/times/jobs")
def show_jobs() -> str | tuple[str, int]:
    try:
        pattern, wrong = forms.maybe_id(request.args, "pattern", "The pattern"), None
    except BadInput as found:
        pattern, wrong = None, found
    with store().reading() as session:
        hours = job_hours(session, now(), pattern, request.args.get("over") == EVER)
    page = _jobs_page(hours, wrong)
    return page if wrong is None else (page, 400)


@bp.get("/times/record")
def show_record() -> str:
    found = all_learned()
    names = {id: known.kind.name for id, known in found.kinds.items()}
    whole, *kinds = records(found.track, names)
    return render_template(
        "times/record.html",
        whole=whole,
        kinds=kinds,
        fewest=FEWEST,
        chart_of=record_chart(whole),
        script=chart_script.address(),
        placeholders=chart_script.placeholders(),
    )


@bp.get("/times/plotly/<version>.js")
def give_script(version: str) -> Response:
    return chart_script.give(version)


@bp.after_request
def allow_charts(answer: Response) -> Response:
    """The pages with charts, and they alone, let the script write its own style and make pictures."""
    if request.endpoint in WITH_CHARTS:
        answer.headers["Content-Security-Policy"] = chart_script.allow_charts(CONTENT_POLICY)
    return answer


def _jobs_page(hours: JobHours, wrong: BadInput | None) -> str:
    return render_template(
        "times/jobs.html",
        hours=hours,
        fields=request.args,
        wrong=wrong,
        chart_of=hours_chart(hours),
        script=chart_script.address(),
        placeholders=chart_script.placeholders(),
    )
