"""Photos on the disk: no row without its file, the same photo once, and all of them in the backup."""

import zipfile
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import backup, photos
from shoptrack.store.db import Store
from shoptrack.store.photos import Picture
from tests.store.making import NOW, furnish, order

PICTURE = Picture(b"the picture", b"a small one", 4, 3, "0" * 64)


def add(session: Session, folder: Path, job: int, stage: int | None = None, words: str = "") -> int:
    return photos.add_photo(
        session, folder, PICTURE, job_id=job, stage_id=stage, words=words, who=None, now=NOW
    )


def test_a_photo_has_its_files_and_its_row(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        job, stages = order(session, furnish(session))
        photo = add(session, tmp_path, job, stages[0], "end grain")
    with store.reading() as session:
        row = photos.photo_row(session, photo)
        assert (row.words, row.stage_id, row.size_bytes) == ("end grain", stages[0], len(PICTURE.jpeg))
        assert list(photos.photos_of_job(session, job)) == [row]
    assert photos.photo_file(tmp_path, photo).read_bytes() == PICTURE.jpeg
    assert photos.photo_file(tmp_path, photo, small=True).read_bytes() == PICTURE.small
    assert not [p for p in tmp_path.rglob("*.part")]


def test_the_same_photo_is_kept_once(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        job, stages = order(session, furnish(session))
        assert add(session, tmp_path, job) == add(session, tmp_path, job)
        assert add(session, tmp_path, job, stages[0]) == add(session, tmp_path, job, stages[0])
        assert len(photos.photos_of_job(session, job)) == 2


def test_without_its_file_there_is_no_row(store: Store, tmp_path: Path) -> None:
    """A file lies where the folder should be, as on a disk that takes nothing."""
    with store.writing() as session:
        job = order(session, furnish(session))[0]
    (tmp_path / backup.PHOTOS).write_text("in the way")
    with pytest.raises(OSError, match="photos"), store.writing() as session:
        add(session, tmp_path, job)
    with store.reading() as session:
        assert photos.photos_of_job(session, job) == []


def test_a_stage_of_another_job(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        made = furnish(session)
        (job, _), (_, others) = order(session, made), order(session, made)
        for stage in (others[0], 999):
            with pytest.raises(BadInput, match="not one of this job"):
                add(session, tmp_path, job, stage)


def test_a_photo_taken_back_is_not_shown(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        made = furnish(session)
        job = order(session, made)[0]
        photo = add(session, tmp_path, job)
        assert [photos.retire_photo(session, photo, made.ann, NOW) for _ in range(2)] == [job, job]
        assert photos.photos_of_job(session, job) == []
        for number in (photo, 99):
            with pytest.raises(NotFound):
                photos.photo_row(session, number)
        with pytest.raises(NotFound):
            photos.retire_photo(session, 99, None, NOW)
        assert add(session, tmp_path, job) != photo


def test_a_half_written_file_never_has_the_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk is full at the sync: what was there stays as it was, and no part is left."""
    file = tmp_path / "photos" / "1.jpg"
    photos.write_whole(file, b"first")

    def full(handle: int) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(photos.os, "fsync", full)
    with pytest.raises(OSError, match="no space"):
        photos.write_whole(file, b"second")
    assert file.read_bytes() == b"first"
    assert [p.name for p in file.parent.iterdir()] == ["1.jpg"]


def test_a_backup_takes_the_photos_along(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        job = order(session, furnish(session))[0]
        photo = add(session, tmp_path, job)
    made = backup.make(store.path, tmp_path, NOW)
    with zipfile.ZipFile(made) as bundle:
        assert bundle.read(f"photos/{photo}.jpg") == PICTURE.jpeg
        assert bundle.read(f"photos/small/{photo}.jpg") == PICTURE.small
