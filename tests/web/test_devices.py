"""The page of the tablets: a code for a new one, what they are called, and an end to one."""

import io
import re
import xml.etree.ElementTree as ET

import pytest
import zxingcpp
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from shoptrack.config import Config
from shoptrack.store import certificates, devices
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store
from tests.joinery import NOW, Joinery
from tests.web.conftest import ORIGIN
from tests.web.tablets import HTTP, HTTPS, Visitor, office_here, open_shop, paired


@pytest.fixture
def lan(joinery: Joinery, bare_store: Store, config: Config) -> Flask:
    return open_shop(bare_store, config)


@pytest.fixture
def desk(lan: Flask) -> Visitor:
    """Una at the shop's own machine."""
    here = office_here(lan)
    assert here.post("/office", data={"person": "1"}).status_code == 303
    return here


def read_code(svg: str) -> str:
    """What a camera reads off a drawing: its runs of dark modules made into a picture first."""
    drawing = ET.fromstring(svg)
    wide = int(drawing.attrib["viewBox"].split()[2])
    picture = Image.new("L", (wide, wide), 255)
    dark = next(p for p in drawing.iter() if p.get("stroke") is not None)
    x, y = 0.0, 0.0
    for step, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?:[ ,]?(-?[\d.]+))?", dark.attrib["d"]):
        if step == "M":
            x, y = float(first), float(second)
        elif step == "m":
            x, y = x + float(first), y + float(second)
        else:
            for n in range(int(first)):
                picture.putpixel((int(x) + n, int(y)), 0)
            x += float(first)
    picture = picture.resize((wide * 6, wide * 6), Image.Resampling.NEAREST)
    (found,) = zxingcpp.read_barcodes(picture)
    return str(found.text)


def test_the_code_on_the_page_pairs_a_tablet(desk: Visitor, lan: Flask, bare_store: Store) -> None:
    """Read off the page by a reader of another make, opened on a tablet, its fragment sent by the form."""
    page = desk.post("/devices/pair", data={"name": "bench tablet", "kind": "bench"})
    assert page.status_code == 200
    (svg,) = re.findall(r"<svg.*?</svg>", page.text, re.DOTALL)
    address, _, code = read_code(svg).partition("#")
    assert address == f"{HTTP}/pair"
    assert len(code) == 26  # 128 bits in signs of five
    assert " ".join(re.findall("....|..$", code)) in page.text
    tablet = Visitor(lan)
    assert tablet.post("/pair", data={"code": code, "id": "a"}).status_code == 303
    listed = desk.get("/devices").text
    assert "<b>bench tablet</b> for the bench" in listed
    with bare_store.reading() as session:
        assert [d.paired_address for d in devices.list_devices(session)] == [HTTP]


def test_two_codes_are_two(desk: Visitor) -> None:
    pages = [desk.post("/devices/pair", data={"name": "a", "kind": "wall"}).text for _ in range(2)]
    codes = [re.findall(r'code-letters">([^<]+)', page)[0] for page in pages]
    assert codes[0] != codes[1]


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"name": "", "kind": "bench"}, "The tablet’s name is missing."),
        ({"name": "x" * 41, "kind": "bench"}, "longer than 40 letters"),
        ({"name": "a", "kind": "boss"}, "What it is for can’t be that."),
        ({"name": "a"}, "What it is for is missing."),
        ({"name": "a", "kind": "bench", "address": "http://elsewhere.example"}, "not at that address now"),
    ],
)
def test_what_can_not_be_paired_comes_back_filled(desk: Visitor, sent: dict[str, str], words: str) -> None:
    page = desk.post("/devices/pair", data=sent)
    assert page.status_code == 400
    assert words in page.text
    assert f'value="{sent["name"]}"' in page.text


def test_a_tablet_is_renamed_and_sent_away(desk: Visitor, lan: Flask, bare_store: Store) -> None:
    paired(lan, bare_store, "bench", name="first")
    odd = '<b>"O’Hara" & =1+1 😀'
    assert desk.post("/devices/1/name", data={"called-1": odd, "called": odd}).status_code == 303
    assert "&lt;b&gt;&#34;O’Hara&#34; &amp; =1+1 😀" in desk.get("/devices").text
    assert desk.post("/devices/1/name", data={"called": " "}).status_code == 400
    for _ in range(2):
        assert desk.post("/devices/1/away").status_code == 303
    assert "No tablet is paired yet." in desk.get("/devices").text
    assert desk.post("/devices/1/name", data={"called": "again"}).status_code == 404
    assert desk.post("/devices/99/away").status_code == 404
    with bare_store.reading() as session:
        from shoptrack.store.edits import history

        assert [(e.field, e.person_id) for e in history(session, "devices", 1)] == [
            ("made", None),
            ("name", 1),
            ("revoked_at", 1),
        ]


def test_a_tablet_whose_address_is_gone_is_told(desk: Visitor, lan: Flask, bare_store: Store) -> None:
    """The router gave this machine another address overnight."""
    paired(lan, bare_store, "bench")
    assert "where the shop is not now" not in desk.get("/devices").text
    lan.config["REACH"] = Reach(("192.168.1.99",), ("shop.local",))
    assert f"It was paired at {HTTP}, where the shop is not now." in desk.get("/devices").text


def test_without_a_network_the_page_says_so(desk: Visitor, lan: Flask) -> None:
    lan.config["REACH"] = Reach((), ())
    page = desk.get("/devices").text
    assert "no network" in page
    assert "Show the code" not in page
    assert desk.post("/devices/pair", data={"name": "a", "kind": "bench"}).status_code == 400


def test_alone_on_its_machine_the_shop_says_how_to_let_tablets_in(office: FlaskClient) -> None:
    page = office.get("/devices").text
    assert "shoptrack serve --lan" in page
    assert "Show the code" not in page
    assert (
        office.post("/devices/pair", data={"name": "a", "kind": "bench"}, headers=ORIGIN).status_code == 400
    )


def test_plain_http_is_said_to_be_readable(desk: Visitor, bare_store: Store, config: Config) -> None:
    words = "Over plain http anyone on this Wi-Fi can read what is shown."
    assert words in desk.get("/devices").text
    here = office_here(open_shop(bare_store, config, https=True))
    here.post("/office", data={"person": "1"})
    assert words not in here.get("/devices").text


def test_the_certificate_is_offered_by_http_with_its_fingerprint(bare_store: Store, config: Config) -> None:
    """Before a tablet is paired, and before it trusts anything."""
    app = open_shop(bare_store, config, https=True)
    assert Visitor(app).get("/devices/trust").status_code == 404
    files = certificates.in_instance(config.instance)
    certificates.see_to(files, ("192.168.1.7",), NOW)
    page = Visitor(app).get("/devices/trust")
    assert page.status_code == 200
    assert certificates.fingerprint(files.own) in page.text
    assert f'href="{HTTPS}/pair"' in page.text
    given = Visitor(app).get("/devices/shop.crt")
    assert given.content_type == "application/x-x509-ca-cert"
    assert io.BytesIO(given.data).read() == files.own.read_bytes()
    assert b"PRIVATE" not in given.data


def test_a_code_by_https_leads_to_https(joinery: Joinery, bare_store: Store, config: Config) -> None:
    app = open_shop(bare_store, config, https=True)
    here = office_here(app)
    here.post("/office", data={"person": "1"})
    page = here.post("/devices/pair", data={"name": "a", "kind": "office"}).text
    assert read_code(re.findall(r"<svg.*?</svg>", page, re.DOTALL)[0]).startswith(f"{HTTPS}/pair#")
