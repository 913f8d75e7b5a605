"""What outcomes teach of computed capacity: proposed as a table, used only where a lead signed it."""
