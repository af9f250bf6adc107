"""The real server with the bare page beside it, but without the planner: every page reckons by itself."""

from shoptrack.flows.planning.planner import Planner
from tests.bench import served

if __name__ == "__main__":
    Planner.start = lambda self: None  # type: ignore[method-assign]
    served.main()
