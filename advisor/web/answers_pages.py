"""The customer's pages on what was said so far: all answers, those that do not go together, and asking on."""

from typing import Any

from flask import redirect, request, url_for

from ..knowledge.sentences import count
from .access import CUSTOMER, needs
from .customer import case_open, pages, standing
from .showing import only, shown

# --- contradictions, asked kindly


@pages.get("/check")
@needs(CUSTOMER)
def check() -> Any:
    """Answers that do not seem to go together."""
    with case_open() as (interview, place):
        known = interview.view.known
        clashes = known.clashes if known else None
        facts = clashes.derivation.facts if clashes and clashes.derivation else {}
        pairs, wording = [], place.plain.wording
        for clash in clashes.clashes if clashes else ():
            readings = [wording.fill(text, facts) for text in clash.contradiction.readings]
            asked = place.knowledge.questions.get(clash.contradiction.settle)
            pairs.append(
                {
                    "id": clash.id,
                    "readings": readings,
                    "because": wording.fill(clash.rule.because, facts),
                    "facts": [(name, place.plain.label(name)) for name in clash.facts if name in interview.state.said],
                    "settle": (clash.contradiction.settle, asked.plain) if asked else None,
                    "may_insist": bool(clash.harder) and not clash.insisted,
                    "insisted": clash.insisted,
                    "stops": clash.stops,
                }
            )
        denials = [
            {
                "name": denial.fact,
                "label": place.plain.label(denial.fact),
                "filed": place.plain.value(denial.fact, denial.platform),
                "answer": place.plain.value(denial.fact, denial.answer),
            }
            for denial in (known.denials if known else ())
        ]
        return shown("check.html", "Do these go together?", pairs=pairs, denials=denials, **standing(interview, place))


@pages.post("/check")
@needs(CUSTOMER)
def check_said() -> Any:
    """Both answers are right: the harder reading decides."""
    only("insist")
    with case_open(write=True) as (interview, _):
        interview.insist(request.form.get("insist", "")[:100])
    return redirect(url_for("customer.following"), 303)


# --- all answers


@pages.get("/answers")
@needs(CUSTOMER)
def answers() -> Any:
    """Everything said so far, and what is taken for the rest; each may be changed."""
    with case_open() as (interview, place):
        state, view = interview.state, interview.view
        teller = place.plain
        assumed = [
            (
                item.fact,
                place.plain.label(item.fact),
                teller.value(item.fact, item.value),
                item.fact in place.knowledge.questions,
            )
            for item in (view.known.assumptions if view.known else ())
        ]
        return shown(
            "answers.html",
            "Your answers",
            car=None if state.car is None else teller.wording.title(state.car) or "not on file",
            said=[(name, place.plain.label(name), teller.said(item)) for name, item in state.said.items()],
            former=[(name, place.plain.label(name), teller.said(item)) for name, item in state.former.items()],
            assumed=assumed,
            contradictions=len(interview.contradictions()),
            trouble=interview.trouble,
            open_question=interview.question is not None,
            may_ask_more=interview.may_ask_more,
            said_count=count(len(state.said) + (state.car is not None), "answer"),
            **standing(interview, place),
        )


@pages.post("/more")
@needs(CUSTOMER)
def more() -> Any:
    """Ask on after it stopped by itself."""
    only()
    with case_open(write=True) as (interview, _):
        interview.go_on()
    return redirect(url_for("customer.following"), 303)
