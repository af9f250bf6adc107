"""Photos of the work: sent from a tablet or a desk, kept without place data, and shown."""

from flask import Blueprint, Response, redirect, render_template, request
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows import photos as flow
from shoptrack.flows.job_facts import job_facts
from shoptrack.store import photos
from shoptrack.store.names import stage_names
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.forms import Fields
from shoptrack.web.here import store

bp = Blueprint("photos", __name__)
ROOM_FOR_WORDS_BYTES = 64 * 1024
FOR_A_YEAR = "private, max-age=31536000, immutable"


@bp.post("/jobs/<int(max=2147483647):job>/photos")
def add_photo(job: int) -> Answer | tuple[str, int]:
    request.max_content_length = flow.GREATEST_FILE_BYTES + ROOM_FOR_WORDS_BYTES
    fields: Fields = {}
    try:
        fields = request.form
        words = forms.maybe_words(fields, "words", "What it shows")
        stage = forms.maybe_id(fields, "stage", "The stage")
        sent = request.files["photo"].read() if "photo" in request.files else b""
        flow.add(store(), job, sent, stage_id=stage, words=words, who=rights.acting(), now=now())
    except RequestEntityTooLarge:
        return _page(job, {}, BadInput(flow.TOO_LARGE, "photo")), 400
    except BadInput as wrong:
        return _page(job, fields, wrong), 400
    return redirect(f"/jobs/{job}#photos", 303)


def _page(job: int, fields: Fields, wrong: BadInput) -> str:
    with store().reading() as session:
        facts, stages = job_facts(session, job), stage_names(session, job)
    return render_template("jobs/photo.html", facts=facts, stages=stages, fields=fields, wrong=wrong)


@bp.get("/photos/<int(max=2147483647):photo>", defaults={"size": "whole"})
@bp.get("/photos/<int(max=2147483647):photo>/<any(small):size>")
def show_photo(photo: int, size: str) -> Answer:
    """The picture itself: its bytes never change, so whoever has seen it need not ask again."""
    with store().reading() as session:
        row = photos.photo_row(session, photo)
    file = photos.photo_file(store().instance, row.id, small=size == "small")
    if not file.is_file():
        raise NotFound("The file of this photo is not in the shop’s folder.")
    answer = Response(file.read_bytes(), content_type="image/jpeg", headers={"Cache-Control": FOR_A_YEAR})
    answer.set_etag(f"{row.sha256[:32]}-{size}")
    return answer.make_conditional(request)


@bp.post("/photos/<int(max=2147483647):photo>/back")
def take_photo_back(photo: int) -> Answer:
    if refused := rights.needs_office():
        return refused
    with store().writing() as session:
        job = photos.retire_photo(session, photo, rights.acting(), now())
    return redirect(f"/jobs/{job}#photos" if job is not None else "/jobs", 303)
