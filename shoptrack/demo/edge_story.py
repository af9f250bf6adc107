"""What becomes of edges before and in the story: gone through in quiet days, then dull, away, nearly due."""

from datetime import date, datetime, timedelta

from shoptrack.demo.wear import SOON, Mounted, Wear

QUIET_DAYS_AGO = 21
"""Open days before today on which nothing is made and edges are gone through."""
WORN_SHARE = 0.15
NEARLY_DUE = "planer knives"
AWAY, ONLY_ONE_AWAY, DULL = "40-tooth saw blade", "3/4 band saw blade", "surfacing inserts"


def while_quiet(wear: Wear, on: date) -> None:
    """Go through all edges: what is worn goes out early, a set that is ground too far is retired.

    From then on no edge goes dull but as the story says.
    """
    wear.morning(on)
    at, person = wear.scene.day(None, on)[0][0] + timedelta(minutes=30), wear.scene.people.idris
    for mounted in wear.tools.values():
        nearly_due = mounted.tool.name == NEARLY_DUE
        if nearly_due:
            _retire_all_but_one(wear, mounted, person, at)
        if mounted.on is not None and (nearly_due or _worn(mounted)):
            wear.renew(mounted, person, at + SOON)
    for days in range(1, 7):
        wear.morning(wear.scene.work_day(on, days))
    wear.nothing_runs_out()


def _worn(mounted: Mounted) -> bool:
    return mounted.on is not None and mounted.on.age_h > WORN_SHARE * mounted.kind.usual_life_h


def _retire_all_but_one(wear: Wear, mounted: Mounted, person: int, at: datetime) -> None:
    """A spare has been ground too far; nobody has bought another yet."""
    spares = [*mounted.spares, *(blade for _, blade in mounted.away)]
    if mounted.on is None:
        spares = spares[1:]
    for blade in spares:
        wear.tap(at, mounted, "worn out", person, edge=blade.id, text="too narrow to be ground again")
    mounted.spares = [blade for blade in mounted.spares if blade not in spares]
    mounted.away = [(on, blade) for on, blade in mounted.away if blade not in spares]


def two_days_before(wear: Wear, at: datetime) -> None:
    """The saw blade is dull: the spare goes on, the blade to the sharpener."""
    wear.find_dull(wear.named(AWAY), wear.scene.people.idris, at, text="burns and has to be pushed")


def the_day_before(wear: Wear, at: datetime) -> None:
    """The only band saw blade leaves too; the inserts are dull, and nobody has put the others on yet."""
    people = wear.scene.people
    wear.find_dull(wear.named(ONLY_ONE_AWAY), people.idris, at, text="wanders in the bend")
    wear.tap(at + 4 * SOON, wear.named(DULL), "found dull", people.maren, text="leaves a fuzz on the ash")
