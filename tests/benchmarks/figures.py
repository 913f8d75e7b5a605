"""Figures of many kits in many cases: growth with both, beside the same figures one kit at a time in plain floats."""

import statistics
import time

from advisor.deciding.figures import FigureProgram, _same
from advisor.deciding.kit_columns import KitColumns
from advisor.knowledge.model import Record
from advisor.knowledge.quantities import convert
from advisor.knowledge.sources import Sources, read
from advisor.mechanics.argument_checks import MechanicsError

from ..callers import caller, plain_decider_of


def shop_of(content, count):
    """``count`` kits: the shop's own, over and over, each copy with its clamp load a little changed."""
    kits = []
    for number in range(count):
        kit = content.kits[number % len(content.kits)]
        fields = {**kit.fields, "clamp_load": kit.fields["clamp_load"] * (1 + 0.001 * (number // len(content.kits)))}
        kits.append(Record("kit", f"{kit.id}-{number:06d}", fields))
    return kits


def cases_of(decider, content, count):
    """Facts of ``count`` callers on one car as columns, derived together."""
    gathered = [decider.gather(caller(seed, content, "bramble-20t")) for seed in range(count)]
    return decider.batch.run([known for _, known in gathered], gathered[0][0], lean=True).facts


def all_at_once(program, kits, facts):
    """CPU seconds of every figure of every kit in every case."""
    start = time.process_time()
    figures = program.figures(kits, facts)
    for name in program.steps:
        figures.column(name)
    return time.process_time() - start


def one_at_a_time(program, kits, facts, knowledge):
    """CPU seconds of the same, kit by kit, case by case, each argument a float."""
    start = time.process_time()
    for case in range(facts.count):
        for place in range(len(kits)):
            one = _Single(program, kits, facts, case, place)
            for name in program.steps:
                one.figure(name)
    return time.process_time() - start


class _Single:
    """One kit in one case with plain floats."""

    def __init__(self, program, kits, facts, case, place):
        self.program, self.kits, self.facts, self.case, self.place = program, kits, facts, case, place
        self.figures = {}

    def figure(self, name):
        if name not in self.figures:
            self.figures[name] = self.compute(*self.program.steps[name])
        return self.figures[name]

    def value(self, given, unit):
        for one in given.first_of or (given,):
            if one.source == "figure":
                value = self.figure(one.name)
            elif one.source in ("value", "choice"):
                value = one.value
            else:
                column = {
                    "fact": self.facts.fact,
                    "kit": self.kits.field,
                    "facing": self.kits.facing,
                    "table": self.kits.table,
                }[one.source](one.name)
                value = column.number(self.case, self.place)
            if value is not None:
                return (
                    value
                    if isinstance(value, (str, bool)) or _same(one.unit, unit)
                    else float(convert(float(value), one.unit, unit))
                )
        return None

    def compute(self, calculation, function):
        wanted, arguments = dict(calculation.units), {}
        for keyword, given in calculation.inputs:
            if given.name in ("curve_temperatures", "curve_factors"):
                arguments[keyword] = self.kits.facing_curve()[given.name == "curve_factors"][0, self.place]
                continue
            value = self.value(given, wanted.get(keyword, "any"))
            if value is None:
                return None
            arguments[keyword] = value
        try:
            result = float(function(**arguments))
        except MechanicsError:
            return None
        return (
            result
            if _same(calculation.result_unit, calculation.unit)
            else float(convert(result, calculation.result_unit, calculation.unit))
        )


def tables(smoke=False):
    """title -> rows."""
    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    program = FigureProgram(content.knowledge)
    rounds = 1 if smoke else 3
    rows = []
    for count in (20,) if smoke else (200, 2_000, 20_000):
        kits = KitColumns(shop_of(content, count), content.knowledge)
        for number in (1,) if smoke else (1, 10, 100) if count <= 2000 else (1, 10):
            facts = cases_of(decider, content, number)
            all_at_once(program, kits, facts)
            taken = statistics.median(all_at_once(program, kits, facts) for _ in range(rounds))
            rows.append(
                {
                    "kits": count,
                    "cases": number,
                    "figures": len(program.steps),
                    "CPU ms": round(1000 * taken, 1),
                    "us a kit and case": round(1e6 * taken / count / number, 2),
                }
            )
    kits, facts = KitColumns(shop_of(content, 5 if smoke else 100), content.knowledge), cases_of(decider, content, 1)
    single = one_at_a_time(program, kits, facts, content.knowledge)
    together = statistics.median(all_at_once(program, kits, facts) for _ in range(5))
    rows.append(
        {
            "kits": len(kits),
            "cases": 1,
            "figures": len(program.steps),
            "CPU ms": round(1000 * single, 1),
            "us a kit and case": round(1e6 * single / len(kits), 2),
            "how": f"one kit at a time, {single / together:.0f} times as arrays",
        }
    )
    return {"all figures": rows}
