"""Saved cases, in a file or on a server: exact replay from the knowledge of the day, and what other rules would do."""
