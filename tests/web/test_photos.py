"""Photos on the pages: sent from a bench, shown with their headers, refused with a sentence, taken back."""

from io import BytesIO
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from PIL import Image
from werkzeug.test import TestResponse

from shoptrack.web.photos import FOR_A_YEAR
from tests.joinery import BusyDay, Joinery
from tests.web.conftest import ORIGIN


def picture(size: tuple[int, int] = (60, 40)) -> bytes:
    out = BytesIO()
    Image.new("RGB", size, "brown").save(out, "JPEG")
    return out.getvalue()


def send(client: FlaskClient, job: int, content: bytes | None, **fields: str) -> TestResponse:
    """Post the form as a browser writes it out: one part a field, then the file."""
    parts = [
        f'Content-Disposition: form-data; name="{name}"\r\n\r\n{value}'.encode()
        for name, value in {"words": "", "stage": "", **fields}.items()
    ]
    if content is not None:
        head = b'Content-Disposition: form-data; name="photo"; filename="../a.jpg"\r\n\r\n'
        parts.append(head + content)
    body = b"".join(b"--edge\r\n" + part + b"\r\n" for part in parts) + b"--edge--\r\n"
    form = "multipart/form-data; boundary=edge"
    return client.post(f"/jobs/{job}/photos", data=body, content_type=form, headers=ORIGIN)


def test_a_photo_is_kept_and_shown(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """From a bench, nobody in the office; the same press twice is one photo."""
    job, stage = day.elm["job"], day.elm["milling"]
    for _ in range(2):
        answer = send(client, job, picture(), words="end <grain>", stage=str(stage))
        assert (answer.status_code, answer.location) == (303, f"/jobs/{job}#photos")
    page = client.get(f"/jobs/{job}").text
    assert page.count('src="/photos/1/small"') == 1
    assert "/photos/2" not in page
    assert 'alt="end &lt;grain&gt;"' in page


def test_what_is_served(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    send(client, day.elm["job"], picture((800, 600)))
    for path, width in (("/photos/1", 800), ("/photos/1/small", 400)):
        answer = client.get(path)
        assert answer.content_type == "image/jpeg"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == FOR_A_YEAR
        assert "img-src 'self'" in answer.headers["Content-Security-Policy"]
        assert Image.open(BytesIO(answer.data)).width == width
        assert client.get(path, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize(
    "path", ["/photos/..%2fshop.db", "/photos/../shop.db", "/photos/1/../../shop.db", "/photos/1/large",
             "/photos/-1", "/photos/99999999999999999999", "/photos/2", "/photos/1.jpg"]
)  # fmt: skip
def test_nothing_else_is_served(client: FlaskClient, joinery: Joinery, day: BusyDay, path: str) -> None:
    send(client, day.elm["job"], picture())
    assert client.get(path).status_code == 404


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (None, "Choose a photo first."),
        (b"", "Choose a photo first."),
        (b"GIF89a<script>alert(1)</script>", "That is no photo that can be read here"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 30, "send it as a JPEG"),
        (b"\xff" * (12 * 2**20 + 1), "larger than 12 megabytes"),
        (b"\xff" * (13 * 2**20), "larger than 12 megabytes"),
    ],
    ids=["none", "empty", "gif", "heic", "just too large", "far too large"],
)
def test_what_is_refused_leaves_nothing(
    client: FlaskClient, joinery: Joinery, day: BusyDay, tmp_path: Path, content: bytes | None, sentence: str
) -> None:
    answer = send(client, day.elm["job"], content, words="end <grain>")
    assert answer.status_code == 400
    assert sentence in answer.text
    assert 'id="wrong-photo"' in answer.text
    if content is None or len(content) < 12 * 2**20:
        assert 'value="end &lt;grain&gt;"' in answer.text
    assert not (tmp_path / "photos").exists()


def test_other_posts_keep_their_limit(office: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    """Twelve megabytes are for photos alone."""
    answer = office.post("/customers", data={"name": "x" * (3 * 2**20)}, headers=ORIGIN)
    assert answer.status_code == 413


def test_a_stage_or_job_that_is_not_there(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    assert send(client, 999, picture()).status_code == 404
    answer = send(client, day.elm["job"], picture(), stage=str(day.hall["frame"]))
    assert answer.status_code == 400
    assert "not one of this job" in answer.text
    assert send(client, day.elm["job"], picture(), stage="x").status_code == 400


def test_the_office_takes_a_photo_back(client: FlaskClient, joinery: Joinery, day: BusyDay) -> None:
    job = day.elm["job"]
    send(client, job, picture())
    assert client.post("/photos/1/back", headers=ORIGIN).status_code == 403
    client.post("/office", data={"person": "1"}, headers=ORIGIN)
    for _ in range(2):
        assert client.post("/photos/1/back", headers=ORIGIN).location == f"/jobs/{job}#photos"
    assert client.get("/photos/1").status_code == 404
    assert "/photos/1" not in client.get(f"/jobs/{job}").text


def test_a_file_that_is_gone(client: FlaskClient, joinery: Joinery, day: BusyDay, tmp_path: Path) -> None:
    send(client, day.elm["job"], picture())
    (tmp_path / "photos" / "1.jpg").unlink()
    answer = client.get("/photos/1")
    assert answer.status_code == 404
    assert "not in the shop’s folder" in answer.text
