"""Small knowledge made by hand: the typed rule model without files."""

from advisor.knowledge.model import (
    Basis,
    Calculation,
    Conclusion,
    Condition,
    Fact,
    FactRef,
    Input,
    Knowledge,
    Order,
    Rule,
)

BASIS = Basis("judgement")


def fact(name, kind="number", *, source="asked", choices=(), agreement="one_rule", unit="1"):
    """A fact of the vocabulary; numbers are plain numbers unless a unit is given."""
    return Fact(
        name,
        kind,
        name.replace("_", " "),
        source,
        unit if kind == "number" else "",
        tuple(choices),
        agreement="list" if kind == "list" else agreement,
    )


def when(text_fact, test, limit=None):
    """A condition."""
    return Condition(text_fact, test, limit)


def rule(name, all=(), any=(), conclude=(), stage="case", **more):
    """A rule; ``conclude`` holds pairs (fact, value), ``any`` conditions or tuples of them."""
    return Rule(
        name,
        "topic",
        stage,
        name,
        tuple(all),
        tuple(branch if isinstance(branch, tuple) else (branch,) for branch in any),
        tuple(Conclusion(*pair) for pair in conclude),
        more.get("require", ()),
        more.get("cautions", ()),
        more.get("items", ()),
        "because",
        BASIS,
        "",
    )


def calculation(name, gives, function, inputs, *, units=(), unit="1", result_unit="any"):
    """A calculation of stage case; ``inputs`` maps keyword to a FactRef, a number or a text."""
    made = []
    for keyword, value in inputs.items():
        if isinstance(value, FactRef):
            made.append((keyword, Input("fact", value.name, unit="1")))
        elif isinstance(value, str):
            made.append((keyword, Input("choice", value=value)))
        else:
            made.append((keyword, Input("value", value=value, unit="1")))
    wanted = tuple(units) or tuple((keyword, "any") for keyword in inputs)
    return Calculation(
        name, name, "case", gives, unit, function, tuple(made), wanted, result_unit, "because", BASIS, ""
    )


def knowledge(facts, rules, calculations=(), figures=(), kit_fields=()):
    """A Knowledge with nothing but what an engine reads."""
    return Knowledge(
        facts={item.name: item for item in facts},
        figures={item.name: item for item in figures},
        kit_fields={item.name: item for item in kit_fields},
        rules=tuple(rules),
        calculations=tuple(calculations),
        figure_calculations=(),
        facings={},
        order=Order((), {}, {}),
        questions={},
        workshop={},
        sha256="",
    )
