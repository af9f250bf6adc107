"""Files that wait between the look at them and the bringing in."""

from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows import bring_in_kept as kept
from tests.joinery import NOW


def names(instance: Path) -> set[str]:
    return {file.name for file in (instance / kept.FOLDER).iterdir()}


def test_a_file_is_kept_under_its_fingerprint_and_dropped(tmp_path: Path) -> None:
    sign = kept.keep(tmp_path, b"kind\n", NOW)
    assert sign == sha256(b"kind\n").hexdigest()
    assert kept.keep(tmp_path, b"kind\n", NOW) == sign
    assert names(tmp_path) == {f"{sign}.csv"}
    assert kept.read(tmp_path, sign) == b"kind\n"
    kept.drop(tmp_path, sign)
    kept.drop(tmp_path, sign)
    assert names(tmp_path) == set()


@pytest.mark.parametrize("sign", ["0" * 64, "", "..", "../shop.db", "x" * 64, "A" * 64, "0" * 63])
def test_what_is_not_kept_is_not_found(tmp_path: Path, sign: str) -> None:
    with pytest.raises(NotFound, match="not here any more"):
        kept.read(tmp_path, sign)
    kept.drop(tmp_path, sign)


def test_old_files_are_swept_by_the_next_one(tmp_path: Path) -> None:
    old = kept.keep(tmp_path, b"old", NOW - timedelta(hours=25))
    young = kept.keep(tmp_path, b"young", NOW - timedelta(hours=23))
    new = kept.keep(tmp_path, b"new", NOW)
    assert names(tmp_path) == {f"{young}.csv", f"{new}.csv"}
    assert old not in str(names(tmp_path))


def test_no_more_than_twenty_are_kept(tmp_path: Path) -> None:
    signs = [kept.keep(tmp_path, bytes([n]), NOW + timedelta(seconds=n)) for n in range(25)]
    assert names(tmp_path) == {f"{sign}.csv" for sign in signs[5:]}
