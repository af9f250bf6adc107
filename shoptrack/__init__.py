"""The version of the program, and nothing else."""

__version__ = "0.5.0"
