"""Cases that try every rule: ``advisor rules cases --new``.

For every rule the smallest caller who fires it, with the cars on file: no caller with fewer answers does, which is
proved. Beside him the nearest caller who does not, one answer away. Each becomes a case file that expects exactly that,
for a lead to read, to complete with what else should come of it, and to keep; `advisor rules check` then runs it. Rules
that a kept case names already are passed over.

example:
  advisor rules cases --new --out new-cases
  advisor rules cases --new --rule above-red-line --out new-cases
"""

import sys
from argparse import ArgumentParser, Namespace
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..errors import AdvisorError, InputError
from . import opening
from .rules_check import case_files

if TYPE_CHECKING:
    from ..deciding.decide import Decider
    from ..knowledge.model import Fact, Knowledge, Record, Rule
    from ..proving.callers import Caller
    from ..proving.smallest import RuleWitness


def add_cases(subparsers: Any) -> ArgumentParser:
    """The action ``cases`` of the command ``rules``."""
    subparser = subparsers.add_parser(
        "cases", help="new cases that try rules, for a lead to confirm", description=__doc__.split("\n\nexample")[0]
    )
    subparser.add_argument("--new", action="store_true", required=True, help="write cases for rules that have none")
    subparser.add_argument("--rule", metavar="RULE", action="append", help="only this rule; may be said again")
    subparser.add_argument("--out", metavar="FOLDER", required=True, help="the folder the cases go to")
    opening.add_replace(subparser)
    opening.add_output(subparser, json=False)
    opening.add_sources(subparser)
    subparser.set_defaults(act=run_cases)
    return subparser


def run_cases(arguments: Namespace) -> int:
    """The exit code: 0 when every rule was looked at."""
    from ..knowledge import disk
    from ..knowledge.sentences import count, wrap

    folder = Path(arguments.out)
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{arguments.out} is no folder.", value=arguments.out, remedy="Name a folder, or a new one.")
    decider = opening.open_decider(arguments)
    rules = _rules(arguments, decider.knowledge)
    texts: dict[str, str] = {}
    summary: dict[str, list[str]] = {}
    progress = _Progress(len(rules))
    for witness in _witnesses(decider, rules):
        progress.next()
        summary.setdefault(_kind(witness), []).append(witness.rule)
        texts.update(_case_texts(witness, decider))
    progress.done()
    for name in texts:
        disk.may_write(folder / name, replace=arguments.replace)
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        disk.deliver(folder / name, text, replace=arguments.replace)
    width = opening.width()
    opening.say(
        wrap(
            f"{count(len(texts), 'case')} in {arguments.out}, for {count(len(rules), 'rule')}, for a lead to confirm.",
            width,
        )
    )
    for kind in _KINDS:
        if names := summary.get(kind):
            listed = "" if kind in _KINDS[:2] else f": {', '.join(names)}"
            opening.say(wrap(f"{len(names):5d}  {kind}{listed}", width, "", "       "))
    return 0


def _rules(arguments: Namespace, knowledge: "Knowledge") -> "list[Rule]":
    """The rules asked for; else those of the stages before a kit that no kept case names."""
    from .rules_silent import rule_named

    if arguments.rule:
        chosen = [rule_named(name, knowledge) for name in dict.fromkeys(arguments.rule)]
        for rule in chosen:
            if rule.stage == "setup":
                raise InputError(
                    f"{rule.id} is a rule of set-up, which hangs on the kit and not on the caller alone.",
                    value=rule.id,
                    remedy="Name rules of the stages before; set-up is tried by the tests beside the rules.",
                )
        return chosen
    named = _named_already(opening.sources_of(arguments), knowledge)
    return [rule for rule in knowledge.rules if rule.stage != "setup" and rule.id not in named]


def _named_already(sources: Any, knowledge: "Knowledge") -> set[str]:
    from ..knowledge import cases

    named: set[str] = set()
    for path in case_files(sources):
        try:
            case = cases.case(path, knowledge)
        except AdvisorError:
            continue  # `rules check` tells it
        fires = (case.expect or {}).get("fires", ())
        named.update(fires if isinstance(fires, list) else ())
    return named


