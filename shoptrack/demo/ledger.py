"""What the office of the invented shop knows: rates, wood prices, customers, what jobs cost, what is owed."""

import random
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session, selectinload

from shoptrack.demo.things import Things
from shoptrack.store.tables import (
    CostRow,
    CustomerRow,
    ExtraRow,
    JobRow,
    MaterialPriceRow,
    MaterialRow,
    PatternRevisionRow,
    PatternRow,
    RateRow,
    StageRow,
)

HANDS_CENTS_PER_H = 4800
LATER_HANDS_CENTS_PER_H = 5200
MACHINES_CENTS_PER_H = {"router table": 1800, "planer": 900, "drum sander": 700}
WOODS = {"cherry": 1150, "ash": 720, "elm": 860, "sycamore": 790, "bog oak": 2900}
"""Cents a board foot, invented."""
PIECE_CENTS = {
    "dining table": 420_000,
    "serving tray": 14_500,
    "inlaid box": 38_000,
    "game board": 26_000,
    "inlaid door": 92_000,
    "bentwood stool": 41_000,
}
WOOD_FEET = {
    "dining table": 96.0,
    "serving tray": 3.5,
    "inlaid box": 2.5,
    "game board": 4.0,
    "inlaid door": 18.0,
    "bentwood stool": 5.0,
}
DEPOSIT_SHARE = 0.3
REACHED = {
    "Tamsin Orrel": ("Tamsin", "tamsin@orrel.example", "555 0142", "the mill house, by the weir"),
    "the Fernside inn": (
        "ask for the landlord",
        "inn@fernside.example",
        "555 0117",
        "the yard behind the inn",
    ),
    "Juno Halder": ("Juno", "juno@halder.example", "555 0163", ""),
    "Mott & Daughter": ("the daughter", "", "555 0188", "the tea shop on the square"),
}
"""Whom to ask for, and how; addresses under .example (RFC 2606) reach nobody."""


def write_rates(session: Session, things: Things, opened_on: date) -> None:
    """What an hour of hands and of the machines costs, and the woods by the board foot."""
    session.add(RateRow(what="hands", from_on=opened_on, cents_per_h=HANDS_CENTS_PER_H))
    later_on = opened_on + timedelta(days=300)
    session.add(RateRow(what="hands", from_on=later_on, cents_per_h=LATER_HANDS_CENTS_PER_H))
    for station, cents in MACHINES_CENTS_PER_H.items():
        station_id = things.stations[station]
        session.add(RateRow(what="machine", station_id=station_id, from_on=opened_on, cents_per_h=cents))
    for wood, cents in WOODS.items():
        session.get_one(MaterialRow, things.woods[wood]).unit = "board feet"
        session.add(MaterialPriceRow(material_id=things.woods[wood], from_on=opened_on, cents=cents))


def write_ledger(session: Session, things: Things, now: datetime, rng: random.Random) -> None:
    """Put prices, deposits, deliveries, extras and costs on the jobs there are, and reach the customers."""
    feet = {wood: things.woods[wood] for wood in WOODS}
    chosen = select(JobRow).order_by(JobRow.id).options(selectinload(JobRow.stages))
    jobs = list(session.scalars(chosen))
    patterns = _patterns(session)
    for job in jobs:
        pattern = patterns[job.pattern_revision_id]
        price = PIECE_CENTS[pattern] * job.pieces
        job.price_cents = round(price * rng.uniform(0.92, 1.1) / 500) * 500
        job.deposit_cents = round(job.price_cents * DEPOSIT_SHARE / 1000) * 1000
        job.deposit_on = job.added_at.date() + timedelta(days=rng.randrange(0, 4))
        if job.closed_at is not None:
            job.delivered_on = job.closed_at.date()
        session.add(_wood(job, pattern, feet, rng))
    for job in jobs[-3:-1]:
        session.add_all(_extras(job))
    for row in session.scalars(select(CustomerRow)):
        row.contact, row.email, row.phone, row.address = REACHED.get(row.name, ("", "", "", ""))


def _patterns(session: Session) -> dict[int | None, str]:
    chosen = select(PatternRevisionRow.id, PatternRow.name).join(
        PatternRow, PatternRow.id == PatternRevisionRow.pattern_id
    )
    return {row.id: row.name for row in session.execute(chosen)}


def _wood(job: JobRow, pattern: str, feet: dict[str, int], rng: random.Random) -> CostRow:
    wood = _main_wood(job.stages, feet)
    quantity = round(WOOD_FEET[pattern] * job.pieces * rng.uniform(1.15, 1.4), 1)
    return CostRow(
        job_id=job.id,
        spent_on=job.added_at.date() + timedelta(days=1),
        kind="material",
        words=f"{wood}, rough",
        material_id=feet[wood],
        quantity=quantity,
        cents=round(quantity * WOODS[wood]),
        added_at=job.added_at + timedelta(days=1),
    )


def _main_wood(stages: list[StageRow], feet: dict[str, int]) -> str:
    names = {id: wood for wood, id in feet.items()}
    used = [names[s.material_id] for s in stages if s.material_id in names]
    return max(used, key=used.count, default="ash")


def _extras(job: JobRow) -> list[ExtraRow]:
    asked_on = job.added_at.date() + timedelta(days=2)
    return [
        ExtraRow(
            job_id=job.id,
            number=1,
            words="initials cut under the rim",
            cents=6500,
            asked_on=asked_on,
            approved_on=asked_on,
            approved_how="on the phone",
        ),
        ExtraRow(job_id=job.id, number=2, words="a second coat of wax", cents=2000, asked_on=asked_on),
    ]
