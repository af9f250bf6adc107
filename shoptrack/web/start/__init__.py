"""The guided first day as pages: one form a step, each of them to be done, left out or gone back to."""

from shoptrack.web.start.door import hang
from shoptrack.web.start.pages import bp

__all__ = ["bp", "hang"]
