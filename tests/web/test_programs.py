"""Machine programs, as somebody at a tablet or in the office attaches and reads them."""

import re
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from shoptrack.flows.programs import reading
from shoptrack.flows.programs.attach import GREATEST_BYTES
from shoptrack.web import programs as page
from shoptrack.web.security import GREATEST_REQUEST_BYTES
from tests.flows.programs.shop import BAD, TWO_BITS, Router, make_router
from tests.flows.programs.test_attach import big
from tests.joinery import UNA, Joinery, at
from tests.web.conftest import ORIGIN
from tests.web.test_files import form_of


@pytest.fixture
def router(joinery: Joinery) -> Router:
    """The small shop with a tray to be routed."""
    return make_router(joinery)


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """However slow the machine is, a program is answered by its page unless a test wants it otherwise."""
    monkeypatch.setattr(page, "AT_ONCE_S", 120.0)


def at_stage(router: Router, stage: int | None = None) -> str:
    return f"/jobs/{router.job}/stages/{stage or router.routing}/programs"


def send(
    client: FlaskClient, router: Router, data: bytes = TWO_BITS, name: str = "tray.nc", times: str = "1"
) -> TestResponse:
    form = form_of(data, name)
    said = f'--edge\r\nContent-Disposition: form-data; name="times"\r\n\r\n{times}\r\n'.encode()
    return client.post(at_stage(router), **{**form, "data": said + form["data"]})


def attached(client: FlaskClient, router: Router, data: bytes = TWO_BITS) -> str:
    answer = send(client, router, data)
    assert answer.status_code == 303, answer.text
    assert answer.location is not None
    return answer.location


def plain(client: FlaskClient, address: str) -> str:
    """A page with the spaces that no line ends at as common ones."""
    return client.get(address).text.replace("\u00a0", " ")


def left_behind(router: Router) -> list[Path]:
    """Files in the instance folder besides the database."""
    return [p for p in router.store.instance.iterdir() if p.is_file() and not p.name.startswith("shop.db")]


def test_a_program_is_attached_and_shown(office: FlaskClient, router: Router) -> None:
    before = left_behind(router)
    address = attached(office, router)
    text = plain(office, address)
    for said in ("tray.nc", "6 min 36 s", "quarter upcut", "V-bit", "A lower bound", "within earshot",
                 "starting value", "say which", "<svg class=\"pg-path\""):  # fmt: skip
        assert said in text, said
    assert left_behind(router) == before, "the file itself is not kept"


def test_tools_are_said_once_and_the_pages_of_the_stage_tell_of_it(
    office: FlaskClient, router: Router
) -> None:
    address = attached(office, router)
    said = {"tool-1": str(router.upcut), "tool-2": str(router.vee)}
    assert office.post(address, data=said, headers=ORIGIN).status_code == 303
    text = office.get(address).text
    assert text.count("remembered of this router") == 2
    assert "below Z0; the flute is" in text, "it cuts 4 mm, the flute is 3 mm long"
    stage = f"/jobs/{router.job}/stages/{router.routing}"
    for other in (at_stage(router), stage, f"/jobs/{router.job}"):
        assert "tray.nc" in office.get(other).text, other
    second = attached(office, router, TWO_BITS + b"\n")
    assert "not matched" not in office.get(second).text


def test_the_bench_tells_of_it_while_the_stage_is_in_hand(office: FlaskClient, router: Router) -> None:
    address = attached(office, router)
    router.joinery.tap("start", at("13:00"), router.routing, insisted=True)
    text = plain(office, f"/bench/{UNA}")
    assert address in text
    assert "6 min 36 s" in text


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty"),
        (BAD, "Line 4: "),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "Line 1: "),
        (b"\x00" * 3_000_000, "Line 1: "),
        (b"G1 X1 F1 " * 300_000, "Line 1: "),
    ],
)
def test_a_bad_file_is_told_beside_its_field(
    office: FlaskClient, router: Router, data: bytes, says: str
) -> None:
    answer = send(office, router, data)
    assert answer.status_code == 400
    told = re.search(r'<p class="wrong" id="wrong-file">(.*?)</p>', answer.text)
    assert told, answer.text
    assert says in told[1]
    assert "None yet." in answer.text


