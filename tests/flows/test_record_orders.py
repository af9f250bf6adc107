"""Batches of two tablets in any order, with repeats, give one state."""

import tempfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from shoptrack.store.db import Store
from tests.flows.conftest import make_store
from tests.flows.taps import LATER, NOW, book, differences, made, send, tallied, whole_state

PEOPLE = st.sampled_from([1, 2])
STAGES = st.sampled_from([11, 12, 13, 21, 22, 23])


@st.composite
def days(draw: st.DrawFn) -> list[list[dict[str, object]]]:
    """Batches of taps of two devices; an entry may speak of its own device's earlier ones."""
    kinds = st.sampled_from(["start", "finish", "pause", "closed", "round", "help", "strike", "retime"])
    batches: list[list[dict[str, object]]] = []
    for device in ("left", "right"):
        own: list[str] = []
        at = NOW
        taps = []
        for seq in range(1, draw(st.integers(2, 8))):
            at += timedelta(minutes=draw(st.integers(0, 45)))
            kind, id = draw(kinds), f"{device}-{seq:04d}"
            said: dict[str, object] = {"stages": [draw(STAGES)], "person": draw(PEOPLE)}
            if kind in ("strike", "retime"):
                said = {"of": draw(st.sampled_from(own)) if own else "unknown-one"}
            if kind == "retime":
                said["to_at"] = (NOW + timedelta(minutes=draw(st.integers(0, 90)))).isoformat()
            if kind == "round":
                said["count"] = draw(st.integers(1, 9))
            if kind == "help":
                said |= {"helper": 3 - int(str(said["person"])), "minutes": draw(st.integers(0, 30))}
            taps.append(made(kind, seq, at, id=id, **said))
            own.append(id)
        cut = draw(st.integers(0, len(taps)))
        batches += [[{"device": device}, *taps[:cut]], [{"device": device}, *taps[cut:]]]
    return batches


def run(batches: list[list[dict[str, object]]]) -> Iterator[Store]:
    with tempfile.TemporaryDirectory() as folder:
        made_store = make_store(Path(folder) / "shop.db")
        for first, *taps in batches:
            send(made_store, *taps, now=LATER, device=str(first["device"]))
        yield made_store
        made_store.close()


@settings(
    max_examples=12,
    deadline=None,
    database=None,
    derandomize=True,
    phases=(Phase.generate,),
    suppress_health_check=[HealthCheck.too_slow],
)
@given(batches=days(), data=st.data())
def test_any_order_with_repeats_gives_the_same_state(
    batches: list[list[dict[str, object]]], data: st.DataObject
) -> None:
    """Batches of two tablets arrive in any order, some twice; ids, places and the state are the same."""
    mixed = data.draw(st.permutations(batches + data.draw(st.lists(st.sampled_from(batches), max_size=3))))
    for one in run(batches):
        for other in run(mixed):
            assert book(one).keys() == book(other).keys()
            assert whole_state(one, LATER) == whole_state(other, LATER)
            assert tallied(one) == tallied(other)
            assert differences(one) == differences(other) == []
