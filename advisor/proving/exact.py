"""The rule language with its numbers as numbers, for z3: for questions in which arithmetic, or how many, counts.

Per fact: has it a value, did somebody answer it, and the value: a real for a number, a code for a choice or text, true
or false for a flag, one a member for a list. Numbers enter as the decimals they are written in, no binary fractions.
Calculations are written out where `arithmetic_known` can, else they may give any number that is not negative. So again
"cannot happen" is a proof, the rounding of the engines included, and what may happen is run.

z3 is an extra of its own (``proofs``) and is loaded when it is first needed.
"""

import itertools
from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from types import ModuleType
from typing import Any

from ..errors import EngineError
from ..knowledge.model import Calculation, Condition, Fact, FactRef, Rule
from ..knowledge.rules import limits
from .arithmetic_known import OF_EITHER_SIGN, formula_of
from .regions import inputs_of

#: A question is given up after so much work, counted by the solver itself: the same on every machine.
WORK = 20_000_000
#: Nine digits are kept of what is calculated: it lies within this share of the exact number.
ROUNDED = 6e-9
#: Digits a number out of a solver is read with.
READ = 17


def load() -> ModuleType:
    """The solver; EngineError where the extra is not installed."""
    try:
        import z3
    except ImportError:
        raise EngineError(
            "the solver for questions with arithmetic is not installed.",
            remedy="Run: pip install 'least-clutch[proofs]'",
        ) from None
    return z3


def is_there() -> bool:
    """Is the solver installed?"""
    import importlib.util

    return importlib.util.find_spec("z3") is not None


