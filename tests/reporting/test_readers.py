"""One wording serves every reader: nothing on a customer's sheet speaks about the customer, or to whoever sells."""

import re

import pytest

from advisor.reporting.sheets import sheet

from . import made

#: Whom a customer's sheet may not name or address: the customer as a third person, and the one who sells.
ABOUT_OTHERS = re.compile(
    r"\b(callers?|customers?|buyers?|sellers?|salesperson|salespeople|they buy|let the driver|tell the driver"
    r"|the driver said)\b",
    re.IGNORECASE,
)


def spoken():
    """(where, text) of everything the knowledge and the records can put on a customer's sheet."""
    found = made.content()
    knowledge = found.knowledge
    for rule in knowledge.rules:
        yield rule.id, rule.because
        for caution in rule.cautions:
            yield rule.id, caution.text
        for work in rule.items:
            yield rule.id, work.text
    for table in (knowledge.facts, knowledge.figures, knowledge.kit_fields):
        for name, word in table.items():
            yield name, word.label
    for name, question in knowledge.questions.items():
        yield name, question.plain
    for record in (*found.kits, *found.platforms, *found.parts):
        yield record.id, record.fields.get("title", "")


def test_no_text_that_can_reach_a_customer_speaks_about_the_customer():
    texts = list(spoken())
    assert len(texts) > 500
    assert [(where, text) for where, text in texts if text and ABOUT_OTHERS.search(text)] == []


@pytest.mark.parametrize("name", made.CASES)
def test_no_customers_sheet_does(name):
    assert ABOUT_OTHERS.findall(sheet.sheet(made.record(name), made.words(), "customer")) == []


@pytest.mark.parametrize("told", ["Tell the caller before they buy.", "The seller's figure", "Let the driver try one."])
def test_the_words_are_found_where_they_stand(told):
    assert ABOUT_OTHERS.search(told)
