"""The long counts of explaining; `rows` is called by tests/full.py and gives (what, how many, result)."""

import random
import statistics
from collections import Counter

from advisor.deciding import smallest_changes
from advisor.deciding.advise import advise
from advisor.explaining import sensitivity, what_if, why
from advisor.knowledge.sources import Sources, read

from . import shipped
from .callers import caller, plain_decider_of
from .explaining import test_card, voices
from .explaining.properties import CHECKS, worded_of
from .explaining.test_changes import unsound
from .explaining.test_conflicts import conflict_faults
from .explaining.test_sensitivity import edge_faults
from .explaining.test_what_if import wrong
from .explaining.test_worked_sums import arithmetic_faults
from .explaining.wording import faults as wording_faults, wording

CALLERS, START = 300, 300_000


def _result(found, told="no fault"):
    return f"FAILED ({len(found)}): {'; '.join(found[:3])}"[:400] if found else told


def explained(content, decider, cases):
    """Every property of the stored explanations over all cases."""
    checks = {**CHECKS, "wording": wording, "conflicts": conflict_faults, "arithmetic": arithmetic_faults}
    counts, found, sizes, outcomes = Counter(), {name: [] for name in checks}, [], Counter()
    for case in cases:
        view = worded_of(decider, advise(decider, case))
        outcomes[view.record.outcome] += 1
        if view.pick:
            told = why.why(view, 1)
            sizes.append(len(told["sentences"]) + sum(len(one["sentences"]) for one in told["decisive"]))
        for name, check in checks.items():
            count, faults = check(view)
            counts[name] += count
            found[name] += [f"{case.id}: {fault}" for fault in faults]
    names = {
        "faithful": "decided again from the cited rules and facts alone",
        "complete": "cited rules and calculations, nothing missing",
        "minimal": "facts behind requirements, each left out in turn",
        "why not": "why-nots, every kit of every case",
        "stable": "answers asked twice",
        "wording": "sentences and reasons read",
        "conflicts": "minimal conflicts and corrections",
        "arithmetic": "sums shown, evaluated",
    }
    told = ", ".join(f"{name} {number}" for name, number in sorted(outcomes.items()))
    return [
        ("cases explained", len(cases), told),
        *((names[name], counts[name], _result(found[name])) for name in checks),
        ("sentences of the first depth", len(sizes), f"median {statistics.median(sizes):.0f}, largest {max(sizes)}"),
    ]


def searched(content, decider, cases):
    """Smallest changes for the gentler kit and one more, what-ifs, and the edge, each decided again one by one."""
    counts, found = Counter(), {"changes": [], "what if": [], "edge": [], "wording": []}
    for case in cases:
        pick = random.Random(f"searched {case.id}")
        decision, record = decider.decide(case), advise(decider, case)
        if decision.figures is None:
            continue
        view = worded_of(decider, record)
        fitting = [kit.id for kit in view.record.fitting if kit.id != view.pick]
        down = [record.next_down.kit] if record.next_down else []
        targets = [*down, *pick.sample(fitting, min(1, len(fitting)))] if view.pick else [None]
        for kit in dict.fromkeys(targets):
            search = smallest_changes.smallest_changes(decider, decision, None if kit is None else (kit,))
            sets, decided, faults = unsound(decider, case, kit, search)
            counts["sets"] += sets
            counts["searches"] += 1
            counts["decided"] += decided
            counts["nothing found"] += not sets
            found["changes"] += [f"{case.id}: {fault}" for fault in faults]
        for answers in _random_changes(pick, content.knowledge, case):
            told, _, _ = what_if.what_if(decider, case, answers, before=record)
            counts["what if"] += 1
            found["what if"] += [f"{case.id} {answers}: {fault}" for fault in wrong(decider, case, answers, told)]
            found["wording"] += [fault for text in told["sentences"] for fault in wording_faults(view, text)]
        edge = sensitivity.sensitivity(view, decider, case)
        if edge and edge["growth"]:
            decided, faults = edge_faults(decider, case, view, edge)
            counts["edge"] += decided
            found["edge"] += [f"{case.id}: {fault}" for fault in faults]
            found["wording"] += [fault for text in edge["sentences"] for fault in wording_faults(view, text)]
    told = f"{counts['searches']} searches, {counts['nothing found']} found none, {counts['decided']} decided again"
    return [
        ("smallest change sets: sound, minimal, exact", counts["sets"], _result(found["changes"], told)),
        ("what-ifs against two decisions", counts["what if"], _result(found["what if"])),
        ("edges of growth, both sides", counts["edge"], _result(found["edge"])),
        ("sentences of what decides again", counts["what if"], _result(found["wording"])),
    ]


def _random_changes(pick, knowledge, case):
    """Two changes of answers: one number or choice each."""
    found = []
    for name in pick.sample(sorted(case.answers), min(2, len(case.answers))):
        fact, value = knowledge.facts[name], case.answers[name].value
        if fact.kind == "flag":
            found.append({name: not value})
        elif fact.choices:
            found.append({name: pick.choice([one for one in fact.choices if one != value])})
        elif fact.kind == "number":
            found.append({name: float(f"{min(max(value * pick.uniform(0.8, 1.25), fact.low), fact.high):.6g}")})
    return found


def one_voice(content, decider, cases, thinned=10):
    """Pages of every case, and of callers on records with holes, looked through for a second voice."""
    found, count = [], 0
    poorer = [plain_decider_of(voices.thinned(content, random.Random(f"count {number}"))) for number in range(thinned)]
    looked = [(decider, case) for case in cases]
    looked += [
        (other, caller(2000 + 10 * place + one, content)) for place, other in enumerate(poorer) for one in range(10)
    ]
    for other, case in looked:
        record = advise(other, case, with_changes=False)
        found += [f"{case.id}: {fault}" for fault in voices.faults(record, other.shop.wording(content.knowledge))]
        count += 1
    return [("cases, and callers on thinned records, that speak with one voice", count, _result(found))]


def cards(content, decider):
    """What is asked of a card, of the cards of all shipped cases."""
    words = decider.shop.wording(content.knowledge, "si")
    records = {name: shipped.record(name) for name in shipped.cases()}
    shown = test_card.cards_of(records, words)
    test_card.test_a_card_is_at_most_fourteen_lines_of_eighty_columns(shown, records)
    test_card.test_a_narrow_card_tells_the_same(shown, records, words)
    test_card.test_no_sentence_on_a_card_is_one_that_cannot_be_read_out(shown)
    test_card.test_what_must_not_be_missed_is_on_every_card(shown, records)
    test_card.test_every_number_on_a_card_is_in_the_record(shown, records, words)
    test_card.test_parts_stand_once_and_what_they_come_to_is_their_sum(records, words)
    return [("cards of shipped cases", len(shown), "short, readable aloud, nothing missed, every number of the record")]


def rows():
    """All of the above, over every shipped case and random callers."""
    content = read(Sources.chosen(), cache=False)
    decider = plain_decider_of(content)
    cases = [*shipped.cases().values(), *(caller(seed, content) for seed in range(START, START + CALLERS))]
    return [
        *explained(content, decider, cases),
        *searched(content, decider, cases),
        *one_voice(content, decider, cases),
        *cards(content, decider),
    ]