def _witnesses(decider: "Decider", rules: "Sequence[Rule]") -> "Iterable[RuleWitness]":
    from ..proving.searching import CallerSearch
    from ..proving.smallest import witnesses

    kits = {kit.id: kit for kit in decider.shop.kits}
    for stage in ("case", "consistency"):
        of_stage = [rule for rule in rules if rule.stage == stage]
        if of_stage:
            yield from witnesses(CallerSearch(decider.knowledge, stage), of_stage, decider.shop.platforms, kits)


_KINDS = (
    "smallest caller proved, and one answer away the rule is silent",
    "smallest caller proved; that none is silent one answer away is proved too",
    "smallest caller proved; whether one is silent one answer away is not settled",
    "a caller found; whether one with fewer answers fires it is not settled",
    "never fires with the cars on file: proved",
    "not settled: no caller found, and none proved impossible",
)


def _kind(witness: "RuleWitness") -> str:
    if witness.fires is None:
        return _KINDS[4] if witness.least else _KINDS[5]
    if not witness.least:
        return _KINDS[3]
    return _KINDS[0] if witness.silent is not None else _KINDS[1] if witness.none_near else _KINDS[2]


def _case_texts(witness: "RuleWitness", decider: "Decider") -> dict[str, str]:
    """File name -> text of the cases of one witness; each decided first, so that what is written is so."""
    texts = {}
    for word, caller in (("fires", witness.fires), ("silent", witness.silent)):
        if caller is None:
            continue
        text = case_text(witness, word, caller, decider)
        if text:
            texts[f"{witness.rule}-{word}.yaml"] = text
    return texts


def case_text(witness: "RuleWitness", word: str, caller: "Caller", decider: "Decider") -> str:
    """The case file of a caller; empty where the program does not decide him as the proof says."""
    from ..deciding.expectations import differences
    from ..interview.case_file import quoted
    from ..knowledge import cases

    knowledge = decider.knowledge
    platform = _car(caller, decider.shop.platforms, knowledge)
    about = {
        "fires": f"The smallest caller with whom {witness.rule} fires"
        + ("; no caller with fewer answers does, which is proved." if witness.least else "."),
        "silent": f"One answer away from the smallest caller with whom {witness.rule} fires, and it is silent.",
    }[word]
    lines = [f"case: {witness.rule}-{word}"]
    lines.append(f"platform: {platform or 'none'}")
    lines.append("answers:" if caller.answers else "answers: {}")
    lines += [f"  {name}: {quoted(as_written(knowledge.facts[name], value))}" for name, value in caller.answers.items()]
    lines += [f"note: {about}", "expect:", "  because: Read off the rules by a proof, and for a lead to confirm."]
    lines.append(f"  {word}: [{witness.rule}]")
    text = "\n".join(lines) + "\n"
    case = cases.case_text(text.encode(), knowledge)
    try:
        return "" if differences(decider.decide(case), case.expect or {}) else text
    except AdvisorError:
        return ""


def _car(caller: "Caller", platforms: "Iterable[Record]", knowledge: "Knowledge") -> str:
    """Id of the car on file whose record a caller has."""
    if caller.record is None:
        return ""
    places = {fact.platform for fact in knowledge.facts.values() if fact.source == "platform"}
    held = {place: value for place, value in caller.record.items() if place in places}
    for platform in platforms:
        if held == {place: value for place, value in platform.fields.items() if place in places}:
            return platform.id
    return ""


def as_written(fact: "Fact", value: Any) -> str:
    """A canonical value as a case file says it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        unit = fact.unit if fact.unit not in ("", "1") else ""
        return f"{value:.9g} {unit}".strip()
    return str(value)


class _Progress:
    """Rules done on standard error, where that is a terminal."""

    def __init__(self, of: int) -> None:
        self.of, self.count = of, 0

    def next(self) -> None:
        self.count += 1
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{self.count} of {self.of} rules")
            sys.stderr.flush()

    def done(self) -> None:
        if sys.stderr.isatty() and self.count:
            sys.stderr.write("\n")
