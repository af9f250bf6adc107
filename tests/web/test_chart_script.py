"""The script of the charts as it is served: the installed package's own, packed once, kept for ever."""

import base64
import gzip
import hashlib
import subprocess
import sys
from importlib.metadata import version as installed

import pytest
from flask.testing import FlaskClient

from shoptrack.web import chart_script
from shoptrack.web.security import CONTENT_POLICY


def test_it_is_the_packages_own_file(client: FlaskClient) -> None:
    """Under an address with the version in it; packed it is the same file, and a third of it at most."""
    answer = client.get(chart_script.address(), headers={"Accept-Encoding": "gzip"})
    assert chart_script.address() == f"/times/plotly/{installed('plotly')}.js"
    assert (answer.status_code, answer.headers["Content-Encoding"]) == (200, "gzip")
    assert gzip.decompress(answer.data) == chart_script.file().read_bytes()
    assert len(answer.data) * 3 < chart_script.file().stat().st_size
    assert "immutable" in answer.headers["Cache-Control"]
    assert "max-age=31536000" in answer.headers["Cache-Control"]
    assert answer.mimetype == "text/javascript"


def test_packed_once(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    first = client.get(chart_script.address(), headers={"Accept-Encoding": "gzip"})
    monkeypatch.setattr(gzip, "compress", None)
    assert client.get(chart_script.address(), headers={"Accept-Encoding": "gzip"}).data == first.data


def test_who_can_not_unpack_gets_it_plain(client: FlaskClient) -> None:
    answer = client.get(chart_script.address(), headers={"Accept-Encoding": "identity"})
    assert "Content-Encoding" not in answer.headers
    assert answer.data == chart_script.file().read_bytes()


@pytest.mark.parametrize("path", ["/times/plotly/0.0.1.js", "/times/plotly/..%2F..%2Fsecret_key.js"])
def test_no_other_version_and_no_other_file(client: FlaskClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_the_policy_gains_one_empty_style_and_own_pictures() -> None:
    """The hash is that of nothing, by the rule of Content Security Policy 3: base64 of the SHA-256."""
    empty = base64.b64encode(hashlib.sha256(b"").digest()).decode()
    assert f"'sha256-{empty}'" == chart_script.EMPTY_STYLE
    gained = set(chart_script.allow_charts(CONTENT_POLICY).replace(";", "").split())
    assert gained - set(CONTENT_POLICY.replace(";", "").split()) == {chart_script.EMPTY_STYLE, "blob:"}


def test_the_script_still_asks_for_what_the_pages_hold_ready() -> None:
    found = chart_script.placeholders()
    assert found
    assert all(len(id) == 64 for id in found)


def test_the_package_is_not_imported_by_the_program() -> None:
    code = "import sys, shoptrack.web; from shoptrack.web import chart_script; chart_script.placeholders(); "
    done = subprocess.run(
        [sys.executable, "-c", code + "print('plotly' in sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "False"
