"""What the form of a stage shows, read back as it was shown."""

from dataclasses import replace

import pytest

from shoptrack.engine.shapes import Need
from shoptrack.errors import BadInput
from shoptrack.flows.stages_view import one_stage
from shoptrack.web.render import Wall
from shoptrack.web.stage_fields import read_stage, typed_of
from tests.joinery import NOW, Joinery


def test_what_is_shown_reads_back_the_same_waits_and_decimals_kept(joinery: Joinery) -> None:
    """A measure of 7.199999 shows as 7.2; a wait of two hours after a stage has no field, and stays."""
    tray = joinery.add("tray", "tray", None)
    for name in ("milling", "glue-up", "carving the well", "inlay", "oiling"):
        one = one_stage(joinery.store, tray["job"], tray[name], NOW)
        assert one.said is not None
        needs = tuple(replace(n, least_wait_min=120) for n in one.said.needs)
        one = replace(one, said=replace(one.said, quantity=7.199999, needs=needs))
        assert read_stage(typed_of(one, Wall()), one, Wall()) == one.said


def test_a_new_stage_waits_for_the_last(joinery: Joinery) -> None:
    tray = joinery.add("tray", "tray", None)
    one = one_stage(joinery.store, tray["job"], None, NOW)
    said = read_stage({**typed_of(one, Wall()), "kind": "4", "quantity": "3"}, one, Wall())
    assert (said.name, said.needs, said.people) == ("inlay", (Need(tray["oiling"]),), 1)
    with pytest.raises(BadInput) as wrong:
        read_stage(typed_of(one, Wall()), one, Wall())
    assert wrong.value.field == "kind"
