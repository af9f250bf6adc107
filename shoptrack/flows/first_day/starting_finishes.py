"""The usual finishes by their generic kinds, with values a shop may begin with and each value's source."""

from shoptrack.flows.first_day.starting import (
    DAY,
    MEMORY,
    PRACTICE,
    H,
    StartingMark,
    StartingRecipe,
    by_hand,
    opens,
    recoat,
)

# Oil varnish: 24 h between coats, longer in the cold, 2–3 weeks before rubbing out. Source: Fine
# Woodworking, June 2021, p. 50. Solvent lacquer: two coats a day at least, 1–2 weeks before rubbing out.
# Source: Popular Woodworking. Where a source gives a span, its longer end is taken.
VARNISH = "Fine Woodworking, June 2021, p. 50"
LACQUER = "Popular Woodworking"
NOTES = "a finisher’s notes, taken as common practice"

RAGS = "Oily rags heat themselves and can burn the same day: spread them out outside or drown them."
SPRAY = (
    "Flammable: spray only in a booth or place made for it, fan on, no flame or spark, mask with cartridges."
)
SPIRIT = "The spirit in it burns: fresh air, no flame or spark."
STEEL = "Water raises the grain, and steel wool leaves rust in it."
EPOXY = "Epoxy in bulk gets hot enough to burn: mix small lots, pour thin. Gloves on."

_WARMTH = (("factor per 10 °C", PRACTICE),)


def _oil(wipe_min: float, recoat_min: float, handle_min: float, food_min: float) -> tuple[StartingMark, ...]:
    return (
        by_hand("wipe", "wipe off", None, wipe_min, PRACTICE),
        recoat(recoat_min, PRACTICE),
        opens("handle", "can be handled", handle_min, PRACTICE),
        opens("food contact", "food contact", food_min, PRACTICE),
    )


FINISHES: tuple[StartingRecipe, ...] = (
    StartingRecipe(
        "wiping oil",
        "finish",
        marks=_oil(20, DAY, DAY, 30 * DAY),
        sources=_WARMTH,
        caution=RAGS,
        usual=True,
    ),
    StartingRecipe(
        "drying oil",
        "finish",
        marks=_oil(30, 2 * DAY, 3 * DAY, 30 * DAY),
        sources=_WARMTH,
        caution=RAGS,
    ),
    StartingRecipe(
        "hard wax oil",
        "finish",
        marks=_oil(20, DAY, DAY, 21 * DAY),
        sources=_WARMTH,
        caution=RAGS,
    ),
    StartingRecipe(
        "oil and varnish, wiped",
        "finish",
        marks=_oil(15, DAY, DAY, 30 * DAY),
        sources=_WARMTH,
        caution=RAGS,
    ),
    StartingRecipe(
        "oil varnish, brushed",
        "finish",
        marks=(
            opens("dust free", "dust-free", 6 * H, PRACTICE),
            recoat(DAY, VARNISH),
            opens("handle", "can be handled", 2 * DAY, PRACTICE),
            opens("full strength", "rub out", 21 * DAY, VARNISH),
        ),
        sources=_WARMTH,
        caution=RAGS,
    ),
    StartingRecipe(
        "quick varnish",
        "finish",
        marks=(
            opens("dust free", "dust-free", 2 * H, PRACTICE),
            recoat(6 * H, NOTES, 20 * H),
            opens("handle", "can be handled", DAY, PRACTICE),
        ),
        sources=_WARMTH,
        caution=RAGS,
    ),
    StartingRecipe(
        "shellac",
        "finish",
        marks=(
            opens("dust free", "dust-free", 15, PRACTICE),
            recoat(2 * H, PRACTICE),
            opens("handle", "can be handled", 12 * H, PRACTICE),
            opens("full strength", "rub out", 7 * DAY, PRACTICE),
        ),
        sources=_WARMTH,
        caution=SPIRIT,
    ),
    StartingRecipe(
        "lacquer, sprayed",
        "finish",
        marks=(
            opens("dust free", "dust-free", 15, PRACTICE),
            recoat(2 * H, "two coats a day at least: " + LACQUER + "; sprayed often 0.5–2 h apart: practice"),
            opens("handle", "can be handled", 12 * H, PRACTICE),
            opens("full strength", "rub out", 14 * DAY, LACQUER),
        ),
        sources=_WARMTH,
        caution=SPRAY,
    ),
    StartingRecipe(
        "waterborne finish",
        "finish",
        marks=(
            opens("dust free", "dust-free", H, PRACTICE),
            recoat(3 * H, PRACTICE),
            opens("handle", "can be handled", DAY, PRACTICE),
            opens("full strength", "rub out", 21 * DAY, MEMORY),
        ),
        sources=(*_WARMTH, ("lowest temperature", MEMORY)),
        caution=STEEL,
        lowest_c=13,
    ),
    StartingRecipe(
        "epoxy seal coat",
        "finish",
        marks=(recoat(8 * H, MEMORY, 3 * DAY), opens("handle", "can be handled", DAY, PRACTICE)),
        sources=(*_WARMTH, ("lowest temperature", MEMORY)),
        caution=EPOXY,
        lowest_c=15,
    ),
)
