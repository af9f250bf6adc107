"""The version of the program, and nothing else."""

__version__ = "0.2.0"
