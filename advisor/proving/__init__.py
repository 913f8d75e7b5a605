"""Proofs over the whole rule base: what no caller can ever meet, and what some caller can."""
