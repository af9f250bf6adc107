"""The Times: what stages really take; one blueprint, whose pages are there once imported."""

from shoptrack.web.times import dates, kind, overview, reports
from shoptrack.web.times.door import bp

__all__ = ["bp", "dates", "kind", "overview", "reports"]
