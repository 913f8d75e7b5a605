"""What both engines start from: the facts, rules and calculations of one stage, checked once.

A stage's facts are either complete (given before it starts, never concluded in it) or derived in it. In
stage case the complete ones are asked or read from a record. In the stages after a pick, set-up and complaint,
everything is complete that none of their rules concludes: all facts of the case, the kit's fields (``kit_...``) and
its figures.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from ..errors import EngineError, KnowledgeError
from ..frozen import frozen
from ..knowledge.model import COMPLAINT, ORDERED_TESTS, STAGES, WITHOUT_VALUE, Condition, Fact, FactRef, Knowledge, Rule
from .calculating import CompiledCalculation, compile_calculation
from .derivation import Facts, Pairs

if TYPE_CHECKING:
    from ..knowledge.complaint_model import ComplaintKnowledge

COMPLETE_SOURCES = ("asked", "platform", "factory_kit", "kit", "figure")
#: Stages that know a kit, and start when everything about the case is known.
WITH_A_KIT = ("setup", COMPLAINT)
#: Kit fields every kit has without stating them.
MADE_FIELDS = {"several": "flag", "cushioned": "flag", "friction_surfaces": "number"}
#: Texts at or above this many bytes are refused: beyond 65,535 the C library takes one for another.
TEXT_BYTES = 30_000
_TESTS = {
    "number": {"is", "in", "known", "answered", "not_answered", "absent", *ORDERED_TESTS},
    "choice": {"is", "in", "is_not", "not_in", "known", "answered", "not_answered", "absent"},
    "flag": {"is", "in", "is_not", "not_in", "known", "answered", "not_answered", "absent"},
    "list": {"has", "known", "answered", "not_answered", "absent"},
    "text": {"is", "in", "known", "answered", "not_answered", "absent"},
}


@frozen
class RuleBase:
    """One stage: ``facts`` that may occur, ``complete`` names, ``rules``, ``calculations`` (compiled).

    ``rank`` maps (kind, id) to a place in an order in which every producer of a fact stands before every
    reader of it.
    """

    stage: str
    facts: Mapping[str, Fact]
    complete: frozenset[str]
    rules: tuple[Rule, ...]
    calculations: tuple[CompiledCalculation, ...]
    rank: Mapping[tuple[str, str], int]

    def refuse_unknown(self, names: Iterable[str]) -> None:
        """Raise EngineError unless every name is a fact of this stage."""
        for name in names:
            if name not in self.facts:
                raise self._unknown(name)

    def _unknown(self, name: str) -> EngineError:
        return EngineError(
            f"the fact {name} does not exist in stage {self.stage}.",
            value=name,
            remedy="Give only facts of the vocabulary, and kit_ facts and figures only for a kit.",
        )

    def held(self, facts: Facts, answered: Collection[str]) -> tuple[Facts, Collection[str]]:
        """What counts as known of ``facts`` and ``answered``: a list without members holds nothing and is neither."""
        empty = [name for name, value in facts.items() if value == ()]
        if not empty:
            return facts, answered
        known = {name: value for name, value in facts.items() if value != ()}
        return known, frozenset(answered).difference(empty)

    def refuse_bad_facts(self, facts: Facts) -> None:
        """Raise EngineError unless every fact is of this stage and its value of the declared kind."""
        known = self.facts
        for name, value in facts.items():
            fact = known.get(name)
            if fact is None:
                raise self._unknown(name)
            # Most facts are usual numbers; the rest is looked at more closely.
            if value.__class__ is float and fact.kind == "number" and -1e300 < value < 1e300:
                continue
            fault = _fault(fact, value)
            if fault:
                raise EngineError(f"the fact {name} {fault}, not {_shown(value)}.", value=value)


def rule_base(
    knowledge: "Knowledge | ComplaintKnowledge", stage: str, order: Iterable[tuple[str, str]] | None = None
) -> RuleBase:
    """The RuleBase of ``stage`` (see STAGES); KnowledgeError where the engines could not agree on a rule.

    ``order``: the keys of ``rank`` in their order, where the same rules were checked and ordered before.
    """
    if stage not in (*STAGES, COMPLAINT):
        raise EngineError(
            f"there is no stage {stage!r}.", value=stage, remedy=f"Use one of {', '.join((*STAGES, COMPLAINT))}."
        )
    facts = (
        dict(knowledge.facts)
        if stage in WITH_A_KIT
        else {name: fact for name, fact in knowledge.facts.items() if fact.source not in ("kit", "figure")}
    )
    rules = tuple(rule for rule in knowledge.rules if rule.stage == stage)
    calculations: tuple[CompiledCalculation, ...] = ()
    if stage in WITH_A_KIT:
        _add_kit_facts(facts, knowledge)
    else:
        calculations = tuple(compile_calculation(item) for item in knowledge.calculations if item.stage == stage)
    concluded = {conclusion.fact for rule in rules for conclusion in rule.conclude}
    concluded.update(calculation.gives for calculation in calculations)
    complete = frozenset(
        name
        for name, fact in facts.items()
        if fact.source in COMPLETE_SOURCES or (stage in WITH_A_KIT and name not in concluded)
    )
    if order is None:
        for rule in rules:
            _check_rule(rule, facts, complete)
        for calculation in calculations:
            _check_calculation(calculation, facts, complete)
        rank = _ranked(rules, calculations)
    else:
        rank = {key: place for place, key in enumerate(order)}
    return RuleBase(stage, facts, complete, rules, calculations, rank)


def read_by(condition: Condition) -> tuple[str, ...]:
    """Names of the facts a condition reads: its own and those its limit names."""
    limit = condition.limit
    if limit.__class__ is FactRef:
        return condition.fact, limit.name
    if limit.__class__ is tuple:
        return (condition.fact, *[end.name for end in limit if end.__class__ is FactRef])
    return (condition.fact,)


def read_by_all(conditions: Iterable[Condition]) -> tuple[str, ...]:
    """Names of the facts with a value that conditions read where they hold, sorted."""
    return tuple(
        sorted({name for condition in conditions if condition.test not in WITHOUT_VALUE for name in read_by(condition)})
    )


def copied_by(rule: Rule) -> tuple[str, ...]:
    """Names of the facts a rule copies into another."""
    return tuple([item.value.name for item in rule.conclude if item.value.__class__ is FactRef])


def constant(base: RuleBase, rule: Rule) -> Pairs | None:
    """What a rule concludes, sorted by fact, where that is the same in every case; None where it copies."""
    conclusions: Any = rule.conclude
    if any(isinstance(item.value, FactRef) for item in conclusions):
        return None
    return tuple(
        sorted(
            (item.fact, tuple(sorted(set(members(item.value)))) if base.facts[item.fact].kind == "list" else item.value)
            for item in conclusions
        )
    )


class Beforehand(NamedTuple):
    """Names read whatever branch held, names read by each branch, what is concluded in every case (or None)."""

    reads: tuple[str, ...]
    of_branch: tuple[tuple[str, ...], ...]
    constant: Pairs | None


def beforehand(base: RuleBase, item: Rule | CompiledCalculation) -> Beforehand:
    """What is known of a rule or calculation before any case."""
    if isinstance(item, CompiledCalculation):
        return Beforehand(item.reads, (), None)
    reads = tuple(sorted({*read_by_all(item.all), *copied_by(item)}))
    return Beforehand(reads, tuple(read_by_all(branch) for branch in item.any), constant(base, item))


def members(value: Any) -> tuple[Any, ...]:
    """The members a literal puts into a list fact: one choice or a tuple of them."""
    return value if isinstance(value, tuple) else (value,)


def _add_kit_facts(facts, knowledge):
    for name, field in knowledge.kit_fields.items():
        facts.setdefault(f"kit_{name}", Fact(f"kit_{name}", field.kind, field.label, "kit", field.unit, field.choices))
    for name, kind in MADE_FIELDS.items():
        facts.setdefault(f"kit_{name}", Fact(f"kit_{name}", kind, name, "kit", "1" if kind == "number" else ""))
    for name, figure in knowledge.figures.items():
        facts.setdefault(name, Fact(name, "number", figure.label, "figure", figure.unit))


def _text_fault(value):
    if not isinstance(value, str):
        return "must be a text"
    try:
        size = len(value.encode())
    except UnicodeEncodeError:
        return "must be valid text"
    return "must be a text without NUL of under 30,000 bytes" if "\0" in value or size >= TEXT_BYTES else ""


def _fault(fact, value):
    """What is wrong with ``value`` as a value of ``fact``; "" where nothing is."""
    kind = fact.kind
    if kind == "number":
        # Infinity and not-a-number fail the comparison.
        if isinstance(value, float) and abs(value) <= 1.7976931348623157e308:
            return ""
        return "must be a finite number held as a float"
    if kind == "flag":
        return "" if value is True or value is False else "must be yes or no"
    if kind == "list":
        if not isinstance(value, tuple) or any(not isinstance(item, str) for item in value):
            return "must be a tuple of choices"
        if list(value) != sorted(set(value)):
            return "must be sorted without repeats"
        if all(item in fact.choices for item in value):
            return ""
        return "must hold nothing but its choices"
    if fact.choices:
        return "" if isinstance(value, str) and value in fact.choices else "must be one of its choices"
    return _text_fault(value)


def _shown(value):
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _fault_of(item, kind, text):
    return KnowledgeError(f"{kind} {item.id} {text}.", where=item.position)


def _known_fact(name, facts, item, kind="rule"):
    if name not in facts:
        raise _fault_of(item, kind, f"reads or concludes {name}, which is not a fact of its stage")
    return facts[name]


def _unit(fact):
    return fact.unit or "1"


def _check_rule(rule, facts, complete):
    """Refuse what the engines would not read alike; the knowledge room says the same with more detail."""
    for condition in rule.conditions:
        fact = _known_fact(condition.fact, facts, rule)
        kind = "text" if fact.kind == "choice" and not fact.choices else fact.kind
        if condition.test not in _TESTS.get(kind, ()):
            raise _fault_of(rule, "rule", f"tests {fact.name} ({fact.kind}) with {condition.test}")
        if condition.test in ("answered", "not_answered", "absent") and fact.name not in complete:
            raise _fault_of(rule, "rule", f"tests {fact.name} with {condition.test} before it is complete")
        for other in read_by(condition)[1:]:
            other = _known_fact(other, facts, rule)
            if other.kind != "number" or other.name == fact.name or condition.test not in ORDERED_TESTS:
                raise _fault_of(rule, "rule", f"compares {fact.name} with {other.name} by {condition.test}")
            if _unit(other) != _unit(fact):
                raise _fault_of(
                    rule, "rule", f"compares {fact.name} [{_unit(fact)}] with {other.name} [{_unit(other)}]"
                )
        if condition.test in ("in", "not_in") and not condition.limit:
            raise _fault_of(rule, "rule", f"tests {fact.name} against an empty list")
        _check_limits(rule, fact, condition)
    for conclusion in rule.conclude:
        target = _known_fact(conclusion.fact, facts, rule)
        if target.source in COMPLETE_SOURCES:
            raise _fault_of(rule, "rule", f"concludes {target.name}, which only an answer or a record may give")
        if isinstance(conclusion.value, FactRef):
            source = _known_fact(conclusion.value.name, facts, rule)
            if (source.kind == "list") != (target.kind == "list") or _unit(source) != _unit(target):
                raise _fault_of(rule, "rule", f"copies {source.name} into {target.name} of another kind or unit")
            fault = "" if source.kind == target.kind else f"copies {source.name} into {target.name} of another kind"
            if (
                target.kind == "choice"
                and target.choices
                and not 0 < len(source.choices) == len(set(source.choices) & set(target.choices))
            ):
                fault = f"copies {source.name} into {target.name}, which lacks some of its choices"
        else:
            value = tuple(sorted(members(conclusion.value))) if target.kind == "list" else conclusion.value
            fault = _fault(target, value) and f"concludes {target.name}, which {_fault(target, value)}"
        if fault:
            raise _fault_of(rule, "rule", fault)
    if len({conclusion.fact for conclusion in rule.conclude}) < len(rule.conclude):
        raise _fault_of(rule, "rule", "concludes one fact twice")


def _check_calculation(calculation, facts, complete):
    for name in (*calculation.reads, calculation.gives):
        _known_fact(name, facts, calculation.calculation, "calculation")
    if calculation.gives in complete:
        raise _fault_of(calculation.calculation, "calculation", f"gives {calculation.gives}, which is not derived")


def _check_limits(rule, fact, condition):
    literals = condition.limit if isinstance(condition.limit, tuple) else (condition.limit,)
    for literal in literals:
        if literal is None or isinstance(literal, FactRef):
            continue
        fault = _fault(fact, (literal,) if fact.kind == "list" else literal)
        if fault:
            raise _fault_of(rule, "rule", f"tests {fact.name}, which {fault}, against {_shown(literal)}")


def _ranked(rules: Iterable[Rule], calculations: Iterable[CompiledCalculation]) -> dict[tuple[str, str], int]:
    """(kind, id) -> place, producers first; KnowledgeError for a cycle or an id used twice."""
    reads: dict[tuple[str, str], tuple[str, ...]] = {}
    gives: dict[str, list[tuple[str, str]]] = {}
    for rule in rules:
        key = ("rule", rule.id)
        if key in reads:
            raise _fault_of(rule, "rule", "has an id that another rule has too")
        names = [name for condition in rule.conditions for name in read_by(condition)]
        reads[key] = (*names, *copied_by(rule))
        for conclusion in rule.conclude:
            gives.setdefault(conclusion.fact, []).append(key)
    for calculation in calculations:
        key = ("calculation", calculation.id)
        if key in reads:
            raise _fault_of(calculation.calculation, "calculation", "has an id that another calculation has too")
        reads[key] = calculation.reads
        gives.setdefault(calculation.gives, []).append(key)
    rank: dict[tuple[str, str], int] = {}
    open_keys: dict[tuple[str, str], bool] = {}
    for start in reads:
        # Depth first by hand: a chain of rules may be longer than Python's recursion limit.
        stack: list[tuple[tuple[str, str], Iterator[tuple[str, str]] | None]] = [(start, None)]
        while stack:
            key, waiting = stack.pop()
            if waiting is None:
                if key in rank:
                    continue
                if key in open_keys:
                    loop = list(open_keys)[list(open_keys).index(key) :]
                    raise KnowledgeError(
                        "rules and calculations go round in a circle: " + " -> ".join(i for _, i in (*loop, key)) + ".",
                        remedy="No rule or calculation may depend on its own outcome.",
                    )
                open_keys[key] = True
                waiting = iter(dict.fromkeys(producer for name in reads[key] for producer in gives.get(name, ())))
            following = next(waiting, None)
            if following is None:
                del open_keys[key]
                rank[key] = len(rank)
            else:
                stack.append((key, waiting))
                stack.append((following, None))
    return rank
