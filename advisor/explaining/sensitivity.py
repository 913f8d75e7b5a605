"""How near the edge the pick stands: how far the engine can grow, and which answer moves the margin most."""

import dataclasses
from typing import Any

from ..deciding.assumptions import replaced
from ..deciding.decide import Decider
from ..deciding.smallest_changes import can_change, changed
from ..deciding.verdicts import FAIL, UNKNOWN
from ..knowledge.case_model import Case
from ..knowledge.sentences import capital, sentence
from .layout import block, table, title_lines
from .trade_words import PlainWords
from .worded import WordedRecord

#: The answer by which an engine is made to grow, the torque that comes of it, and the figure called the margin.
GROWTH, DEMAND, MARGIN = "torque_growth_percent", "demand_torque", "holding_margin"
#: Steps of growth, in per cent of the engine's torque.
STEP = 0.1
#: A number somebody answered is tried this share to both sides.
AROUND = 0.05
SHOWN = 6
#: Coarse samples along the growth before halving.
SAMPLES = 24


def sensitivity(worded: WordedRecord, decider: Decider, case: Case) -> dict[str, Any] | None:
    """{growth: {...} or None, margin: {...} or None, sentences} of a recommended case; None where there is no pick."""
    if worded.pick is None:
        return None
    platform, known = decider.gather(case)
    data = {
        "growth": _growth(worded, decider, case, platform, known),
        "margin": _margin(worded, decider, case, platform, known),
    }
    data["sentences"] = _sentences(worded, data)
    return data


