"""Complaints about a fitted clutch: signs weighed for and against causes, and the next check worth its minutes."""
