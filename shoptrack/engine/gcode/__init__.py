"""Programs of the router → what each tool does, for how long, how deep, and when somebody has to come."""

from shoptrack.engine.gcode.factor import factor
from shoptrack.engine.gcode.fits import against_bed, against_flute
from shoptrack.engine.gcode.reader import read_program
from shoptrack.engine.gcode.refusal import BadProgram

__all__ = ["BadProgram", "against_bed", "against_flute", "factor", "read_program"]
