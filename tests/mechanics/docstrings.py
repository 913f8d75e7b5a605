"""Reading of the docstring convention of advisor.mechanics: sections, units, formula lines."""

import importlib
import inspect
import math
import pkgutil
import re

import numpy as np

import advisor.mechanics

SECTIONS = ("Formula", "Parameters", "Returns", "Validity", "Raises", "Examples", "References")
#: That every function refuses by `MechanicsError` what lies outside its validity is said once, for the library.
OPTIONAL = ("Raises",)

# Every unit a docstring may use. [any] is one free unit, the same wherever a function says [any].
UNITS = {
    "-",
    "any",
    "percent",
    "deg",
    "rad",
    "rad/s",
    "rad/s2",
    "m",
    "m/s",
    "m/s2",
    "m2",
    "m3",
    "m2/s",
    "s",
    "1/s",
    "1/m",
    "Hz",
    "kg",
    "kg/s",
    "kg m2",
    "kg/m3",
    "N",
    "N s",
    "N/m",
    "N m",
    "N m s",
    "N m/rad",
    "N m s/rad",
    "Pa",
    "Pa s",
    "Pa m/s",
    "J",
    "J/m2",
    "J/K",
    "J/(kg K)",
    "J/kg",
    "W",
    "W/m2",
    "W/K",
    "W/(m K)",
    "W/(m2 K)",
    "K",
    "degC",
    "K/s",
    "m3/J",
    "J/(m2 K s0.5)",
    "1/K",
    "s/m",
}

FREE_PHRASES = ("common practice, no source", "from memory")

# Modules whose every formula is plain arithmetic, so that numbers can be put in the place of its names.
PLAIN_ARITHMETIC = {
    "arithmetic",
    "disc_spring",
    "friction",
    "hydraulics",
    "paddles",
    "release",
    "release_bearing",
    "rotor",
    "thrust",
    "wear",
}

MATH = {
    "pi": np.pi,
    "sqrt": np.sqrt,
    "log": np.log,
    "exp": np.exp,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "arccos": np.arccos,
    "arctan": np.arctan,
    "atan": np.arctan,
    "abs": abs,
    "ceil": np.ceil,
    "floor": np.floor,
    "interp": np.interp,
    "erf": np.vectorize(math.erf),
    "erfc": np.vectorize(math.erfc),
    "min": lambda *values: np.min(np.broadcast_arrays(*values), axis=0),
    "max": lambda *values: np.max(np.broadcast_arrays(*values), axis=0),
}

LINE = re.compile(r"^(?P<name>\w+) = (?P<expression>.+?)(?:, where (?P<conditions>\w+ is \w+(?: and \w+ is \w+)*))?$")
UNIT = re.compile(r"\[([^\[\]]+)\]\.?$")


def modules():
    """Every module of advisor.mechanics, new ones included; ``argument_checks`` holds no calculation."""
    names = sorted(info.name for info in pkgutil.iter_modules(advisor.mechanics.__path__))
    return [
        importlib.import_module(f"advisor.mechanics.{name}")
        for name in names
        if name != "argument_checks" and not name.startswith("_")
    ]


def calculations():
    """(identifier, function) of every public function, each once, where it is defined."""
    found = []
    for module in modules():
        for name, function in vars(module).items():
            if inspect.isfunction(function) and function.__module__ == module.__name__ and not name.startswith("_"):
                found.append((f"{module.__name__.rsplit('.', 1)[1]}.{name}", function))
    return found


def sections(function):
    """{heading: lines} in order of appearance; the text before the first heading under ''."""
    lines = inspect.getdoc(function).split("\n")
    parts, heading = {"": []}, ""
    for number, line in enumerate(lines):
        if number + 1 < len(lines) and line.strip() and re.fullmatch(r"-{3,}", lines[number + 1].strip()):
            heading = line.strip()
            parts[heading] = []
        elif not re.fullmatch(r"-{3,}", line.strip()):
            parts[heading].append(line)
    return parts


def entries(lines):
    """{name: (type, text)} of a Parameters or Returns section."""
    found, name = {}, None
    for line in lines:
        if line and not line.startswith(" "):
            name, _, kind = (part.strip() for part in line.partition(" : "))
            found[name] = (kind, "")
        elif line.strip():
            found[name] = (found[name][0], (found[name][1] + " " + line.strip()).strip())
    return found


def unit(text):
    """Unit in the trailing brackets of an entry's text, or None."""
    match = UNIT.search(text)
    return match.group(1) if match else None


def formula(lines):
    """Formula lines as (name, expression, {argument: choice}); None where one is not an assignment."""
    found = []
    for line in lines:
        if not line.strip():
            continue
        match = LINE.match(line.strip())
        if not match:
            return None
        conditions = dict(part.split(" is ") for part in (match["conditions"] or "").split(" and ") if part)
        try:
            compile(match["expression"], "formula", "eval")
        except SyntaxError:
            return None
        found.append((match["name"], match["expression"], conditions))
    return found


def evaluate(lines, values):
    """Names and their values after working through formula lines with the arguments' values."""
    known = {**MATH, **values}
    for name, expression, conditions in lines:
        if all(values[argument] == wanted for argument, wanted in conditions.items()):
            known[name] = eval(expression, {"__builtins__": {}}, known)
    return known
