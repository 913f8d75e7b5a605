"""Least clutch: finds the least clutch a car needs, what goes in with it, and why."""

__version__ = "0.1.0"
