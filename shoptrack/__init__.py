"""The version of the program, and nothing else."""

__version__ = "0.4.0"
