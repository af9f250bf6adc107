"""Trips through the shop's data: gather, decide, apply; one module each."""
