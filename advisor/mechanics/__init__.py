"""Mechanics of dry clutches: pure functions in SI units, checked against print."""
