"""A search over everything that was written down, its finds grouped by what they are."""

from flask import Blueprint, render_template, request

from shoptrack.flows import search as flow
from shoptrack.web import forms, rights
from shoptrack.web.here import store

bp = Blueprint("search", __name__)


@bp.get("/search")
def show_finds() -> str:
    asked = forms.maybe_words(request.args, "q", "What is searched for")
    only = (
        forms.choice(request.args, "in", "What is searched", flow.SORTS) if request.args.get("in") else None
    )
    page = forms.whole(request.args, "page", "The page") if request.args.get("page") else 1
    with store().reading() as session:
        groups = flow.search(session, asked, rights.may_see_money(), only, page)
    return render_template(
        "search/search.html", asked=asked, groups=groups, only=only, page=page, a_page=flow.SHOWN_A_PAGE
    )
