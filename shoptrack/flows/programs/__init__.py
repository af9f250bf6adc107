"""Machine programs of stages: read in a process of their own, matched with tools, laid out on the stage."""
