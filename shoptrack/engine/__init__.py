"""Arithmetic on frozen data: no clock, no file, no page."""
