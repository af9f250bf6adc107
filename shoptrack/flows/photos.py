"""The bytes of a photo as they were sent → a plain JPEG of the work, upright, with no more in its file."""

import hashlib
from datetime import datetime
from io import BytesIO
from threading import Lock

from PIL import Image, ImageOps

from shoptrack.errors import BadInput, Refused
from shoptrack.store.db import Store
from shoptrack.store.jobs import job_row
from shoptrack.store.photos import Picture, add_photo

GREATEST_FILE_BYTES = 12 * 1024 * 1024
GREATEST_PX = 64_000_000
"""Width times height that is still decoded: more than any phone's or tablet's camera by far."""
LONGEST_SIDE_PX = 2000
SMALL_SIDE_PX = 400
FORMATS = ("JPEG", "PNG", "WEBP")

NO_PHOTO = "That is no photo that can be read here: send a JPEG, PNG or WebP picture."
HEIC = "That photo is in the HEIC form, which can’t be read here: send it as a JPEG."
TOO_LARGE = "That photo is larger than 12 megabytes: send a smaller one."
TOO_MANY_PX = "That picture has more dots than a camera makes: send a smaller one."
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")

_ONE_AT_A_TIME = Lock()  # a large picture takes some two hundred megabytes while it is decoded


def add(
    store: Store,
    job_id: int,
    sent: bytes,
    *,
    stage_id: int | None,
    words: str,
    who: int | None,
    now: datetime,
) -> int:
    """Keep a photo of a job and give its number; the same photo again is the one that is there.

    Raises NotFound for a job that is not there, BadInput for what is no photo, too large or of another job's
    stage, Refused where the disk takes no more.
    """
    with store.reading() as session:
        job_row(session, job_id)
    picture = plain_picture(sent)
    try:
        with store.writing() as session:
            return add_photo(
                session, store.instance, picture,
                job_id=job_id, stage_id=stage_id, words=words, who=who, now=now,
            )  # fmt: skip
    except OSError as problem:
        raise Refused("The photo could not be written to the disk; nothing was kept.") from problem


def plain_picture(sent: bytes) -> Picture:
    """A photo decoded and drawn anew: upright, at most 2000 dots long, without anything but the picture.

    Raises BadInput for what can't be read as a JPEG, PNG or WebP picture, or is too large.
    """
    _refuse_unread(sent)
    with _ONE_AT_A_TIME:
        drawn = _drawn(sent)
        small = drawn.copy()
        small.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX))
        jpeg, small_jpeg = _jpeg(drawn, 85), _jpeg(small, 80)
    return Picture(jpeg, small_jpeg, drawn.width, drawn.height, hashlib.sha256(jpeg).hexdigest())


def _refuse_unread(sent: bytes) -> None:
    if not sent:
        raise BadInput("Choose a photo first.", "photo")
    if len(sent) > GREATEST_FILE_BYTES:
        raise BadInput(TOO_LARGE, "photo")
    if sent[4:8] == b"ftyp" and sent[8:12] in _HEIC_BRANDS:
        raise BadInput(HEIC, "photo")


def _drawn(sent: bytes) -> Image.Image:
    try:
        with Image.open(BytesIO(sent), formats=FORMATS) as found:
            if found.width * found.height > GREATEST_PX:  # by its header, before anything is decoded
                raise BadInput(TOO_MANY_PX, "photo")
            found.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))  # a JPEG is decoded no larger than needed
            upright = ImageOps.exif_transpose(found)
            upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
            return _on_white(upright)
    except BadInput:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as problem:
        raise BadInput(TOO_MANY_PX, "photo") from problem
    except Exception as problem:  # a broken or made-up file breaks a decoder in more ways than have names
        raise BadInput(NO_PHOTO, "photo") from problem


def _on_white(picture: Image.Image) -> Image.Image:
    """Only the dots, on white where the picture is clear; nothing that the file said beside them."""
    if picture.has_transparency_data:
        picture = picture.convert("RGBA")
        sheet = Image.new("RGB", picture.size, "white")
        sheet.paste(picture, mask=picture.getchannel("A"))
        return sheet
    sheet = Image.new("RGB", picture.size, "white")
    sheet.paste(picture.convert("RGB"))
    return sheet


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
