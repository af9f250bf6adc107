"""The usual glues by their generic kinds, with the values a shop may begin with and each value's source."""

from shoptrack.flows.first_day.starting import (
    DAY,
    MEMORY,
    PRACTICE,
    H,
    StartingMark,
    StartingRecipe,
    by_hand,
    c_of,
    gate,
    opens,
)

# Yellow PVA at 70 °F: an hour in the clamps, a day to full strength, both double per 15 °F colder
# (Q10 = 2.30). Source: Wood magazine, "Give the glue time". The glue of the other PVAs is of one family:
# their times are common practice, no source, and so are those of other joints than an edge joint.
MAGAZINE = "Wood magazine, “Give the glue time”, for yellow PVA"
TRADE = "trade sources give 40–55 °F by glue; the upper end is taken"
HANDBOOK = "Wood Handbook glossary: room-temperature curing is 20–30 °C (68–86 °F)"

# Sunken joints: generally 7 days between gluing and surfacing. Source: University of Wisconsin extension.
SUNKEN = (
    "A sanded show surface that is planed too soon can sink at the joints; "
    "for water-based glue some wait 7 days."
)
EPOXY = "Epoxy in bulk gets hot enough to burn: mix small lots, pour thin. Gloves on."
FOAMS = "Foams as it cures and stays on skin: gloves on, and fresh air."
POWDER = "Gives off formaldehyde: fresh air, and a mask when the powder is mixed."
DAMP = "Gives way to damp and heat: not for boards that are washed."


def _pva(clamps_source: str, clamps_min: float = H) -> tuple[StartingMark, ...]:
    return (
        by_hand("scrape", "scrape squeeze-out", 30, 60, PRACTICE),
        opens("clamps off", "clamps off", clamps_min, clamps_source),
        opens("clamps off", "clamps off", 2 * clamps_min, PRACTICE, joint="wide face"),
        opens("clamps off", "clamps off", 12 * H, PRACTICE, joint="bent or sprung"),
        gate("work", "can be worked", 12 * H, PRACTICE, caution=SUNKEN),
        opens("full strength", "full strength", DAY, clamps_source),
    )


_PVA_SOURCES = (("factor per 10 °C", MAGAZINE), ("lowest temperature", TRADE), ("open time", PRACTICE))

GLUES: tuple[StartingRecipe, ...] = (
    StartingRecipe(
        "yellow PVA glue",
        "glue",
        marks=_pva(MAGAZINE),
        sources=_PVA_SOURCES,
        caution="",
        usual=True,
        reference_c=c_of(70),
        q10=2.3,
        lowest_c=c_of(55),
        below="spoils",
        open_min=10,
    ),
    StartingRecipe(
        "white PVA glue",
        "glue",
        marks=_pva(PRACTICE, 75),
        sources=_PVA_SOURCES,
        caution="",
        reference_c=c_of(70),
        q10=2.3,
        lowest_c=c_of(55),
        below="spoils",
        open_min=12,
    ),
    StartingRecipe(
        "water-resistant PVA glue",
        "glue",
        marks=_pva(PRACTICE),
        sources=_PVA_SOURCES,
        caution="",
        reference_c=c_of(70),
        q10=2.3,
        lowest_c=c_of(55),
        below="spoils",
        open_min=8,
    ),
    StartingRecipe(
        "liquid hide glue",
        "glue",
        marks=(
            by_hand("scrape", "scrape squeeze-out", 45, 120, PRACTICE),
            opens("clamps off", "clamps off", 12 * H, PRACTICE),
            gate("work", "can be worked", DAY, PRACTICE),
        ),
        sources=(("lowest temperature", MEMORY), ("open time", PRACTICE), ("factor per 10 °C", PRACTICE)),
        caution=DAMP,
        lowest_c=c_of(55),
        below="spoils",
        open_min=10,
    ),
    StartingRecipe(
        "slow epoxy",
        "glue",
        marks=(
            opens("clamps off", "clamps off", 12 * H, PRACTICE),
            gate("work", "can be worked", DAY, PRACTICE),
            opens("full strength", "full strength", 7 * DAY, PRACTICE),
        ),
        sources=(("lowest temperature", MEMORY), ("open time", PRACTICE), ("factor per 10 °C", PRACTICE)),
        caution=EPOXY,
        lowest_c=15,
        open_min=40,
    ),
    StartingRecipe(
        "polyurethane glue",
        "glue",
        marks=(
            opens("clamps off", "clamps off", 4 * H, PRACTICE),
            gate("work", "can be worked", 12 * H, PRACTICE),
            opens("full strength", "full strength", DAY, PRACTICE),
        ),
        sources=(("lowest temperature", MEMORY), ("open time", PRACTICE), ("factor per 10 °C", PRACTICE)),
        caution=FOAMS,
        lowest_c=10,
        open_min=20,
    ),
    StartingRecipe(
        "urea-formaldehyde glue",
        "glue",
        marks=(
            opens("clamps off", "clamps off", 14 * H, MEMORY),
            gate("work", "can be worked", DAY, MEMORY),
            opens("full strength", "full strength", 7 * DAY, MEMORY),
        ),
        sources=(("lowest temperature", HANDBOOK), ("open time", MEMORY), ("factor per 10 °C", PRACTICE)),
        caution=POWDER,
        lowest_c=20,
        below="spoils",
        open_min=20,
    ),
)
