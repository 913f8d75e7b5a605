"""Pace, side by side with what a user could pick instead; never part of the ordinary tests."""
