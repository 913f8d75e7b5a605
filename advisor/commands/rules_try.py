"""Trying a draft of the rules: what it changes, what its check finds, what it would have told past callers."""

import dataclasses
import json
from argparse import Namespace
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import ErrorList
from . import opening, rules_check, rules_impact
from .shop_rules import content_of, in_force_text, knowledge_of, shop_folder

if TYPE_CHECKING:
    from ..knowledge.sources import Content, Sources
    from ..versions.compared import EntryChanged
    from ..versions.tried import Failure

#: Remarks shown before the rest is only counted.
SHOWN = 5


@dataclass(frozen=True, slots=True)
class Tried:
    """What a draft changes, what of its check fails and is remarked; its content, and where that was read."""

    changes: "list[EntryChanged]"
    failing: "list[Failure]"
    remarks: list[str]
    content: "Content"
    sources: "Sources"


def run_try(arguments: Namespace) -> int:
    """Check a draft, say what it changes and what it would have told past callers."""
    from ..knowledge.sentences import wrap
    from ..versions import drafts
    from ..versions.compared import lines
    from ..versions.history import History

    shop = shop_folder(arguments)
    draft = drafts.the_one(shop, arguments.name)
    with History(shop) as history:
        number, _, _ = drafts.standing(history)
        behind = drafts.behind(history, draft)
    trial = tried(arguments, draft.folder, quick=arguments.quick)
    if arguments.json:
        data = {
            "draft": draft.name,
            "from_version": draft.version,
            "in_force": number,
            "changes": [change.data() for change in trial.changes],
            "failures": [dataclasses.asdict(failure) for failure in trial.failing],
            "remarks": trial.remarks,
        }
        opening.say_json(json.dumps(data, sort_keys=True, ensure_ascii=False, indent=2))
        return 5 if trial.failing else 0
    width = opening.width()
    if behind is not None:
        opening.say(wrap(f"It cannot be adopted as it is: {behind.what} {behind.remedy}", width, "", "  "))
        if trial.changes:
            opening.say("Till then it looks as if the draft undid what was changed since.")
        opening.say("")
    opening.say(wrap(f"What draft {draft.name} changes in {in_force_text(shop)}:", width))
    if not trial.changes:
        opening.say("  nothing yet: no rule says anything else")
        opening.say(f"  its files:               {draft.folder}")
        opening.say(f"  take a shipped rule in:  advisor rules draft {draft.name} --change RULE")
    else:
        opening.say("\n".join(lines(trial.changes, width)))
    opening.say("")
    _say_checked(draft.name, trial)
    if not arguments.quick and trial.changes:
        opening.say("")
        rules_impact.say_impact_of(arguments, trial.sources, trial.content.knowledge, draft.name)
    return 5 if trial.failing else 0


def _say_checked(name, trial):
    from ..knowledge.sentences import wrap
    from ..versions.tried import bearing_on_safety

    width = opening.width()
    for remark in trial.remarks[:SHOWN]:
        opening.say(wrap(f"remark: {remark}", width, "", "  "))
    if len(trial.remarks) > SHOWN:
        opening.say(f"and {len(trial.remarks) - SHOWN} more remarks: advisor rules try {name} --json")
    for failure in trial.failing:
        how = "departs" if failure.departs else "fails"
        opening.say(wrap(f"{how} ({failure.name}): {failure.what}", width, "", "  "))
    broken = [failure for failure in trial.failing if not failure.departs]
    if not broken:
        opening.say("Checked: nothing fails.")
    if trial.failing and not broken:
        it = "it, by" if len(trial.failing) == 1 else "each, by"
        opening.say(wrap(f"It is adopted once a lead signs for {it} its name in brackets, with --accept.", width))
    elif broken and bearing_on_safety(trial.changes):
        opening.say("It cannot be adopted while a check fails: it changes what bears on safety.")
    elif broken:
        opening.say("It is adopted only once these are mended, or signed for one by one with --accept.")


def tried(arguments: Namespace, folder: Path, *, quick: bool = False) -> Tried:
    """`Tried` of a draft's folder; what cannot be read is an error."""
    from ..versions.compared import compared
    from ..versions.tried import failures

    in_force = opening.sources_of(arguments)
    sources = in_force.with_own_rules(folder)
    content = content_of(sources)
    changes = compared(knowledge_of(in_force), content.knowledge, arguments.units)
    findings = rules_check.check(content, sources, quick=quick)
    faults = [
        each for fault in findings.faults for each in (fault.errors if isinstance(fault, ErrorList) else (fault,))
    ]
    departing = failures(findings.departing, departs=True)
    if departing:
        # What the rules in force depart in was signed for when they were adopted.
        before = rules_check.Findings()
        if in_force.house is not None:
            rules_check.run_shipped_tests(content_of(in_force), in_force, before)
        departing = [failure for failure in departing if failure.what not in before.departing]
    stale = [str(remark.what) for remark in content.knowledge.remarks if remark.stale]
    failing = failures([*stale, *(f"{fault.what} {fault.remedy}".strip() for fault in faults)])
    failing += departing
    remarks = [remark for remark in findings.remarks if not any(text in remark for text in stale)]
    return Tried(changes, failing, remarks, content, sources)
