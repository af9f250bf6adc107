"""Photos of the work: their rows, and where their files lie in the instance folder."""

import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store.backup import PHOTOS
from shoptrack.store.edits import edit, note_made
from shoptrack.store.tables import PhotoRow, StageRow

SMALL = "small"


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as it is kept: the JPEG itself, a small one of it, and its size."""

    jpeg: bytes
    small: bytes
    width_px: int
    height_px: int
    sha256: str


def photo_file(instance: Path, photo_id: int, small: bool = False) -> Path:
    """Where the file of a photo lies; backups take the whole folder with them."""
    folder = instance / PHOTOS
    return (folder / SMALL if small else folder) / f"{photo_id}.jpg"


def photo_row(session: Session, photo_id: int) -> PhotoRow:
    """One photo that counts. Raises NotFound for one that was taken back or never was."""
    row = session.get(PhotoRow, photo_id)
    if row is None or row.retired_at is not None:
        raise NotFound("There is no such photo.")
    return row


def photos_of_job(session: Session, job_id: int) -> Sequence[PhotoRow]:
    """The photos of a job that count, oldest first."""
    own = select(PhotoRow).where(PhotoRow.job_id == job_id, PhotoRow.retired_at.is_(None))
    return session.scalars(own.order_by(PhotoRow.added_at, PhotoRow.id)).all()


def add_photo(
    session: Session,
    instance: Path,
    picture: Picture,
    *,
    job_id: int,
    stage_id: int | None,
    words: str,
    who: int | None,
    now: datetime,
) -> int:
    """Keep a photo of a job: its files on the disk first, then its row; gives its number.

    The same photo of the same job and stage again is the one that is there. Raises BadInput for a stage of
    another job, OSError where the files can't be written: then there is no row either.
    """
    _refuse_other_job(session, job_id, stage_id)
    here = (PhotoRow.job_id == job_id, PhotoRow.sha256 == picture.sha256, PhotoRow.retired_at.is_(None))
    again = session.scalars(select(PhotoRow).where(*here, PhotoRow.stage_id.is_not_distinct_from(stage_id)))
    if (row := again.first()) is not None:
        return row.id
    row = PhotoRow(
        job_id=job_id,
        stage_id=stage_id,
        words=words,
        width_px=picture.width_px,
        height_px=picture.height_px,
        size_bytes=len(picture.jpeg),
        sha256=picture.sha256,
        added_at=now,
        person_id=who,
    )
    session.add(row)
    note_made(session, row, who, now)
    write_whole(photo_file(instance, row.id, small=True), picture.small)
    write_whole(photo_file(instance, row.id), picture.jpeg)
    return row.id


def retire_photo(session: Session, photo_id: int, who: int | None, now: datetime) -> int | None:
    """Take a photo back; again it changes nothing. Gives its job's number. Raises NotFound."""
    row = session.get(PhotoRow, photo_id)
    if row is None:
        raise NotFound("There is no such photo.")
    if row.retired_at is None:
        edit(session, row, who, now, retired_at=now)
    return row.job_id


def write_whole(file: Path, content: bytes) -> None:
    """Write a file so that under its name it is there whole, on the disk, or not at all."""
    file.parent.mkdir(parents=True, exist_ok=True)
    part = file.with_name(f".{file.name}.part")
    try:
        with open(part, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        os.replace(part, file)
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    if os.name == "posix":
        folder = os.open(file.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _refuse_other_job(session: Session, job_id: int, stage_id: int | None) -> None:
    stage = session.get(StageRow, stage_id) if stage_id is not None else None
    if stage_id is not None and (stage is None or stage.job_id != job_id):
        raise BadInput("That stage is not one of this job.", "stage")
