"""The decision record: the one data structure from which everything shown to anyone is rendered.

Same answers and same knowledge give the same bytes, ``made_by`` aside.
"""

import datetime
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from .. import __version__
from . import reasons
from .around import Around
from .around_part import around_part
from .case_part import case_part
from .cautions import told_cautions
from .clashing import contradictions
from .conflicts import minimal_conflicts, minimal_corrections
from .decide import Decision
from .decision_record import SCHEMA, DecisionRecord
from .derivation_part import facts_and_firings
from .judging import FIT_TOPICS
from .kits_part import by_id, kit_entry, requirement_entry, stand_in_entry
from .limits import plain
from .neighbours import near_equals, next_down, next_up
from .outcomes import MORE_ANSWERS, NO_KIT
from .settling_estimates import Settles
from .verdicts import FAIL, UNKNOWN

if TYPE_CHECKING:
    from .answers import Assumption

NOTHING_AROUND = Around()


def record(
    decision: Decision,
    assumptions: "Iterable[tuple[Assumption, bool]]",
    changes: Sequence[Mapping[str, Any]] = (),
    around: Around = NOTHING_AROUND,
    settled: Mapping[str, Settles] | None = None,
) -> DecisionRecord:
    """The `DecisionRecord` of a Decision.

    ``assumptions``: pairs (Assumption, matters); ``changes``: smallest changes of answers, for no_kit_fits;
    ``around``: the `Around` of the decision; ``settled``: what estimates of the pick settle, by field.
    """
    judged = decision.figures is not None
    of_kits = decision.stand_ins if judged else {}
    data = {
        "schema": SCHEMA,
        "case": _case(decision),
        "outcome": decision.outcome,
        "pick": reasons.pick(decision),
        "next_down": reasons.down(decision, next_down(decision)),
        "next_up": reasons.up(decision, next_up(decision)),
        "near_equals": [reasons.near(decision, index) for index in near_equals(decision)],
        "specification": _specification(decision),
        "requirements": [requirement_entry(decision, checked) for checked in sorted(decision.checks, key=by_id)],
        "kits": [
            kit_entry(decision, index, of_kits.get(index, ()), settled if index == decision.pick else None)
            for index in range(len(decision.kits))
        ]
        if judged
        else [],
        "setup": _setup(decision),
        "cautions": _cautions(decision),
        "assumptions": [_assumption(assumption, matters) for assumption, matters in assumptions],
        **around_part(decision, around),
        "denials": [
            {"fact": denial.fact, "answer": denial.answer, "platform": denial.platform}
            for denial in decision.known.denials
        ],
        "contradictions": contradictions(decision),
        "asks": list(decision.asks),
        "ask_maker": [{"kit": kit, "field": name} for kit, name in decision.ask_maker],
        "not_on_file": list(decision.not_on_file),
        "stand_ins": [stand_in_entry(stand_in) for stand_in in decision.stand_ins_of_car] if judged else [],
        "no_fit": _no_fit(decision, changes),
        "records": {},
        "limits": _limits(decision),
        "facts": [],
        "firings": [],
        "knowledge": {"rules_sha256": decision.knowledge.sha256, **decision.shop.hashes},
        **_shop(decision),
        "made_by": {
            "program": __version__,
            "engines_agreed": decision.engines_agreed,
            "date": datetime.date.today().isoformat(),
        },
    }
    data["records"] = _records(decision, data)
    data["facts"], data["firings"] = facts_and_firings(decision)
    return DecisionRecord(data)


def _shop(decision):
    """Whose records it was made from, and the rules; nothing where the knowledge is older than that."""
    about = decision.shop.about
    if about is None:
        return {}
    rules = decision.knowledge.edition or f"rules {decision.knowledge.sha256[:12]}"
    return {"shop": {"name": about.name, "invented": about.invented, "rules_version": rules}}


def to_json(record: DecisionRecord) -> str:
    """A `DecisionRecord` as text: sorted keys, two-space indent, a final newline."""
    return json.dumps(record.data, sort_keys=True, indent=2, ensure_ascii=False) + "\n"


def _records(decision, data):
    """The car, the pick and the kits next to it as they are on file, by id: what is shown of them can be traced."""
    named = {data[part]["kit"] for part in ("pick", "next_down", "next_up") if data[part]}
    named |= {near_equal["kit"] for near_equal in data["near_equals"]}
    named |= {end["kit"] or end["best"] for end in _ends(data)}
    named |= {wish["without"]["kit"] for wish in data["wishes"]} | {
        near_miss["beside"]["kit"] for near_miss in data["near_misses"]
    }
    named |= {close_call["becomes"] for close_call in data["close_calls"]}
    records = [kit for kit in decision.kits.kits if kit.id in named]
    if decision.platform is not None:
        records.append(decision.platform)
    return {
        record.id: {name: plain(value) for name, value in sorted(record.fields.items())}
        for record in sorted(records, key=lambda record: record.id)
    }


