"""The zone database and this machine's settings → the zones to choose from, and the one kept here."""

import os
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from importlib.resources import files
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

_AREAS = ("Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")


def machine_zone(localtime: Path = Path("/etc/localtime")) -> str:
    """The zone this machine keeps: TZ, else where /etc/localtime points, else UTC."""
    linked = str(localtime.resolve()) if localtime.is_symlink() else ""
    for name in (os.environ.get("TZ", "").lstrip(":"), linked.partition("zoneinfo/")[2]):
        with suppress(KeyError, ValueError, OSError):
            return ZoneInfo(name).key
    return "UTC"


@cache
def all_zones() -> frozenset[str]:
    """Every name that is a zone."""
    return frozenset(available_timezones())


def zones_by_area(also: str = "UTC") -> Mapping[str, tuple[str, ...]]:
    """The zones that are named after a place, by the part of the world they lie in, and UTC.

    Takes a zone that must be among them whatever its name: the one that is kept now.
    """
    found: dict[str, list[str]] = {area: [] for area in _AREAS}
    for zone in sorted(all_zones()):
        area = zone.partition("/")[0]
        if area in found:
            found[area].append(zone)
    listed = {zone for zones in found.values() for zone in zones}
    found["other"] = sorted({"UTC", also} - listed)
    return {area: tuple(zones) for area, zones in found.items()}


@cache
def countries_of_zones() -> Mapping[str, str]:
    """The country (its two letters) that each zone lies in, from the zone database's own table."""
    table = (files("tzdata") / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in table.splitlines() if line and not line.startswith("#")]
    return {row[2]: row[0] for row in rows}
