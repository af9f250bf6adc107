"""One entry of the log of work."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class Entry:
    """One tap, as stored; ``at`` is when it was meant to count (see docs/data.md for each kind's fields).

    ``tapped_at`` is the corrected instant of the tap itself, equal to ``at`` unless the person said it
    was earlier. ``limit_min`` was written by the server when a start was accepted, ``held`` when a recount
    was: the clamps of the pool that each open job had then.
    """

    id: str
    device: str
    seq: int
    at: datetime
    kind: str
    person: int | None = None
    stages: tuple[int, ...] = ()
    job: int | None = None
    of: str | None = None
    asks: str = ""
    choice: str = ""
    to_at: datetime | None = None
    count: float | None = None
    out_of: float | None = None
    minutes: float | None = None
    cents: int | None = None
    helper: int | None = None
    way_back: int | None = None
    cause: str = ""
    reason: str = ""
    look_again_on: date | None = None
    room: int | None = None
    pool: int | None = None
    tool: int | None = None
    edge: int | None = None
    value_c: float | None = None
    text: str = ""
    told: str = ""
    insisted: bool = False
    goes_on: bool = False
    limit_min: float | None = None
    held: tuple[tuple[int, int], ...] | None = None
    tapped_at: datetime | None = None

    @property
    def order(self) -> tuple[datetime, str, int]:
        """The place of this entry in the log: by instant, then device, then the device's own count."""
        return (self.at, self.device, self.seq)
