"""The relevance of every question asked, proved again one decision at a time, without the batch it was chosen with."""

import dataclasses

from advisor.deciding.outcomes import MORE_ANSWERS, outcome_of
from advisor.interview import next_question
from advisor.interview.sampling import must_be_asked
from advisor.interview.state import Said


def decided(chooser, state, view, row, without=None):
    """The outcome of one caller of an Outlook, decided alone; ``without``: a fact that caller does not know."""
    said = dict(state.said)
    for name in view.callers.facts:
        value = None if name == without else view.callers.value(name, row, chooser.knowledge)
        said[name] = Said(name, "", value)
    case = dataclasses.replace(state, said=said).as_case()
    return tuple(outcome_of(chooser.decider.decide(case)))


def irrelevant(chooser, done):
    """Questions of an Interview for which no two callers differing in that answer alone come to different outcomes."""
    found = []
    for name, view, state in done.asked:
        if view.reason == next_question.SAFETY:
            continue
        if chooser.knowledge.questions[name].first and name in view.lacking():
            continue  # one of several ways to what nothing is decided without, asked in the declared order
        if view.reason == next_question.NEEDED and must_be_asked(chooser.knowledge.questions[name], view.known):
            continue  # no interview ends without it, whatever the callers drawn show
        candidate = next(one for one in view.candidates if one.fact == name)
        if candidate.witness is None and _changes_somebody(chooser, name, view, state):
            continue
        if candidate.witness is not None:
            before, after = candidate.witness.before, candidate.witness.after
            same = [
                other
                for other in view.callers.facts
                if other != name
                and view.callers.value(other, before, chooser.knowledge)
                != view.callers.value(other, after, chooser.knowledge)
            ]
            if not same and decided(chooser, state, view, before) != decided(chooser, state, view, after):
                continue
        elif view.reason == next_question.NEEDED and _cannot_do_without(chooser, name, view, state):
            continue
        found.append(name)
    return found


def _changes_somebody(chooser, name, view, state):
    """Is there a caller drawn whose outcome is another once this answer alone is taken back?

    Those are tried first who answer it otherwise than it stands and come to another kit than the case as it stands.
    """
    callers = view.callers
    rows = [row for row in range(1, len(callers.outcomes)) if callers.others[name][row]]
    for row in sorted(rows, key=lambda row: not callers.elsewhere[row]):
        if decided(chooser, state, view, row, without=name) != decided(chooser, state, view, row):
            return True
    return False


def _cannot_do_without(chooser, name, view, state):
    """Is there a caller with a decision who has none when this answer is missing?

    One who says nothing else is a caller as well.
    """
    for row in range(1, len(view.callers.outcomes)):
        value = view.callers.value(name, row, chooser.knowledge)
        case = dataclasses.replace(state, said={**state.said, name: Said(name, "", value)}).as_case()
        if chooser.decider.decide(case).outcome != MORE_ANSWERS:
            return view.standing.outcome == MORE_ANSWERS
    for row in range(1, len(view.callers.outcomes)):
        if view.callers.outcomes[row].outcome == MORE_ANSWERS:
            continue
        said = {
            other: Said(other, "", view.callers.value(other, row, chooser.knowledge))
            for other in view.callers.facts
            if other != name
        }
        case = dataclasses.replace(state, said={**state.said, **said, name: Said(name, "unknown", None)}).as_case()
        if chooser.decider.decide(case).outcome == MORE_ANSWERS:
            return True
    return False
