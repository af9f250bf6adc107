"""The zones to choose from, the machine's own, and the country that each lies in."""

from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

import pytest

from shoptrack.store.zones import all_zones, countries_of_zones, machine_zone, zones_by_area


def test_the_zone_of_this_machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    link = tmp_path / "localtime"
    zone = tmp_path / "zoneinfo" / "Europe" / "Vienna"
    zone.parent.mkdir(parents=True)
    zone.touch()
    link.symlink_to(zone)
    monkeypatch.setenv("TZ", ":Asia/Tokyo")
    assert machine_zone(link) == "Asia/Tokyo"
    monkeypatch.setenv("TZ", "Nowhere/Land")
    assert machine_zone(link) == "Europe/Vienna"
    monkeypatch.delenv("TZ")
    assert machine_zone(link) == "Europe/Vienna"
    assert machine_zone(tmp_path / "none") == "UTC"


def test_every_zone_that_can_be_chosen_is_one() -> None:
    """Held against the zone database itself: each of them opens, and each place of its table is there."""
    listed = {zone for zones in zones_by_area().values() for zone in zones}
    assert listed <= available_timezones() == all_zones()
    assert all(ZoneInfo(zone).key == zone for zone in listed)
    named = {z for z in countries_of_zones() if z.partition("/")[0] != "Arctic"}
    assert named <= listed
    assert "UTC" in listed


def test_the_zone_that_is_kept_is_among_them() -> None:
    """A machine that keeps a zone of another name finds it in the list."""
    assert "Etc/GMT-3" not in zones_by_area()["other"]
    assert zones_by_area("Etc/GMT-3")["other"] == ("Etc/GMT-3", "UTC")
    assert zones_by_area("Europe/Vienna")["other"] == ("UTC",)


def test_a_zone_lies_in_a_country() -> None:
    found = countries_of_zones()
    assert (found["America/New_York"], found["Europe/Vienna"], found["Asia/Tokyo"]) == ("US", "AT", "JP")
