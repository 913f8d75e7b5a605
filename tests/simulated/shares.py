"""The stated shares and spreads (`shares.yaml`), read once, and the few ways of drawing from them."""

import functools
import math
import pathlib

from tests.shipped import quick_yaml

FILE = pathlib.Path(__file__).with_name("shares.yaml")


@functools.cache
def table():
    """The whole table as plain dictionaries."""
    return quick_yaml(FILE.read_text(encoding="utf-8"))


def choose(pick, shares):
    """One key of ``shares`` ({key: share}), drawn with a ``random.Random``."""
    place = pick.random() * sum(shares.values())
    for key, share in shares.items():
        place -= share
        if place < 0:
            return key
    return key


def cut_normal(pick, spread):
    """A number from {middle, spread, low, high}: normal, drawn again until it lies between low and high."""
    while True:
        number = pick.gauss(spread["middle"], spread["spread"])
        if spread["low"] <= number <= spread["high"]:
            return number


def cut_lognormal(pick, middle, spread, low, high):
    """A number with that median and lognormal spread, drawn again until it lies between low and high."""
    while True:
        number = middle * math.exp(pick.gauss(0.0, spread))
        if low <= number <= high:
            return number


def error(pick, name):
    """A factor by which a figure of that kind (``errors`` in the table) is misread."""
    kind = table()["errors"][name]
    ends = {"low": -kind["most"], "high": kind["most"]}
    return 1.0 + cut_normal(pick, {"middle": kind["bias"], "spread": kind["spread"], **ends})
