"""Saved cases: one SQLite file, exact replay from the knowledge of the day, and what a rule change would do."""
