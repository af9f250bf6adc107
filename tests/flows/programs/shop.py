"""A tray's carving on the router of the small shop, two bits for it, and programs reckoned by hand."""

from dataclasses import dataclass
from io import BytesIO
from tempfile import TemporaryFile
from typing import IO, cast

from shoptrack.engine.shapes import Rule
from shoptrack.flows import job_stages as stages
from shoptrack.flows.programs.attach import Sent, attach
from shoptrack.flows.stages_view import stages_view
from shoptrack.store import shop, tools
from shoptrack.store.db import Store
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.tables import StageRow, StationRow, ToolRow
from tests.joinery import LONG_AGO, NOW, UNA, Joinery

# T1: 600 mm at 600 is 1 min; T2: 1200 mm at 400 is 3 min; rapids 500 mm; one dwell of 30 s; two changes
TWO_BITS = b"""%
G21 G90 G94 G17
T1 M6 (quarter upcut)
S18000 M3
G1 X0 Y0 Z-4 F600
X300
X0
G0 Y500
T2 M6 (V-bit)
M3
G4 P30
G1 X1200 F400
M30
%
"""
ONE_BIT = TWO_BITS.replace(b"T2 M6 (V-bit)\n", b"").replace(b"quarter", b"Quarter")
BAD = b"G21 G90\nT1 M6\nG1 X10 F100\nG1 X20 Q\n"


@dataclass(frozen=True)
class Router:
    """A tray in the small shop, and what its carving is done with."""

    joinery: Joinery
    job: int
    carving: int
    routing: int
    station: int
    upcut: int
    vee: int

    @property
    def store(self) -> Store:
        return self.joinery.store

    def row(self, stage: int) -> StageRow:
        with self.store.reading() as session:
            row = session.get_one(StageRow, stage)
            assert row.tools is not None
            return row

    def tools(self, stage: int) -> dict[int, float]:
        with self.store.reading() as session:
            return {tool.tool_id: tool.share for tool in session.get_one(StageRow, stage).tools}

    def attach(self, stage: int, data: bytes = TWO_BITS, times: int = 1, name: str = "tray.nc") -> int:
        """Attach a program to the end."""
        return to_the_end(self, stage, Sent(on_disk(data), name, times))


def to_the_end(router: Router, stage: int, sent: Sent) -> int:
    work = attach(router.store, router.job, stage, sent, UNA, NOW)
    while True:
        try:
            next(work)
        except StopIteration as end:
            return cast("int", end.value)


def on_disk(data: bytes) -> IO[bytes]:
    file = TemporaryFile()  # noqa: SIM115 # whoever reads it lets go of it
    file.write(data)
    file.seek(0)
    return cast("IO[bytes]", file)


def in_memory(data: bytes) -> IO[bytes]:
    return BytesIO(data)


def make_router(joinery: Joinery) -> Router:
    """The tray, with a stage besides that is measured in minutes that the router cuts."""
    tray = joinery.add("tray", "letter tray", None)
    with joinery.store.writing() as session:
        station = next(row.id for row in session.query(StationRow) if row.name == "router")
        session.get_one(StationRow, station).bed_length_mm = 1000.0
        session.get_one(StationRow, station).bed_width_mm = 800.0
        upcut = tools.make_tool(session, "quarter upcut", kind="bit", station=station).id
        vee = tools.make_tool(session, "V-bit", kind="bit", station=station).id
        session.get_one(ToolRow, upcut).flute_mm = 3.0
        kind = shop.make_kind(
            session, "routing", unit="cutting minutes", rule=Rule(15, 1), from_at=LONG_AGO,
            attendance="within earshot",
        ).id  # fmt: skip
    newest = stages_view(joinery.store, tray["job"], NOW).newest
    said = StageSaid(kind, "route the well", 20.0, station_id=station, tools=((vee, 0.5),))
    routing = stages.add(joinery.store, tray["job"], said, newest, False, UNA, NOW)
    return Router(joinery, tray["job"], tray["carving the well"], routing, station, upcut, vee)
