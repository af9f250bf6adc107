"""One kind of stage: a range for what was typed, its patterns, months and logs, and its rule of thumb."""

from collections.abc import Mapping

from flask import redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.engine.shapes import Rule
from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.learning import KindLearned
from shoptrack.flows.times import learned_rule_of
from shoptrack.flows.times_of_kind import (
    Foretelling,
    KindPage,
    foretell,
    kind_page,
    known_kind,
)
from shoptrack.flows.times_record import against
from shoptrack.store.dated_rows import say_from
from shoptrack.store.histories import lines_about
from shoptrack.store.overtaken import not_overtaken
from shoptrack.store.tables import RuleRow, StageKindRow
from shoptrack.web import chart_script, forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store
from shoptrack.web.rule_fields import read_rule
from shoptrack.web.seen import seen
from shoptrack.web.shop.minutes import minutes_field
from shoptrack.web.span_lines import scale_for, span_line
from shoptrack.web.times.door import bp, reading
from shoptrack.web.times.figures import against_chart, months_chart

LEAST_MEASURE, MOST_MEASURE = 0.01, 100_000.0
MOST_AGAINST = 60


@bp.get("/times/<int:kind>")
def show_kind(kind: int) -> str | tuple[str, int]:
    try:
        return _page(kind, request.args, None)
    except BadInput as wrong:
        return _page(kind, request.args, wrong), 400


@bp.post("/times/<int:kind>/rule")
def say_rule(kind: int) -> Answer | tuple[str, int]:
    """Say the rule of thumb from now on."""
    refused = rights.needs_office()
    if refused is not None:
        return refused
    try:
        with reading() as (_, learned):
            known_kind(learned, kind)
        _say(kind, request.form)
    except BadInput as wrong:
        return _page(kind, request.form, wrong), 400
    return redirect(f"/times/{kind}#rule", 303)


@bp.get("/times/<int:kind>/learned")
def ask_learned(kind: int) -> str | Answer:
    """Ask whether the rule of thumb is to be what was learned, with the values that would be said."""
    refused = rights.needs_office()
    if refused is not None:
        return refused
    with reading() as (_, learned):
        known = known_kind(learned, kind)
    found = learned_rule_of(known)
    if found is None:
        raise NotFound("Nothing of this kind was logged yet, so nothing was learned.")
    fields = _rule_fields(found)
    return render_template("times/learned.html", kind=known.kind, found=found, wrong=None, **fields)


def _say(kind: int, fields: Fields) -> None:
    rule, at = read_rule(fields), now()
    values = {"setup_min": rule.setup_min, "rate_min": rule.rate_min}
    with store().writing() as session:
        about = lines_about(session.get_one(StageKindRow, kind))
        with not_overtaken(session, about, seen(fields), tuple(values)):
            say_from(session, RuleRow, {"kind_id": kind}, at, rights.acting(), at, **values)


def _page(kind: int, fields: Fields, wrong: BadInput | None) -> str:
    with reading() as (session, learned):
        known = known_kind(learned, kind)
        page = kind_page(session, known, _page_number(fields) if wrong is None else 1)
    told = against(learned.track, kind, MOST_AGAINST)
    asked = _asked(known, page, {} if wrong else fields)
    return render_template(
        "times/kind.html", page=page, times=page.times, asked=asked, fields=fields, wrong=wrong,
        against=told[::-1], rule_fields=_rule_fields(known.kind.rule),
        months_chart=months_chart(page), against_chart=against_chart(page.times.kind.name, told),
        script=chart_script.address(), placeholders=chart_script.placeholders(), **_lines(asked, page),
    )  # fmt: skip


def _page_number(fields: Fields) -> int:
    return forms.whole({"page": fields.get("page", "1")}, "page", "The page", most=100_000)


def _asked(known: KindLearned, page: KindPage, fields: Fields) -> Foretelling | None:
    """What was asked, else the usual measure of no pattern; None where nothing can be said of it."""
    if page.times.rule is None and not page.times.logs:
        return None
    typed = forms.number(fields, "quantity", "The measure", LEAST_MEASURE, MOST_MEASURE)
    pattern = forms.maybe_id(fields, "pattern", "The pattern")
    if pattern is not None and pattern not in dict(page.choices):
        raise BadInput("There is no such pattern.", "pattern")
    return foretell(known, typed or page.times.usual or 1.0, pattern)


def _rule_fields(rule: Rule) -> Mapping[str, str]:
    return {"setup": minutes_field(rule.setup_min), "rate": minutes_field(rule.rate_min)}


def _lines(asked: Foretelling | None, page: KindPage) -> dict[str, object]:
    """The dimension lines of the page, each on the scale of what it stands beside."""
    if asked is None:
        return {"scale": None, "line": None, "machine_line": None, "pattern_lines": {}, "pattern_scale": None}
    ranges = [one for one in (asked.range, asked.machine) if one is not None]
    rule = page.times.rule
    rule_min = None if rule is None else rule.minutes(asked.measure)
    scale = scale_for(ranges, [] if rule_min is None else [min(rule_min, 2 * asked.range.p90)])
    own = scale_for([one.range for one in page.patterns if one.range is not None])
    return {
        "scale": scale,
        "line": span_line(scale, asked.range, rule_min),
        "machine_line": None if asked.machine is None else span_line(scale, asked.machine),
        "pattern_scale": own,
        "pattern_lines": {p.id: span_line(own, p.range) for p in page.patterns if p.range is not None},
    }