class Exact:
    """One reading of a rule base in z3.

    ``shared``: another reading whose given facts are this one's too, but for those in ``apart``; ``mark`` keeps the
    names of the two apart. ``products``: write out products of two facts. ``calculated`` no: results are free, to be
    pinned from outside. ``given``: derived facts may be given from outside, as the engines allow.
    """

    def __init__(
        self,
        facts: Mapping[str, Fact],
        rules: Iterable[Rule],
        calculations: Iterable[Calculation],
        *,
        mark: str = "",
        shared: "Exact | None" = None,
        apart: Iterable[str] = (),
        products: bool = True,
        calculated: bool = True,
        given: bool = False,
    ) -> None:
        self.z3 = load()
        self.facts, self.rules, self.calculations = facts, tuple(rules), tuple(calculations)
        self.mark, self.products, self.calculated, self.given = mark, products, calculated, given
        #: Calculations give a value wherever their inputs have one: taken to hold, no argument is refused.
        self.computed = self.z3.Bool(f"computed{mark}")
        self.codes: dict[Any, int] = shared.codes if shared else {}
        self.has: dict[str, Any] = {}
        self.answered: dict[str, Any] = {}
        self.values: dict[str, Any] = {}
        self.fires: dict[str, Any] = {}
        self.gives: dict[str, Any] = {}
        self.results: dict[str, Any] = {}
        self.free: list[Calculation] = []
        self.clashes: list[Any] = []
        self.axioms: list[Any] = []
        self._producers: dict[str, list[tuple[Any, Any]]] = defaultdict(list)
        apart = set(apart)
        for number, (name, fact) in enumerate(facts.items()):
            if shared is not None and fact.source != "derived" and name not in apart:
                for own, theirs in (
                    (self.has, shared.has),
                    (self.answered, shared.answered),
                    (self.values, shared.values),
                ):
                    own[name] = theirs[name]
            else:
                self._declare(number, name, fact)
        self._rules()

    # --- values -------------------------------------------------------------------------------

    def number(self, value: float) -> Any:
        """An exact number: the decimal it is written as."""
        return self.z3.RealVal(str(Fraction(Decimal(repr(float(value))))))

    def any_of(self, conditions: list) -> Any:
        """At least one of them; of none that never holds."""
        return self.z3.Or(conditions) if conditions else self.z3.BoolVal(False)

    def all_of(self, conditions: list) -> Any:
        """All of them; of none that always holds."""
        return self.z3.And(conditions) if conditions else self.z3.BoolVal(True)

    def code(self, value: Any) -> Any:
        """The number of a text, the same for every fact, so that a copied choice keeps its meaning."""
        return self.z3.IntVal(self.codes.setdefault(value, len(self.codes)))

    def _declare(self, number, name, fact):
        z3, mark = self.z3, self.mark
        self.has[name], self.answered[name] = z3.Bool(f"has {number}{mark}"), z3.Bool(f"answered {number}{mark}")
        if fact.kind == "list":
            self.values[name] = {
                choice: z3.Bool(f"member {number} {place}{mark}") for place, choice in enumerate(fact.choices)
            }
        else:
            kind = {"number": z3.Real, "flag": z3.Bool}.get(fact.kind, z3.Int)
            self.values[name] = kind(f"value {number}{mark}")
        if fact.kind == "list" and fact.source != "derived":
            self.axioms.append(z3.Implies(self.has[name], z3.Or(list(self.values[name].values()))))

    def same(self, name: str, value: Any) -> Any:
        """The fact's value is this literal; says nothing of whether it has one."""
        fact, term = self.facts[name], self.values[name]
        if fact.kind == "number":
            return term == self.number(value)
        if fact.kind == "flag":
            return term if value else self.z3.Not(term)
        if fact.kind == "list":
            return self.z3.And([bit if choice in value else self.z3.Not(bit) for choice, bit in term.items()])
        return term == self.code(value)

    def limit(self, limit: Any) -> tuple[Any, list]:
        """(the number of a limit, what must have a value for it)."""
        if isinstance(limit, FactRef):
            return self.values[limit.name], [self.has[limit.name]]
        return self.number(limit), []

    def holds(self, condition: Condition) -> Any:
        """One condition. All but not known and not answered are false of a fact without a value."""
        z3, name, test = self.z3, condition.fact, condition.test
        has, term, limit = self.has[name], self.values[name], condition.limit
        if test == "known":
            return has
        if test == "absent":
            return z3.Not(has)
        if test == "answered":
            return z3.And(has, self.answered[name])
        if test == "not_answered":
            return z3.Not(z3.And(has, self.answered[name]))
        if test == "has":
            return z3.And(has, term[limit])
        if test in ("is", "in", "is_not", "not_in"):
            among = z3.Or([self.same(name, value) for value in (limit if test in ("in", "not_in") else (limit,))])
            return z3.And(has, among if test in ("is", "in") else z3.Not(among))
        if test == "between":
            (low, first), (high, second) = self.limit(limit[0]), self.limit(limit[1])
            return z3.And(has, *first, *second, low <= term, term <= high)
        bound, needs = self.limit(limit)
        compared = {
            "above": lambda: term > bound,
            "at_least": lambda: term >= bound,
            "below": lambda: term < bound,
            "at_most": lambda: term <= bound,
        }[test]()
        return z3.And(has, *needs, compared)

    # --- rules and calculations ---------------------------------------------------------------

    def _rules(self):
        z3 = self.z3
        for number, rule in enumerate(self.rules):
            fires = self.fires[rule.id] = z3.Bool(f"fires {number}{self.mark}")
            parts = [self.holds(condition) for condition in rule.all]
            parts += [self.has[each.value.name] for each in rule.conclude if isinstance(each.value, FactRef)]
            if rule.any:
                parts.append(z3.Or([z3.And([self.holds(condition) for condition in branch]) for branch in rule.any]))
            self.axioms.append(fires == self.all_of(parts))
            for conclusion in rule.conclude:
                self._producers[conclusion.fact].append((fires, conclusion.value))
        for number, calculation in enumerate(self.calculations):
            self._calculation(number, calculation)
        concluded = {name for name, fact in self.facts.items() if fact.source == "derived"} | set(self._producers)
        for name in sorted(concluded):
            self._derived(name)

    def _calculation(self, number, calculation):
        z3 = self.z3
        needs = self.all_of([self.has[name] for name in inputs_of(calculation)])
        gives = self.gives[calculation.id] = z3.Bool(f"gives {number}{self.mark}")
        term = self.results[calculation.id] = z3.Real(f"result {number}{self.mark}")
        formula = formula_of(calculation, products=self.products) if self.calculated else None
        self.axioms.append(z3.Implies(gives, needs))
        self.axioms.append(z3.Implies(z3.And(self.computed, needs), gives))
        if formula is not None:
            given = {
                keyword: self.values[each.name] if each.source == "fact" else self.number(each.value)
                for keyword, each in calculation.inputs
            }
            written = formula(given, lambda first, second: z3.If(first >= second, first, second))
            # The engines round what they calculate: what is learned of one run stands beside the formula.
            room = z3.If(written >= 0, written, -written) * self.number(ROUNDED)
            self.axioms += [gives == needs, z3.Implies(gives, term <= written + room)]
            self.axioms.append(z3.Implies(gives, term >= written - room))
        else:
            self.free.append(calculation)
            if self.calculated and calculation.function not in OF_EITHER_SIGN:
                self.axioms.append(term >= 0)
        self._producers[calculation.gives].append((gives, term))

    def _derived(self, name):
        z3, fact, producers = self.z3, self.facts[name], self._producers.get(name, [])
        events = [event for event, _ in producers]
        given = z3.Bool(f"given {name}{self.mark}")
        self.axioms.append(self.has[name] == self.any_of([*([given] if self.given else []), *events]))
        if fact.kind == "list":
            for place, (choice, bit) in enumerate(self.values[name].items()):
                parts = [part for event, value in producers for part in self._puts_in(event, value, choice)]
                if self.given:
                    parts.append(z3.And(given, z3.Bool(f"given {name} {place}{self.mark}")))
                self.axioms.append(bit == self.any_of(parts))
            return
        terms = [(event, self._term(fact, value)) for event, value in producers]
        if self.given:
            terms.insert(0, (given, self.given_term(name)))
        # Several at once: the first gives the value, so that an overlap is found and not ruled out.
        chosen = self.values[name]
        for event, term in reversed(terms):
            chosen = z3.If(event, term, chosen)
        self.axioms.append(self.values[name] == chosen)
        for (first, one_term), (second, other_term) in itertools.combinations(terms, 2):
            both = z3.And(first, second)
            self.clashes.append(both if fact.agreement == "one_rule" else z3.And(both, one_term != other_term))

    def _puts_in(self, event, value, choice):
        """Whether a producer puts a choice into a list, as no or one condition."""
        if not isinstance(value, FactRef):
            return [event] if choice in limits(value) else []
        members = self.values[value.name]
        return [self.z3.And(event, members[choice])] if choice in members else []

    def _term(self, fact, value):
        if isinstance(value, FactRef):
            return self.values[value.name]
        if self.z3.is_expr(value):
            return value  # what a calculation gives
        if fact.kind == "number":
            return self.number(value)
        return self.z3.BoolVal(value) if fact.kind == "flag" else self.code(value)

    def given_term(self, name: str) -> Any:
        """The value of a derived fact that was given from outside."""
        kind = {"number": self.z3.Real, "flag": self.z3.Bool}.get(self.facts[name].kind, self.z3.Int)
        return kind(f"given value {name}{self.mark}")

    # --- reading a model ----------------------------------------------------------------------

    def true_in(self, model: Any, term: Any) -> bool:
        """Does a statement hold in a model?"""
        return self.z3.is_true(model.eval(term, model_completion=True))

    def read(self, model: Any, name: str) -> Any:
        """A fact's value in a model, None where it has none."""
        if not self.true_in(model, self.has[name]):
            return None
        fact, term = self.facts[name], self.values[name]
        if fact.kind == "flag":
            return self.true_in(model, term)
        if fact.kind == "list":
            return tuple(sorted(choice for choice, bit in term.items() if self.true_in(model, bit)))
        value = model.eval(term, model_completion=True)
        if fact.kind == "number":
            # By way of decimals: a product may be a fraction of thousands of digits.
            return float(value.as_decimal(READ).rstrip("?"))
        texts = {number: text for text, number in self.codes.items()}
        return texts.get(value.as_long(), fact.choices[0] if fact.choices else "another")
