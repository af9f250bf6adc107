"""Codes: what a camera reads is the very address, glue on a corner or not."""

import io

import pytest
import segno
import zxingcpp
from flask import Flask
from PIL import Image, ImageDraw

from shoptrack.web.codes import code_answer, code_svg

ADDRESS = "http://192.168.1.20:8750/j/K7"


def drawn(text: str) -> Image.Image:
    """The same code as pixels, by the library's own other way of drawing it."""
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="png", scale=6, border=4)
    return Image.open(out).convert("L")


@pytest.mark.parametrize(
    "text",
    [
        ADDRESS,
        "https://shop.test/j/%F0%9F%AA%9A",
        "webcal://192.168.1.20:8750/calendar/" + "aB-_" * 8 + ".ics",
    ],
)
def test_another_reader_reads_the_address(text: str) -> None:
    (found,) = zxingcpp.read_barcodes(drawn(text))
    assert found.text == text
    assert found.format == zxingcpp.BarcodeFormat.QRCode


def test_a_drop_of_glue_on_the_code_does_no_harm() -> None:
    """Level M mends about 15 % of the code (ISO/IEC 18004, 7.5.1; from memory); this drop hides about 6 %."""
    code = drawn(ADDRESS)
    side = code.width
    ImageDraw.Draw(code).ellipse((side * 0.55, side * 0.5, side * 0.79, side * 0.74), fill=255)
    assert zxingcpp.read_barcodes(code)[0].text == ADDRESS


def test_the_drawing_is_black_on_white_on_any_paper_and_keeps_its_distance() -> None:
    svg = code_svg(ADDRESS).decode()
    assert svg.startswith("<svg")
    assert "#fff" in svg
    assert "#000" in svg
    assert "style=" not in svg  # the content policy refuses it
    side = segno.make(ADDRESS, error="m", micro=False).symbol_size(border=4)[0]
    assert f'viewBox="0 0 {side} {side}"' in svg


def test_the_answer_is_sent_once(bare_app: Flask) -> None:
    with bare_app.test_request_context("/"):
        first = code_answer(ADDRESS)
    tag = first.headers["ETag"]
    with bare_app.test_request_context("/", headers={"If-None-Match": tag}):
        assert code_answer(ADDRESS).status_code == 304
        assert code_answer(ADDRESS + "x").status_code == 200
    assert first.content_type == "image/svg+xml"
