"""Glues and finishes of the invented shop with their marks, by generic names."""

from collections.abc import Mapping
from datetime import datetime
from typing import Literal

from sqlalchemy.orm import Session

from shoptrack.engine.shapes import Joint, Mark, Role
from shoptrack.store.recipes import MarkSpec, RecipeSpec, make_recipe

H, DAY = 60.0, 24 * 60.0

SHEET = "The maker's own data sheet always wins over these values."
EPOXY = "Epoxy in bulk gets hot enough to burn: mix small lots, pour thin. Gloves on. " + SHEET
RAGS = "Oily rags heat themselves and can burn the same day: spread them out outside or drown them. " + SHEET
SPRAY = (
    "Flammable: spray only in the booth, fan on, no flame or spark, mask with cartridges. "
    "Data sheet, local codes and licensed practice decide."
)


def _mark(
    role: Role,
    name: str,
    from_min: float | None = None,
    until_min: float | None = None,
    *,
    joint: Joint | None = None,
    gates: bool = False,
    needs_hands: bool = False,
    caution: str = "",
) -> MarkSpec:
    mark = Mark(role, name, from_min, until_min, needs_hands=needs_hands, gates=gates, caution=caution)
    return MarkSpec(mark, joint)


def _pva() -> dict[str, RecipeSpec]:
    # Yellow PVA at 70 °F: an hour in clamps, a day to full strength, both doubling per 15 °F colder
    # (Q10 2.30): Wood magazine, "Give the glue time". The other glue times: common practice, no source.
    yellow = RecipeSpec(
        marks=(
            _mark("scrape", "scrape squeeze-out", 25, 50, needs_hands=True),
            _mark("clamps off", "clamps off", H),
            _mark("clamps off", "clamps off", 2 * H, joint="wide face"),
            _mark("clamps off", "clamps off", 12 * H, joint="bent or sprung"),
            _mark("work", "can be worked", 12 * H, gates=True),
            _mark("full strength", "full strength", DAY),
        ),
        reference_c=21.1,
        q10=2.3,
        lowest_c=10,
        open_min=10,
        caution=SHEET,
        source="clamps and full strength: Wood magazine; lower limit 40–55 °F by glue: trade sources",
    )
    white = RecipeSpec(
        marks=(
            _mark("scrape", "scrape squeeze-out", 25, 60, needs_hands=True),
            _mark("clamps off", "clamps off", 75),
            _mark("work", "can be worked", 8 * H, gates=True),
            _mark("full strength", "full strength", DAY),
        ),
        q10=2.3,
        lowest_c=7,
        open_min=14,
        caution=SHEET,
        source="common practice; lower limit 40–55 °F by glue: trade sources",
    )
    return {"yellow PVA": yellow, "white PVA": white}


def _slow_glues() -> dict[str, RecipeSpec]:
    # below some 15 °C slow epoxy stays soft, hide glue gels at once: common practice, no source
    epoxy = RecipeSpec(
        marks=(
            _mark("clamps off", "clamps off", 12 * H),
            _mark("work", "can be worked", 30 * H, gates=True),
            _mark("full strength", "full strength", 7 * DAY),
        ),
        lowest_c=15,
        below="spoils",
        open_min=45,
        caution=EPOXY,
        source="common practice",
    )
    hide = RecipeSpec(
        marks=(
            _mark("clamps off", "clamps off", 12 * H),
            _mark("work", "can be worked", 18 * H, gates=True),
        ),
        lowest_c=13,
        open_min=5,
        caution=SHEET,
        source="common practice",
    )
    return {"slow epoxy": epoxy, "hide glue": hide}


def _brushed() -> dict[str, RecipeSpec]:
    oil = RecipeSpec(
        marks=(
            _mark("wipe", "wipe off", None, 20, needs_hands=True, caution="Left on it turns to gum."),
            _mark("recoat", "recoat", 12 * H, gates=True),
            _mark("handle", "can be handled", DAY),
            _mark("food contact", "food contact", 21 * DAY),
        ),
        caution=RAGS,
        source="common practice",
    )
    # 24 h between coats of oil varnish, longer in the cold: Fine Woodworking, June 2021, p. 50
    varnish = RecipeSpec(
        marks=(
            _mark("dust free", "dust-free", 4 * H),
            _mark("recoat", "recoat", DAY, gates=True),
            _mark("full strength", "rub out", 14 * DAY),
        ),
        caution=RAGS,
        source="between coats and rubbing out: Fine Woodworking, June 2021",
    )
    # not before 6 h, not after 20 h, else scuff-sand: a finisher's notes, taken as common practice
    quick = RecipeSpec(
        marks=(
            _mark("dust free", "dust-free", 2 * H),
            _mark("recoat", "recoat", 6 * H, 20 * H, gates=True, caution="Past it: scuff-sand first."),
            _mark("handle", "can be handled", DAY),
        ),
        caution=RAGS,
        source="recoat window: common practice",
    )
    return {"wiping oil": oil, "oil varnish": varnish, "quick varnish": quick}


def _sprayed_and_poured() -> dict[str, RecipeSpec]:
    # sprayed lacquer, coats 0.5–2 h apart: common practice; 1–2 weeks before rubbing out: Popular Woodworking
    lacquer = RecipeSpec(
        marks=(
            _mark("dust free", "dust-free", 15),
            _mark("recoat", "recoat", H, DAY, gates=True, caution="Past it: scuff-sand first."),
            _mark("handle", "can be handled", 6 * H),
            _mark("full strength", "rub out", 10 * DAY),
        ),
        caution=SPRAY,
        source="recoat window: common practice; rubbing out: Popular Woodworking",
    )
    # recoat from 8 h, within three days without sanding: common practice, from memory
    seal = RecipeSpec(
        marks=(_mark("recoat", "recoat", 8 * H, 72 * H, gates=True, caution="Past it: scuff-sand first."),),
        lowest_c=10,
        caution=EPOXY,
        source="common practice",
    )
    return {"sprayed lacquer": lacquer, "epoxy seal coat": seal}


def write_recipes(session: Session, opened_at: datetime) -> Mapping[str, int]:
    """All glues and finishes; their ids by name."""
    kinds: tuple[tuple[Literal["glue", "finish"], dict[str, RecipeSpec]], ...] = (
        ("glue", _pva() | _slow_glues()),
        ("finish", _brushed() | _sprayed_and_poured()),
    )
    return {
        name: make_recipe(session, name, kind=kind, from_at=opened_at, spec=spec).id
        for kind, specs in kinds
        for name, spec in specs.items()
    }
