"""How a stage of the invented shop is written down by names, with short ways for the usual ones."""

from collections.abc import Sequence
from dataclasses import dataclass

from shoptrack.engine.shapes import Joint

BAR12, BAR24, PIPE36, PIPE50 = "12s", "24s", "36s", "50s"


@dataclass(frozen=True)
class Step:
    """A stage by names; ``after`` names earlier ones, with a star where ready rounds are enough.

    ``each``: the clamps are counted for each piece of a round.
    """

    kind: str
    name: str
    per_piece: float = 0.0
    fixed: float = 0.0
    after: Sequence[str] = ()
    station: str = ""
    room: str = ""
    recipe: str = ""
    joint: Joint | None = None
    wood: str = ""
    clamps: Sequence[tuple[str, int]] = ()
    each: bool = False
    tools: Sequence[tuple[str, float]] = ()
    rounds: bool = False
    hands_at: Sequence[float] = ()
    settings: str = ""
    caution: str = ""


def glue(
    name: str, after: str, clamps: tuple[str, int], settings: str, joints: float, **more: object
) -> Step:
    given: dict[str, object] = {"recipe": "yellow PVA", "joint": "plain edge", "room": "bench"}
    given |= {"station": "long bench", "per_piece": joints, **more}
    return Step("glue-up", name, after=after.split(" + "), clamps=(clamps,), settings=settings, **given)  # type: ignore[arg-type] # the names are those of Step


def mill(name: str, after: Sequence[str], square_feet: float, wood: str, settings: str) -> Step:
    tools = (("jointer knives", 0.3), ("planer knives", 0.4))
    return Step(
        "milling", name, square_feet, after=after, station="planer", wood=wood, tools=tools, settings=settings
    )


def rough(name: str, board_feet: float, wood: str, after: Sequence[str] = ()) -> Step:
    settings = "over length by 1 in, over width by 1/4; mark the tag on every end"
    tools = (("40-tooth saw blade", 0.4),)
    return Step(
        "rough milling",
        name,
        board_feet,
        after=after,
        station="table saw",
        wood=wood,
        tools=tools,
        settings=settings,
    )


def coats(name: str, after: str, recipe: str, coats: int, settings: str) -> Step:
    station = "spray booth" if recipe == "sprayed lacquer" else ""
    caution = "Spray only in the booth with the fan on, mask on, nothing that sparks." if station else ""
    return Step(
        "finishing",
        name,
        fixed=coats,
        after=(after,),
        station=station,
        room="finish",
        recipe=recipe,
        rounds=True,
        settings=settings,
        caution=caution,
    )
