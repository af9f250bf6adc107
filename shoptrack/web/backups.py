"""Backups: when the last good one was made, one made now, and an older one put in the shop's place."""

from pathlib import Path

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response as Answer

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import backup
from shoptrack.store.restore import restore_live
from shoptrack.store.signs import taps_since
from shoptrack.web.clock import now
from shoptrack.web.here import config, store
from shoptrack.web.rights import needs_office

bp = Blueprint("backups", __name__)
bp.before_request(needs_office)


@bp.get("/backups")
def show_backups() -> str:
    good = list(reversed(backup.list_good(folder())))
    return render_template(
        "backups/list.html",
        good=good,
        sizes={one.file.name: one.file.stat().st_size for one in good},
        failed=backup.last_failure(config().instance),
        second=config().second_backup_folder,
        aside=request.args.get("aside", ""),
    )


@bp.post("/backups")
def make_backup() -> Answer:
    backup.keep(store().path, config().instance, now(), config().second_backup_folder)
    return redirect("/backups", 303)


@bp.get("/backups/<name>")
def ask_restore(name: str) -> str:
    """What a restore would do, before it is done."""
    one = find(name)
    with store().reading() as session:
        lost = taps_since(session, one.at)
    return render_template("backups/restore.html", one=one, lost=lost)


@bp.post("/backups/<name>")
def restore_backup(name: str) -> Answer:
    if request.form.get("sure") != "yes":
        raise BadInput("Tick that you mean it; nothing was changed.", "sure")
    aside = restore_live(store(), find(name).file, now())
    return redirect(f"/backups?aside={aside.name}", 303)


def folder() -> Path:
    return config().instance / "backups"


def find(name: str) -> backup.Good:
    """A backup of the list by its file's name; a path can't be asked for."""
    found = next((one for one in backup.list_good(folder()) if one.file.name == name), None)
    if found is None:
        raise NotFound("There is no such backup.")
    return found