def _ends(ends_data):
    return [ends_data["span"][end] for end in ("gentle_end", "careful_end")] if ends_data["span"] else []


def _limits(decision):
    """What a fitter measures against where the makers say nothing else; nothing where there is nothing to fit."""
    if decision.pick is None:
        return {}
    return {
        name: {
            "low": workshop_limit.low,
            "high": workshop_limit.high,
            "unit": workshop_limit.unit,
            "why": workshop_limit.why,
        }
        for name, workshop_limit in sorted(decision.knowledge.workshop.items())
    }


def _case(decision):
    on_file = decision.platform
    return {**case_part(decision.case), "invented": bool(on_file is not None and on_file.fields.get("invented"))}


def _specification(decision):
    if decision.pick is None:
        return None
    fields = decision.kits.kits[decision.pick].fields
    return {
        "discs": fields.get("discs"),
        "facing": fields.get("facing"),
        "disc_form": fields.get("disc_form"),
        "hub": fields.get("hub"),
        "outer_diameter_mm": fields.get("outer_diameter"),
        "clamp_load_n": fields.get("clamp_load"),
    }


def _setup(decision):
    empty: dict[str, Any] = {"parts": [], "measurements": [], "steps": [], "bedding_in": [], "fitted_by": []}
    if decision.pick is None:
        return empty
    facts = decision.setup_derivations[decision.pick].facts
    kinds = {
        "part": "parts",
        "measurement": "measurements",
        "step": "steps",
        "bedding_in": "bedding_in",
        "fitted_by": "fitted_by",
    }
    for setup in decision.setups[decision.pick]:
        item = setup.item
        entry = {
            "id": item.id,
            "level": item.level,
            "text": decision.wording.fill(item.text, facts),
            "rule": setup.rule,
        }
        if item.kind == "part":
            fields = setup.record.fields if setup.record else {}
            entry |= {
                "kind": item.part,
                "part": setup.record.id if setup.record else None,
                "title": fields.get("title"),
                "price": fields.get("price"),
                "currency": fields.get("currency"),
                "stock": fields.get("stock"),
            } | ({"likely": True} if item.likely else {})
        if item.kind == "fitted_by":
            entry["who"] = item.who
        if item.in_short:
            entry["in_short"] = decision.wording.fill(item.in_short, facts)
        empty[kinds[item.kind]].append(entry)
    return empty


def _cautions(decision):
    return [
        {
            "id": caution_told.caution.id,
            "text": decision.wording.fill(caution_told.caution.text, caution_told.facts),
            "safety": caution_told.caution.safety,
            "audience": caution_told.caution.audience,
            "weight": caution_told.caution.weight,
            "rule": caution_told.rule,
            "stage": caution_told.stage,
        }
        for caution_told in told_cautions(decision)
    ]


def _assumption(assumption, matters):
    return {
        "fact": assumption.fact,
        "value": plain(assumption.value),
        "low": assumption.low,
        "high": assumption.high,
        "others": [plain(other) for other in assumption.alternatives],
        "worst": assumption.worst,
        "basis": assumption.basis,
        "matters": matters,
    }


def _no_fit(decision, changes):
    if decision.figures is None or decision.outcome not in (NO_KIT, MORE_ANSWERS):
        return None
    failing, safety = {}, set()
    for index, kit_id in enumerate(decision.kits.ids):
        if not decision.fits[0, index]:
            continue
        failing[kit_id] = {
            checked.requirement.id
            for checked in decision.checks
            if checked.requirement.level == "must" and checked.status[0, index] in (FAIL, UNKNOWN)
        }
    for checked in decision.checks:
        if checked.requirement.safety or decision.rules[checked.requirement.rule].topic in FIT_TOPICS:
            safety.add(checked.requirement.id)
    return {
        "kits_considered": len(failing),
        "conflicts": [sorted(minimal_conflict) for minimal_conflict in minimal_conflicts(failing.values())]
        if failing
        else [],
        "corrections": [
            {"give_up": list(given_up), "kits": list(kits)} for given_up, kits in minimal_corrections(failing, safety)
        ]
        # Nobody is told to give something up before what was taken at its worst has been asked.
        if not decision.ask_first
        else [],
        "changes": list(changes),
    }


__all__ = ["record", "to_json"]