class _Growing:
    """The case with the engine grown by steps of `STEP` per cent of what it makes now, decided in batches."""

    def __init__(self, worded: WordedRecord, decider: Decider, case: Case, platform, known) -> None:
        self.worded, self.decider, self.case, self.platform, self.known = worded, decider, case, platform, known
        fact = decider.knowledge.facts[GROWTH]
        self.start = known.facts.get(GROWTH, 0.0)
        self.last = int((fact.high - self.start) / STEP + 1e-6)
        self.seen: dict[int, tuple[str | None, bool, float, list[str]]] = {}

    def percent(self, step):
        """The growth answered at a step."""
        return float(f"{self.start + step * STEP:.9g}")

    def look(self, steps):
        """Decide new steps: step -> (pick, whether the pick of now passes, demand, musts it fails)."""
        steps = [step for step in dict.fromkeys(steps) if step not in self.seen]
        if not steps:
            return
        knowns = [
            dataclasses.replace(self.known, facts={**self.known.facts, GROWTH: self.percent(step)}) for step in steps
        ]
        batch = self.decider.batch.run(knowns, self.platform, ask_first=False)
        place = batch.kits.index[str(self.worded.pick)]
        demand = batch.derived.fact(DEMAND)[0]
        for row, (step, pick) in enumerate(zip(steps, batch.picked_ids)):
            failed = sorted(
                (not check.requirement.safety, check.requirement.id)
                for check in batch.checks
                if check.requirement.level == "must" and check.status[row, place] in (FAIL, UNKNOWN)
            )
            self.seen[step] = (pick, bool(batch.passes[row, place]), float(demand[row]), [name for _, name in failed])

    def first(self, ended):
        """The first step at which ``ended(seen)`` holds, or None: coarse samples, then halving."""
        if self.last < 1:
            return None
        self.look([0, *sorted({max(1, round(self.last ** (place / (SAMPLES - 1)))) for place in range(SAMPLES)})])
        high = min((step for step, seen in self.seen.items() if ended(seen)), default=None)
        if high is None:
            return None
        low = max((step for step in self.seen if step < high), default=0)
        while high - low > 1:
            parts = sorted({low + (high - low) * part // 8 for part in range(1, 8)} - {low, high})
            self.look(parts)
            for step in [*parts, high]:
                if ended(self.seen[step]):
                    high = step
                    break
                low = step
        return high


def _growth(worded: WordedRecord, decider: Decider, case: Case, platform, known):
    """How far the engine may grow, {good_until, then, holds_until, fails}; None where it cannot be told."""
    if GROWTH not in decider.knowledge.facts or worded.record.value(DEMAND) is None:
        return None
    growing = _Growing(worded, decider, case, platform, known)
    changes = growing.first(lambda seen: seen[0] != worded.pick)
    fails = growing.first(lambda seen: not seen[1])
    growth_data = {
        "step_percent": STEP,
        "now": worded.record.value(DEMAND),
        "limit_percent": growing.percent(growing.last),
    }
    for name, step in (("good_until", changes), ("holds_until", fails)):
        growth_data[name] = None if step is None else _stand(growing, step)
    growth_data["then"] = None if changes is None else growing.seen[changes][0]
    growth_data["fails"] = [] if fails is None else growing.seen[fails][3]
    return growth_data


def _stand(growing, step):
    """The last step before ``step``: {growth_percent, torque, more_percent}, and the torque at ``step`` itself."""
    growing.look([step - 1])
    torque, now = growing.seen[step - 1][2], growing.seen[0][2]
    return {
        "growth_percent": growing.percent(step - 1),
        "torque": torque,
        "beyond": growing.seen[step][2],
        "more_percent": float(f"{100 * (torque / now - 1):.6g}"),
    }


def _margin(worded: WordedRecord, decider: Decider, case: Case, platform, known):
    """Each assumption and answer alone: {now, moves: [{fact, origin, present, tried, low, high}]}, widest first."""
    now = worded.record.figure(worded.picked, MARGIN)
    if now is None:
        return None
    tried = [
        (assumption.fact, value, "assumed", replaced(known, assumption.fact, value))
        for assumption in known.assumptions
        for value in assumption.alternatives
    ]
    for name, fact in decider.knowledge.facts.items():
        if fact.source != "asked" or name not in known.answered:
            continue
        for value in _around(fact, known.facts[name]):
            tried.append((name, value, "answered", decider.variant_of(changed(case, {name: value}), platform)))
    if not tried:
        return {"now": now, "moves": []}
    batch = decider.batch.run([known for *_, known in tried], platform)
    column = batch.figures.column(MARGIN)
    moves: dict[str, dict[str, Any]] = {}
    for row, (name, value, origin, _) in enumerate(tried):
        margin = column.number(row, batch.kits.index[worded.pick]) if worded.pick in batch.kits.index else None
        if margin is not None and margin != now:
            move = moves.setdefault(name, {"fact": name, "origin": origin, "present": known.facts[name], "tried": []})
            move["tried"].append({"value": value, "margin": float(margin)})
    for move in moves.values():
        margins = [now, *(trial["margin"] for trial in move["tried"])]
        move["low"], move["high"] = min(margins), max(margins)
    return {"now": now, "moves": sorted(moves.values(), key=lambda move: (move["low"] - move["high"], move["fact"]))}


def _around(fact, value):
    """Other values worth trying: a little to both sides of a number, other choices where a change may be offered."""
    if fact.kind == "number" and not fact.choices:
        sides = [value * (1 - AROUND), value * (1 + AROUND)]
        return [float(f"{side:.9g}") for side in sides if side != value and fact.low <= side <= fact.high]
    if not can_change(fact):
        return []
    return [not value] if fact.kind == "flag" else [choice for choice in fact.choices if choice != value]


def _sentences(worded: WordedRecord, data):
    wording, said, growth = worded.wording, [], data["growth"]
    if growth:
        good = growth["good_until"]
        if good is None:
            said.append(sentence(f"Good for any growth up to {wording.number(growth['limit_percent'], '%')}"))
        else:
            said.append(
                sentence(
                    f"Good until {wording.down(DEMAND, good['torque'])} at the clutch, "
                    f"{_percent(good['more_percent'])} more than planned now"
                )
            )
            said.append(
                sentence(f"Beyond that the pick is {wording.title(growth['then'])}")
                if growth["then"]
                else "Beyond that no kit on file fits."
            )
        holds = growth["holds_until"]
        if holds is not None and (good is None or holds["torque"] > good["torque"]):
            said.append(sentence(f"It passes every must until {wording.down(DEMAND, holds['torque'])}"))
        if holds is not None and growth["fails"]:
            labels = (
                wording.label(worded.requirements[growth["fails"][0]].measure)
                if growth["fails"][0] in worded.requirements
                else growth["fails"][0].replace("-", " ")
            )
            said.append(sentence(f"What ends it: {labels}"))
    margin = data["margin"]
    if margin and margin["moves"]:
        move = margin["moves"][0]
        said.append(sentence(f"What moves the margin most: {wording.label(move['fact'])}"))
    return said


def _percent(value):
    return f"{value:.1f} %" if value < 10 else f"{value:.0f} %"


def sensitivity_lines(
    worded: WordedRecord, data: dict[str, Any] | None, width: int = 80, plain: PlainWords | None = None
) -> list[str]:
    """The data of `sensitivity` as lines."""
    if data is None:
        return []
    lines = block("How near the edge", [" ".join(data["sentences"])], width)
    if plain:
        lines += block("", plain.after(data["sentences"]), width)[2:]
    margin = data["margin"]
    if margin and margin["moves"]:
        rows = [
            [
                capital(worded.wording.label(move["fact"])),
                worded.wording.value(move["fact"], move["present"]),
                ", ".join(worded.wording.value(move["fact"], trial["value"]) for trial in move["tried"]),
                worded.wording.written(f"{move['low']:.2f} to {move['high']:.2f} times"),
            ]
            for move in margin["moves"][:SHOWN]
        ]
        title = (
            f"Torque held over torque required, now {worded.wording.value(MARGIN, margin['now'])}, with other answers"
        )
        lines += ["", *title_lines(title, width), *table(["answer", "now", "tried", "held"], rows, width)]
    return lines
