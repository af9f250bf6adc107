"""Files of a whole shop that are damaged, of another version or not ours: each leaves the database empty."""

import io
import json
import zipfile
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_everything import NOT_OURS, NOT_WHOLE, bring_shop
from shoptrack.store import everything
from shoptrack.store.db import Store, head
from tests.flows.test_bring_in_everything import document, empty, furnish
from tests.joinery import kept

__all__ = ["empty"]  # a fixture


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The document of the busy day, taken out once."""
    store = furnish(kept("busy").put(tmp_path_factory.mktemp("whole")))
    data = document(store)
    store.close()
    return data


def edited(change: Callable[[dict[str, Any]], object]) -> Callable[[bytes], bytes]:
    """The document with something changed in it, written again a row a line as it was."""

    def made(data: bytes) -> bytes:
        said = json.loads(data)
        change(said)
        head = json.dumps({k: v for k, v in said.items() if k != "tables"})[:-1]
        lines = ",\n".join(
            f'{json.dumps(name)}: {{"columns": {json.dumps(table["columns"])}, "rows": [\n'
            + ",\n".join(map(json.dumps, table["rows"]))
            + "\n]}"
            for name, table in said["tables"].items()
        )
        return f'{head}, "tables": {{\n{lines}\n}}}}\n'.encode()

    return made


def in_zip(data: bytes, name: str = "shop.json") -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr(name, data)
    return out.getvalue()


def damaged(data: bytes) -> bytes:
    zipped_ = bytearray(in_zip(data))
    zipped_[len(zipped_) // 2] ^= 0xFF
    return bytes(zipped_)


def table(said: dict[str, Any], name: str) -> list[list[Any]]:
    found: list[list[Any]] = said["tables"][name]["rows"]
    return found


BROKEN: list[tuple[str, Callable[[bytes], bytes], str]] = [
    ("nothing", lambda data: b"", NOT_OURS),
    ("noise", lambda data: b"\x00\xff\x1f" * 99, NOT_WHOLE),
    ("words", lambda data: b"hello", NOT_OURS),
    ("a list", lambda data: b"[1, 2]\n", NOT_OURS),
    ("a table", lambda data: b"name,phone\nOdile,1\n", NOT_OURS),
    ("half", lambda data: data[: len(data) // 2], NOT_WHOLE),
    ("the last line gone", lambda data: data.rstrip().removesuffix(b"}}"), NOT_WHOLE),
    ("the first line gone", lambda data: data.partition(b"\n")[2], NOT_OURS),
    ("more behind it", lambda data: data + b"{}\n", NOT_WHOLE),
    ("a row gone bad", lambda data: data.replace(b'"Una"', b'"Una', 1), NOT_WHOLE),
    ("not a number", lambda data: data.replace(b"1200.0", b"NaN", 1).replace(b"12.0", b"NaN", 1), NOT_WHOLE),
    ("letters of another kind", lambda data: data.decode().encode("utf-16"), NOT_WHOLE),
    ("half a zip", lambda data: in_zip(data)[: len(in_zip(data)) // 2], NOT_WHOLE),
    ("a damaged zip", damaged, NOT_WHOLE),
    ("another zip", lambda data: in_zip(data, "letter.txt"), NOT_OURS),
    ("a zip of half", lambda data: in_zip(data[: len(data) // 2]), NOT_WHOLE),
    ("another program's", edited(lambda said: said.pop("shoptrack")), NOT_OURS),
    ("another form", edited(lambda said: said.update(shoptrack=2)), NOT_OURS),
    (
        "another version",
        edited(lambda said: said.update(tables_at="0003")),
        "of another version (0003, ours is",
    ),
    ("no version", edited(lambda said: said.pop("tables_at")), "of another version (None"),
    ("a table gone", edited(lambda said: said["tables"].pop("people")), NOT_WHOLE),
    ("a table more", edited(lambda said: said["tables"].update(pins={"columns": [], "rows": []})), NOT_OURS),
    (
        "a column renamed",
        edited(lambda said: said["tables"]["people"]["columns"].__setitem__(1, "x")),
        NOT_OURS,
    ),
    ("a column gone", edited(lambda said: said["tables"]["people"]["columns"].pop()), NOT_OURS),
    ("a value gone", edited(lambda said: table(said, "people")[0].pop()), "A row of people"),
    (
        "a name that is a number",
        edited(lambda said: table(said, "people")[0].__setitem__(1, 7)),
        "has a name that",
    ),
    (
        "an id that is a word",
        edited(lambda said: table(said, "people")[0].__setitem__(0, "x")),
        "has a id that",
    ),
    ("an id too large", edited(lambda said: table(said, "people")[0].__setitem__(0, 2**70)), "has a id that"),
    ("no name", edited(lambda said: table(said, "people")[0].__setitem__(1, None)), "has a name that"),
    (
        "half a letter",
        edited(lambda said: table(said, "people")[0].__setitem__(1, "\ud800")),
        "has a name that",
    ),
    (
        "the same id twice",
        edited(lambda said: table(said, "people").append(table(said, "people")[0])),
        "breaks a rule",
    ),
    ("a broken rule", edited(lambda said: table(said, "shop")[0].__setitem__(3, "yard")), "breaks a rule"),
    (
        "no instant",
        edited(lambda said: table(said, "photos")[0].__setitem__(8, "2026-01-01")),
        "can’t be read",
    ),
    (
        "people gone",
        edited(lambda said: table(said, "people").clear()),
        "points at something that is not in it",
    ),
    ("a photo's print changed", lambda data: zipped_with_other_photo(data), NOT_WHOLE),
    ("a photo too large", lambda data: zipped_with_other_photo(data, 10**6), NOT_WHOLE),
]


def zipped_with_other_photo(data: bytes, size: int = 9) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr("shop.json", data)
        bundle.writestr("photos/1.jpg", b"B" * size)
    return out.getvalue()


@pytest.mark.parametrize(("change", "said"), [each[1:] for each in BROKEN], ids=[each[0] for each in BROKEN])
def test_a_file_that_is_broken_or_not_ours_leaves_the_empty_database_empty(
    whole: bytes, empty: Store, change: Callable[[bytes], bytes], said: str
) -> None:
    data = change(whole)
    assert data != whole
    with empty.reading() as session:
        before = head(session)
    with pytest.raises(BadInput) as wrong:
        bring_shop(empty, io.BytesIO(data))
    assert said in str(wrong.value)
    assert "\n" not in str(wrong.value)
    with empty.reading() as session:
        assert everything.is_empty(session)
        assert head(session) == before
    assert not list((empty.instance / "photos").glob("**/*.jpg"))


@pytest.mark.parametrize("name", ["half", "the same id twice", "people gone", "a zip of half"])
def test_after_a_broken_file_the_right_one_comes_in(whole: bytes, empty: Store, name: str) -> None:
    """What broke off half-way, or at its end, leaves no transaction open and nothing locked."""
    (change,) = (each[1] for each in BROKEN if each[0] == name)
    with pytest.raises(BadInput):
        bring_shop(empty, io.BytesIO(change(whole)))
    assert bring_shop(empty, io.BytesIO(whole)).rows > 50


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200), st.integers(0, 3000))
def test_any_bytes_anywhere_are_refused_in_one_sentence(
    whole: bytes, empty: Store, noise: bytes, at: int
) -> None:
    broken = noise if at > 2500 else whole[:at] + noise + b"\xff" + whole[at + 5 :]
    with pytest.raises(BadInput) as wrong:
        bring_shop(empty, io.BytesIO(broken))
    assert str(wrong.value).count(". ") == 0
    with empty.reading() as session:
        assert everything.is_empty(session)
