"""Photos: whatever is sent, what is kept is an upright JPEG with the picture alone in it, or a refusal."""

import struct
import zlib
from contextlib import suppress
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image, PngImagePlugin

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows import photos
from shoptrack.store.photos import photo_file, photos_of_job
from tests.joinery import NOW, UNA, Joinery

PLACE = b"Sedge Lane 7"
GPS = {1: "N", 2: (48.0, 12.0, 30.5), 3: "E", 4: (16.0, 22.0, 11.25)}


def jpeg(size: tuple[int, int] = (60, 40), turned: int = 1, **more: object) -> bytes:
    """A photo as a phone makes it: red on its left half, with the place and the maker's words in it."""
    picture = Image.new("RGB", size, "blue")
    picture.paste((255, 0, 0), (0, 0, size[0] // 2, size[1]))
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = turned
    exif[ExifTags.Base.Artist] = PLACE.decode()
    exif.get_ifd(ExifTags.IFD.GPSInfo).update(GPS)
    out = BytesIO()
    picture.save(out, "JPEG", exif=exif, comment=PLACE, **more)
    return out.getvalue()


def opened(content: bytes) -> Image.Image:
    picture = Image.open(BytesIO(content))
    picture.load()
    return picture


def red_share(picture: Image.Image, box: tuple[int, int, int, int]) -> float:
    part = picture.crop(box).convert("RGB")
    dots = list(part.get_flattened_data())
    return sum(r > 150 and b < 100 for r, _, b in dots) / len(dots)


def test_the_place_is_in_what_is_sent_and_not_in_what_is_kept() -> None:
    """Read by Pillow, and searched byte by byte: no Exif, no place, no comment, no XMP, no colour profile."""
    sent = jpeg(icc_profile=b"a profile of " + PLACE)
    assert PLACE in sent
    assert opened(sent).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    kept = photos.plain_picture(sent)
    for content in (kept.jpeg, kept.small):
        assert dict(opened(content).getexif()) == {}
        assert set(opened(content).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
        for mark in (PLACE, b"Exif", b"GPS", b"http://ns.adobe.com", b"ICC_PROFILE"):
            assert mark not in content


@pytest.mark.parametrize("turned", range(1, 9))
def test_it_stands_upright_however_the_camera_was_held(turned: int) -> None:
    """The eight ways of Exif's Orientation: where the red half comes to lie (Exif 2.3, from memory)."""
    kept = opened(photos.plain_picture(jpeg((64, 32), turned, quality=95)).jpeg)
    assert kept.size == ((64, 32) if turned < 5 else (32, 64))
    half = {
        1: (0, 0, 28, 32), 2: (36, 0, 64, 32), 3: (36, 0, 64, 32), 4: (0, 0, 28, 32),
        5: (0, 0, 32, 28), 6: (0, 0, 32, 28), 7: (0, 36, 32, 64), 8: (0, 36, 32, 64),
    }[turned]  # fmt: skip
    assert red_share(kept, half) > 0.95


def test_sides_are_at_most_as_long_as_said() -> None:
    kept = photos.plain_picture(jpeg((3000, 1500)))
    assert (kept.width_px, kept.height_px) == (2000, 1000) == opened(kept.jpeg).size
    assert opened(kept.small).size == (400, 200)


def test_a_small_picture_is_not_blown_up() -> None:
    kept = photos.plain_picture(jpeg((30, 20)))
    assert (kept.width_px, kept.height_px) == (30, 20) == opened(kept.small).size


def test_what_is_clear_is_white() -> None:
    for mode, clear in (("RGBA", (255, 0, 0, 0)), ("LA", (0, 0))):
        out = BytesIO()
        Image.new(mode, (8, 8), clear).save(out, "PNG")
        assert opened(photos.plain_picture(out.getvalue()).jpeg).getpixel((4, 4)) == (255, 255, 255)


MODES = {
    "JPEG": ("1", "L", "CMYK", "RGB"),
    "PNG": ("1", "L", "P", "RGB", "RGBA", "I;16"),
    "WEBP": ("L", "P", "RGB", "RGBA"),
}


@pytest.mark.parametrize(("form", "mode"), [(form, mode) for form in MODES for mode in MODES[form]])
def test_every_kind_of_picture_that_a_camera_or_scanner_makes(form: str, mode: str) -> None:
    out = BytesIO()
    Image.new(mode, (9, 7)).save(out, form)
    assert photos.plain_picture(out.getvalue()).width_px == 9


def png_header(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is as large as this."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 64)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize("size", [(50_000, 50_000), (2_000_000_000, 1), (8001, 8000), (12_000, 12_000)])
def test_a_picture_that_says_it_is_huge_is_refused_by_its_header(
    size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos.ImageOps, "exif_transpose", lambda picture: pytest.fail("it was decoded"))
    with pytest.raises(BadInput) as wrong:
        photos.plain_picture(png_header(*size))
    assert str(wrong.value) == photos.TOO_MANY_PX
    assert wrong.value.field == "photo"


def polyglot() -> bytes:
    """A GIF that is a page with a script as well."""
    return b"GIF89a/*\x01\x00\x01\x00\x00\x00\x00;*/=1;<script>alert(1)</script>"


HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\0" * 64

EVIL: dict[str, bytes] = {
    "half a photo": jpeg((200, 200))[:900],
    "a header alone": jpeg()[:24],
    "a gif and a page": polyglot(),
    "a drawing with a script": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "words": b"this is no photo at all",
    "a PNG that breaks off": png_header(30, 30),
    "a PDF": b"%PDF-1.7\n%\xe2\xe3\xcf\xd3",
    "a TIFF": b"II*\x00\x08\x00\x00\x00",
    "one byte": b"\xff",
}


@pytest.mark.parametrize("sent", EVIL.values(), ids=EVIL)
def test_what_is_no_photo_is_refused_with_a_sentence(sent: bytes) -> None:
    with pytest.raises(BadInput) as wrong:
        photos.plain_picture(sent)
    assert str(wrong.value) == photos.NO_PHOTO


def test_what_is_refused_for_what_it_is() -> None:
    for sent, sentence in (
        (HEIC, photos.HEIC),
        (b"", "Choose a photo first."),
        (b"x" * (12 * 2**20 + 1), photos.TOO_LARGE),
    ):
        with pytest.raises(BadInput) as wrong:
            photos.plain_picture(sent)
        assert str(wrong.value) == sentence


def test_a_page_hidden_behind_a_photo_is_gone() -> None:
    """A JPEG with a page after its end, and a PNG with one in its text: what is kept has neither."""
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "<script>alert(1)</script>")
    out = BytesIO()
    Image.new("RGB", (9, 9)).save(out, "PNG", pnginfo=info)
    for sent in (jpeg() + b"<script>alert(1)</script>", out.getvalue()):
        assert b"<script>" in sent
        assert b"<script>" not in photos.plain_picture(sent).jpeg


@given(st.data())
def test_no_damage_to_a_photo_breaks_more_than_the_photo(data: st.DataObject) -> None:
    """Any byte changed, any part cut off: a picture or a refusal, nothing else."""
    sent = bytearray(jpeg((24, 16)))
    for _ in range(data.draw(st.integers(1, 5))):
        sent[data.draw(st.integers(0, len(sent) - 1))] = data.draw(st.integers(0, 255))
    cut = bytes(sent[: data.draw(st.integers(0, len(sent)))])
    with suppress(BadInput):
        assert photos.plain_picture(cut).jpeg.startswith(b"\xff\xd8\xff")


def test_a_photo_of_a_job(joinery: Joinery, tmp_path: Path) -> None:
    job = joinery.add("tray", "tray", None)
    add = {"stage_id": job["milling"], "words": "end grain", "who": UNA, "now": NOW}
    numbers = {photos.add(joinery.store, job["job"], jpeg(), **add) for _ in range(2)}  # type: ignore[arg-type]
    assert numbers == {1}
    with joinery.store.reading() as session:
        (row,) = photos_of_job(session, job["job"])
    assert opened(photo_file(tmp_path, row.id).read_bytes()).size == (row.width_px, row.height_px)
    with pytest.raises(NotFound):
        photos.add(joinery.store, 99, jpeg(), **add)  # type: ignore[arg-type]


def test_a_disk_that_takes_nothing(joinery: Joinery, tmp_path: Path) -> None:
    (tmp_path / "photos").write_text("in the way")
    job = joinery.add("tray", "tray", None)["job"]
    with pytest.raises(Refused, match="could not be written"):
        photos.add(joinery.store, job, jpeg(), stage_id=None, words="", who=None, now=NOW)
