"""What programs ask and tablets send → JSON documents: entries in; all that is shown out."""

import json
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime

from flask import Blueprint, Response, request
from sqlalchemy.orm import Session

from shoptrack import __version__
from shoptrack.errors import BadInput, NotAllowed, NotFound
from shoptrack.flows.entry_fields import GREATEST_ID
from shoptrack.flows.learning import learn
from shoptrack.flows.planning.plan import Planned, plan_now
from shoptrack.flows.record import accept, parse_envelope
from shoptrack.flows.shopfloor import Sight, shown_at, sight_of
from shoptrack.flows.tooling.dues import tools_and_dues
from shoptrack.store.quotes import STANDINGS
from shoptrack.store.signs import Signs, read_signs
from shoptrack.web.clock import now
from shoptrack.web.documents import floor_doc, jobs_doc, one_job_doc
from shoptrack.web.here import store, wall
from shoptrack.web.openapi import document
from shoptrack.web.plan_document import nexts_doc, plan_doc
from shoptrack.web.posted import read_json
from shoptrack.web.quote_documents import one_quote_doc, quotes_doc
from shoptrack.web.rights import may_see_money
from shoptrack.web.times_document import times_doc, wanted_of
from shoptrack.web.tools_document import tools_doc

bp = Blueprint("api", __name__, url_prefix="/api")


@bp.post("/entries")
def post_entries() -> Response:
    envelope = parse_envelope(read_json(request))
    return answer(accept(store(), envelope, now()))


@bp.get("/floor")
def get_floor() -> Response:
    return when_changed(floor_doc)


@bp.get("/jobs")
def get_jobs() -> Response:
    return when_changed(jobs_doc)


@bp.get("/jobs/<id>")
def get_job(id: str) -> Response:
    wanted = int(id) if id.isascii() and id.isdigit() and len(id) <= 10 else 0
    if not 0 < wanted <= GREATEST_ID:
        raise NotFound("There is no such job.")

    def one_job(sight: Sight) -> object:
        if wanted not in sight.world.jobs:
            raise NotFound("There is no such job.")
        return one_job_doc(sight, wanted)

    return when_changed(one_job, wanted)


@bp.get("/quotes")
def get_quotes() -> Response:
    said = request.args.get("standing")
    standing = next((one for one in STANDINGS if one == said), None)
    if said is not None and standing is None:
        raise BadInput("A quote has no such standing.", "standing")
    return to_the_office(lambda session, at: quotes_doc(session, at, standing))


@bp.get("/quotes/<id>")
def get_quote(id: str) -> Response:
    wanted = int(id) if id.isascii() and id.isdigit() and len(id) <= 10 else 0
    return to_the_office(lambda session, at: one_quote_doc(session, at, wanted))


@bp.get("/times")
def get_times() -> Response:
    wanted = wanted_of(request.args)
    return unless_known(lambda session, at: times_doc(session, at, learn(store(), session, at), wanted))


@bp.get("/plan")
def get_plan() -> Response:
    return of_the_plan(plan_doc)


@bp.get("/next")
def get_next() -> Response:
    return of_the_plan(lambda sight, planned: nexts_doc(sight, planned, wall()))


@bp.get("/tools")
def get_tools() -> Response:
    return of_the_plan(lambda sight, planned: tools_doc(sight, *tools_and_dues(store(), sight, planned)))


@bp.get("/openapi.json")
def get_openapi() -> Response:
    return answer(document())


def when_changed(make: Callable[[Sight], object], *jobs: int) -> Response:
    """A document of how the shop stands, or 304 where the program that asks has it already."""
    return unless_known(lambda session, at: make(sight_of(store(), session, at, jobs)))


def to_the_office(make: Callable[[Session, datetime], object]) -> Response:
    """A document with money in it, for an office device alone. Raises NotAllowed for others."""
    if not may_see_money():
        raise NotAllowed("Prices are for the office: come in at /office on an office device first.")
    return unless_known(make)


def unless_known(make: Callable[[Session, datetime], object]) -> Response:
    """The document, or 304 where the program that asks has it already."""
    with store().reading() as session:
        signs = read_signs(session)
        at = shown_at(now(), signs.newest_at)
        tag = validator(signs, at)
        if request.if_none_match.contains_weak(tag):
            response = Response(status=304)
        else:
            response = answer(make(session, at))
    response.set_etag(tag)
    return response


def of_the_plan(make: Callable[[Sight, Planned], object]) -> Response:
    """A document of the plan that is shown; a better plan changes it, though nothing was tapped."""
    with store().reading() as session:
        signs = read_signs(session)
        at = shown_at(now(), signs.newest_at)
        sight = sight_of(store(), session, at, at=signs.head)
    planned = plan_now(store(), sight)
    tag = f"{validator(signs, at)}-{planned.number}-{planned.stale:d}{planned.proven:d}"
    known = request.if_none_match.contains_weak(tag)
    response = Response(status=304) if known else answer(make(sight, planned))
    response.set_etag(tag)
    return response


def validator(signs: Signs, at: datetime) -> str:
    """What a document depends on: database, revision, instant and program."""
    return f"{signs.head.database_id}-{signs.head.revision}-{at.timestamp():.6f}-{__version__}"


def answer(said: object) -> Response:
    """A document as JSON; in ASCII, because a tap's id is given back though it be half a letter."""
    return Response(json.dumps(plain(said)), content_type="application/json")


def plain(said: object) -> object:
    """A shape, or a value in one, as JSON has it; an answer's empty reason is left out."""
    if is_dataclass(said) and not isinstance(said, type):
        members = {f.name.rstrip("_"): plain(getattr(said, f.name)) for f in fields(said)}
        return {k: v for k, v in members.items() if not (k == "reason" and v == "")}
    if isinstance(said, datetime):
        return said.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(said, date):
        return said.isoformat()
    if isinstance(said, tuple | list):
        return [plain(v) for v in said]
    return {k: plain(v) for k, v in said.items()} if isinstance(said, dict) else said