def test_what_else_can_be_wrong_with_the_form(office: FlaskClient, router: Router) -> None:
    assert "Choose a file first." in send(office, router, b"", name="").text
    for times in ("", "0", "x", "100000"):
        answer = send(office, router, times=times)
        assert answer.status_code == 400
        assert 'id="wrong-times"' in answer.text
    attached(office, router)
    assert "attached to the stage already" in send(office, router).text
    assert office.get(at_stage(router, 999)).status_code == 404
    assert office.post(at_stage(router), data="x", headers=ORIGIN).status_code == 400


def test_this_form_alone_takes_more_than_two_megabytes(office: FlaskClient, router: Router) -> None:
    data = big()
    assert len(data) > GREATEST_REQUEST_BYTES
    attached(office, router, data)
    photo = office.post(f"/jobs/{router.job}/stages", data={"do": "x" * 3_000_000}, headers=ORIGIN)
    assert photo.status_code == 413


def test_more_than_a_hundred_is_refused_before_it_is_read(office: FlaskClient, router: Router) -> None:
    length = {"CONTENT_LENGTH": str(GREATEST_BYTES + 10**6)}
    form = form_of(b"G1")
    answer = office.post(at_stage(router), **form, environ_overrides=length)
    assert answer.status_code == 400
    assert "larger than 100 MB" in answer.text


def test_a_long_one_tells_how_far_it_is(
    office: FlaskClient, router: Router, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page, "AT_ONCE_S", 0.0)
    answer = send(office, router, big())
    assert answer.status_code == 200
    pieces = answer.text
    assert "megabytes read" in pieces
    assert "<li>2</li>" in pieces
    assert "Say which tools these are" in pieces
    (made,) = set(re.findall(r"/jobs/\d+/programs/\d+", pieces))
    assert office.get(made).status_code == 200


def test_a_long_bad_one_is_told_in_the_page(
    office: FlaskClient, router: Router, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page, "AT_ONCE_S", 0.0)
    answer = send(office, router, big().replace(b"M30", b"G1 X1 Q")).text
    assert "Line 240,013: " in answer
    assert "Nothing of it was kept." in answer


def test_who_leaves_while_it_is_read_leaves_nothing(
    bare_app: Flask, office: FlaskClient, router: Router, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The browser is closed after the first tick: the process ends and there is no row."""
    monkeypatch.setattr(page, "AT_ONCE_S", 0.0)
    data = big() * 8
    form = form_of(data)
    said = b'--edge\r\nContent-Disposition: form-data; name="times"\r\n\r\n1\r\n'
    answer = office.post(at_stage(router), **{**form, "data": said + form["data"]}, buffered=False)
    pieces = answer.iter_encoded()
    for piece in pieces:
        if b"<li>" in piece:
            break
    answer.close()
    assert reading._TURNS._value == reading.AT_ONCE  # type: ignore[attr-defined]
    assert "None yet." in office.get(at_stage(router)).text


def test_it_is_run_for_each_piece_and_taken_off_again(office: FlaskClient, router: Router) -> None:
    address = attached(office, router)
    assert office.post(f"{address}/times", data={"times": "4"}, headers=ORIGIN).status_code == 303
    assert "4 runs" in office.get(address).text
    bad = office.post(f"{address}/times", data={"times": "no"}, headers=ORIGIN)
    assert bad.status_code == 400
    assert 'id="wrong-times"' in bad.text
    for _ in range(2):
        gone = office.post(f"{address}/removed", headers=ORIGIN)
        assert gone.location == at_stage(router)
    assert "taken off the stage" in office.get(address).text
    assert "None yet." in office.get(at_stage(router)).text


def test_a_tool_that_can_not_be_is_told_beside_its_field(office: FlaskClient, router: Router) -> None:
    address = attached(office, router)
    for said in ("999", "x"):
        answer = office.post(address, data={"tool-2": said}, headers=ORIGIN)
        assert answer.status_code == 400
        assert 'id="wrong-tool-2"' in answer.text
    strange = {"tool-x": "1", "tool-99": str(router.upcut), "tool-" + "9" * 40: "1"}
    assert office.post(address, data=strange, headers=ORIGIN).status_code == 303


def test_names_of_files_are_written_as_text(office: FlaskClient, router: Router) -> None:
    answer = send(office, router, name="<b>x</b> & y.nc")
    assert answer.location is not None
    text = office.get(answer.location).text
    assert "<b>x</b>" not in text
    assert "b&gt; &amp; y.nc" in text


def test_reaches_beyond_the_bed_are_said(office: FlaskClient, router: Router) -> None:
    address = attached(office, router)  # 1200 mm along X on a bed of 1000 mm
    assert "along X; the bed has" in office.get(address).text
