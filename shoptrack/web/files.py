"""In and out: tables looked through and brought in, everything or one taken out, a whole shop put back."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from typing import IO, Any

from flask import Blueprint, Response, redirect, render_template, request
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.flows import bring_in, take_out
from shoptrack.flows.bring_in import SUBJECTS, Brought
from shoptrack.flows.bring_in_everything import NOT_EMPTY, bring_shop
from shoptrack.flows.bring_in_shapes import Look, Subject
from shoptrack.flows.bring_in_text import GREATEST_BYTES, TOO_LARGE
from shoptrack.flows.cells import csv_of
from shoptrack.store import everything
from shoptrack.store.past_times import count_past_times
from shoptrack.web import forms, rights
from shoptrack.web.clock import now
from shoptrack.web.files_told import told
from shoptrack.web.here import store, wall

bp = Blueprint("files", __name__)
bp.before_request(rights.needs_office)

ENVELOPE_BYTES = 64 * 1024  # what a form adds round its file
GREATEST_SHOP_BYTES = 4 * 1024**3
SHOP_TOO_LARGE = "The file is larger than 4 GB; use shoptrack import on this machine."
CSV = "text/csv; charset=utf-8"
SHOWN = 1000
"""So many refused cells are shown on the page; all of them are in the list that can be taken along."""


@bp.get("/files")
def show_files() -> str:
    with store().reading() as session:
        count = count_past_times(session)
    tables = [table.name for table in everything.tables()]
    return render_template("files/files.html", subjects=SUBJECTS.values(), count=count, tables=tables)


@bp.get("/files/everything.zip")
def take_everything() -> Response:
    pieces = take_out.zip_of_everything(store(), now(), photos=request.args.get("photos") == "yes")
    return download(pieces, f"shop-{today()}.zip", "application/zip")


@bp.get("/files/everything.json")
def take_document() -> Response:
    pieces = take_out.document_of_everything(store(), now())
    return download(pieces, f"shop-{today()}.json", "application/json")


@bp.get("/files/lists/<name>.csv")
def take_list(name: str) -> Response:
    return download(take_out.list_csv(store(), name, now()), f"{name}-{today()}.csv", CSV)


@bp.get("/files/tables/<name>.csv")
def take_table(name: str) -> Response:
    return download(take_out.table_csv(store(), name), f"{name}-{today()}.csv", CSV)


@bp.get("/files/restore")
def ask_shop() -> str:
    with store().reading() as session:
        wrong = None if everything.is_empty(session) else NOT_EMPTY
    return render_template("files/restore.html", full=wrong, wrong=None)


@bp.post("/files/restore")
def put_shop_back() -> Answer | tuple[str, int]:
    """Bring a whole shop into this empty one."""
    try:
        with handed_in(GREATEST_SHOP_BYTES, SHOP_TOO_LARGE) as file:
            bring_shop(store(), file)
    except BadInput as wrong:
        return render_template("files/restore.html", full=None, wrong=wrong), 400
    return redirect("/", 303)


@bp.get("/files/<what>")
def ask_table(what: str) -> str:
    return asking(subject_of(what))


@bp.post("/files/<what>")
def hand_in_table(what: str) -> Answer | tuple[str, int]:
    """Keep a file, and show what would come in of it."""
    subject = subject_of(what)
    try:
        with handed_in(GREATEST_BYTES, TOO_LARGE) as file:
            sign = bring_in.hand_in(store().instance, subject, file.read(GREATEST_BYTES + 1), now())
    except BadInput as wrong:
        return asking(subject, wrong), 400
    return redirect(f"/files/{subject.name}/{sign}", 303)


@bp.get("/files/<what>/<sign>")
def look_through(what: str, sign: str) -> Response:
    subject = subject_of(what)
    work = bring_in.look(store(), subject, sign, now())

    def shown(found: Look[Any]) -> str:
        return render_template("files/_look.html", look=found, subject=subject, sign=sign, shown=SHOWN)

    return told(work, shown, "files/looking.html", subject=subject)


@bp.post("/files/<what>/<sign>")
def bring_table(what: str, sign: str) -> Response:
    """Bring in what the look at the file promised."""
    subject = subject_of(what)
    refused = forms.whole(request.form, "refused", "The number of rows left out", least=0, most=10**6)
    work = bring_in.bring(store(), subject, sign, refused, rights.acting(), now())

    def shown(found: Brought) -> str:
        return render_template("files/_brought.html", brought=found, subject=subject)

    return told(work, shown, "files/looking.html", subject=subject)


@bp.get("/files/<what>/<sign>/refused.csv")
def take_refused(what: str, sign: str) -> Response:
    subject = subject_of(what)
    found = bring_in.to_the_end(bring_in.look(store(), subject, sign, now()))
    rows = ((wrong.row, wrong.column, wrong.sentence) for wrong in found.wrong)
    return download(csv_of(("row", "column", "why"), rows), f"{subject.name}-refused.csv", CSV)


def subject_of(what: str) -> Subject[Any]:
    """What is brought in, by its name in the address. Raises NotFound."""
    if what not in SUBJECTS:
        raise NotFound("There is no such table to bring in.")
    return SUBJECTS[what]


def asking(subject: Subject[Any], wrong: BadInput | None = None) -> str:
    """The page that asks for a file."""
    return render_template("files/table.html", subject=subject, wrong=wrong)


@contextmanager
def handed_in(greatest_bytes: int, too_large: str) -> Iterator[IO[bytes]]:
    """The file of the posted form, open. Raises BadInput where there is none or it is too large."""
    most = greatest_bytes + ENVELOPE_BYTES
    request.max_content_length = most
    if (request.content_length or 0) > most:  # said before any of it is read
        raise BadInput(too_large, "file")
    try:
        file = request.files.get("file")
    except RequestEntityTooLarge as problem:
        raise BadInput(too_large, "file") from problem
    if file is None or not file.filename:
        raise BadInput("Choose a file first.", "file")
    with closing(file):
        yield file.stream


def download(pieces: Iterator[bytes], name: str, kind: str) -> Response:
    """A file in pieces, kept by the browser under a name; what can't be begun is refused as usual."""
    first = next(pieces, b"")

    def whole() -> Iterator[bytes]:
        yield first
        yield from pieces

    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(whole(), content_type=kind, headers=headers)


def today() -> str:
    """Today by the shop's calendar, for names of files."""
    return wall().local(now()).date().isoformat()
