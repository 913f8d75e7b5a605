"""Tests of forward chaining: the engines against each other, against CLIPS, and under stress."""
