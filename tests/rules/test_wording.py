"""What the rules say can be read aloud, and can always be filled with its numbers."""

import re

from advisor.engine.disagreement import holds
from advisor.engine.rule_test_runs import texts, unrendered
from tests.each import each

from .shop import cases, decided, knowledge

LONGEST = 30  # words in a sentence
STILTED = ("utilize", "in order to", "leverage", "optimal", "shall ", "herein", "e.g.", "i.e.", ";;")


def sentences(text):
    """The sentences of a text, split at full stops, colons and semicolons a reader pauses at."""
    return [one for one in re.split(r"(?<=[.!?:;])\s+", text.strip()) if one]


def every_text():
    """(where, text) for every text people read."""
    for rule in knowledge().rules:
        for text in (rule.title, *texts(rule)):
            yield rule.id, text
    for calculation in (*knowledge().calculations, *knowledge().figure_calculations):
        yield calculation.id, calculation.because
    for question in knowledge().questions.values():
        yield question.fact, question.plain
        yield question.fact, question.short
    for table in knowledge().order.tables.values():
        yield table.name, table.because


def test_no_sentence_is_too_long_to_be_read_aloud():
    long = [(where, one) for where, text in every_text() for one in sentences(text) if len(one.split()) > LONGEST]
    assert long == []


def test_a_reason_is_one_sentence_or_two():
    long = [rule.id for rule in knowledge().rules if len(re.findall(r"[.!?](\s|$)", rule.because)) > 2]
    assert long == []


def test_texts_are_whole_sentences_in_plain_words():
    for where, text in every_text():
        assert not any(word in text.lower() for word in STILTED), (where, text)
        assert "\u2014" not in text and "  " not in text, (where, text)
    for rule in knowledge().rules:
        for text in texts(rule):
            assert text[0].isupper() or text[0].isdigit() or text[0] == "{", (rule.id, text)
            assert text.endswith((".", "!", "?")), (rule.id, text)


def test_no_text_tells_how_to_defeat_a_guard():
    """Bridging, removing or raising a switch, guard or limiter is named only to forbid it."""
    guard = re.compile(
        r"(bridge|bypass|defeat|disable|disconnect|remove|raise)[^.;]*(switch|limiter|interlock|guard|shield)"
    )
    for where, text in every_text():
        for found in guard.finditer(text.lower()):
            assert "never" in text.lower()[: found.start() + 40], (where, text)


def test_where_a_basis_names_no_source_it_says_so():
    for rule in knowledge().rules:
        if rule.basis.kind in ("published", "computed"):
            assert rule.basis.source, rule.id
        if rule.basis.kind == "common_practice":
            assert rule.basis.source, rule.id


@each(lambda: [(name, name) for name in cases()])
def test_every_text_of_every_fired_rule_can_be_filled(name):
    decision = decided(name)
    rules = {rule.id: rule for rule in knowledge().rules}
    fired = [rules[one] for one in decision.derivation.fired()]
    assert unrendered(fired, decision.derivation.facts) == []
    for derived in decision.setup_derivations.values():
        assert unrendered([rules[one] for one in derived.fired()], derived.facts) == []


def test_no_measurement_is_printed_from_an_assumed_number():
    """Millimetres in a step come from the records of car and kit alone, or the step gives the procedure."""
    printed = {
        (rule.id, name)
        for rule in knowledge().rules
        for item in rule.items
        for name in re.findall(r"{(\w+)}", item.text)
        if knowledge().facts[name].unit == "mm" and knowledge().facts[name].source in ("figure", "derived")
    }
    assert printed == {("stop-position", "pedal_stop_mm")}
    stop = next(rule for rule in knowledge().rules if rule.id == "stop-position")
    for needed in ("pedal_free_travel", "kit_bearing_travel_needed", "kit_bearing_travel_max"):
        # Known from a record, never assumed: the platform's and the kit's own fields.
        assert knowledge().facts[needed].source in ("platform", "kit")
        facts = {"pedal_stop_mm": 110.0, "bearing_travel_available": 9.0, "kit_bearing_travel_max": 8.5}
        facts |= {"pedal_free_travel": 8.0, "kit_bearing_travel_needed": 7.3}
        assert all(holds(one, facts, facts, frozenset()) for one in stop.all)
        del facts[needed]
        assert not all(holds(one, facts, facts, frozenset()) for one in stop.all)
    for name in ("pedal_travel", "pedal_ratio", "fork_ratio", "master_bore", "slave_bore", "slave_area"):
        assert knowledge().facts[name].if_unknown.do == "leave"
