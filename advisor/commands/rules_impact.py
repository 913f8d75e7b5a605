"""What other rules would have told past callers: ``advisor rules impact``.

Every case in the casebook is decided under the new rules, with the kits and prices of its own day. Whether an
assumption matters is not compared, only what was decided and why.

example:
  advisor rules impact --rules draft/rules
  advisor rules impact --rules draft/rules --since 2026-01-01
  advisor rules impact --rules draft/rules --case 17
"""

import json
import sys
import textwrap
import time
from argparse import ArgumentParser, Namespace
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from . import opening

if TYPE_CHECKING:
    from ..casebook.impact_state import Result
    from ..knowledge.model import Knowledge

SHOWN = 10


def add_impact(subparsers: Any) -> ArgumentParser:
    """The action ``impact`` of the command ``rules``."""
    subparser = subparsers.add_parser(
        "impact", help="what other rules would have told past callers", description=__doc__.split("\n\nexample")[0]
    )
    subparser.add_argument("--rules", required=True, metavar="FOLDER", help="the new rules")
    subparser.add_argument("--since", metavar="DATE", help="only cases begun on or after this day, as 2026-01-31")
    subparser.add_argument("--case", metavar="ID", help="only this case, both derivations in full")
    subparser.add_argument("--casebook", metavar="FILE", help="the casebook; default is the one in your data folder")
    subparser.add_argument(
        "--all", action="store_true", help=f"show every case that comes out differently, not only the first {SHOWN}"
    )
    subparser.add_argument("--fresh", action="store_true", help="start over instead of going on from an earlier run")
    subparser.add_argument("--processes", type=int, metavar="COUNT", help="how many to work with; default is all cores")
    opening.add_output(subparser)
    subparser.set_defaults(act=run_impact)
    return subparser


def run_impact(arguments: Namespace) -> int:
    """The exit code: 0 when every case was looked at, whatever came of it; 130 when stopped."""
    from ..casebook import impact
    from ..casebook.book import Casebook
    from ..casebook.kept_files import Files
    from ..knowledge import load
    from .case import day

    sources = opening.sources_of(arguments)
    files = Files.of(sources)
    knowledge = load.knowledge(sources.rules, sources.house)
    files.unchanged_in(sources)
    with Casebook(opening.casebook_of(arguments), write=False) as book:
        if arguments.case:
            return _one(arguments, book, knowledge)
        try:
            impact_found = impact.run(
                book,
                knowledge,
                files,
                since=day(arguments.since),
                processes=arguments.processes,
                fresh=arguments.fresh,
                progress=Progress(),
            )
        except KeyboardInterrupt:
            sys.stderr.write("\nadvisor: stopped. The same command goes on from here.\n")
            return 130
        try:
            if arguments.json:
                summary = impact_found.summary() | {
                    "results": [result.plain() for result in impact_found.state.results()]
                }
                opening.say_json(json.dumps(summary, sort_keys=True, ensure_ascii=False))
            else:
                _say(impact_found, knowledge, arguments)
        finally:
            impact_found.state.close()
    return 0


class Progress:
    """Cases done on standard error: one line rewritten on a terminal, else a line now and then."""

    def __init__(self, every: float = 10.0) -> None:
        self.every, self.last, self.terminal = every, time.monotonic(), sys.stderr.isatty()

    def __call__(self, done: int, of: int, rate: float) -> None:
        """Called after every task."""
        text = f"{done} of {of} cases" + (f", {rate:.0f} a second" if rate else "")
        if self.terminal:
            sys.stderr.write(f"\r{text:<60}" + ("\n" if done == of else ""))
        elif done == of or time.monotonic() - self.last > self.every:
            self.last = time.monotonic()
            sys.stderr.write(f"{text}\n")
        sys.stderr.flush()


def _say(impact_found, knowledge, arguments):
    from ..casebook.impact_state import ASKS, CLASSES, LOST, NO_KIT, PICK, REASONS
    from ..knowledge.sentences import wrap

    width = opening.width()
    summary = impact_found.summary()
    since = f" kept since {arguments.since}" if arguments.since else ""
    opening.say(
        wrap(
            f"{summary['cases']} cases{since}, each with the kits and prices of its day, "
            f"under the rules in {arguments.rules}.",
            width,
        )
    )
    if summary["undecided"]:
        opening.say(wrap(f"{summary['undecided']} more were kept without a decision and are left out.", width))
    if summary["rule_sets"] > 1:
        opening.say(
            wrap(
                f"They were decided with {summary['rule_sets']} different sets of rules; "
                "each is compared with its own.",
                width,
            )
        )
    opening.say("")
    for name in CLASSES:
        opening.say(
            f"{summary['classes'].get(name, {}).get('cases', 0):7d}  {name}{_aside(summary['classes'].get(name))}"
        )
    opening.say("\n" + "\n".join(wrap(line, width, "", "  ") for line in changed_lines(summary)))
    for name in (LOST,):
        for result in impact_found.state.results((name,), -1 if arguments.all else SHOWN):
            opening.say(wrap(f"case {result.number} cannot be replayed: {result.why}", width, "", "  "))
    shown = 0
    for result in impact_found.state.results((PICK, NO_KIT, ASKS, REASONS)):
        if result.sides is None:
            continue
        if shown == SHOWN and not arguments.all:
            opening.say("\nThere are more; see them with --all.")
            break
        shown += 1
        opening.say("\n" + side_by_side(result, knowledge, arguments.units, width))
    if summary["classes"].get(REASONS):
        opening.say("\nThe reasons of a single case side by side: --case ID.")


def _aside(counts):
    """Price and margin differences of one class, in brackets."""
    if not counts:
        return ""
    asides = []
    price, margin = counts["price_difference"], counts["margin_difference"]
    if price and any(price.values()):
        asides.append(f"price {price['mean']:+,.2f} on average, {price['least']:+,.2f} to {price['most']:+,.2f}")
    if margin and any(margin.values()):
        asides.append(
            f"holding margin {margin['mean']:+.3f} on average, {margin['least']:+.3f} to {margin['most']:+.3f}"
        )
    if counts["other_set_up"]:
        asides.append(f"{counts['other_set_up']} with other parts, steps or safety cautions")
    if counts["program_alone"]:
        asides.append(
            f"{counts['program_alone']} of them with the rules as they were too: the program has changed since"
        )
    return f" ({'; '.join(asides)})" if asides else ""


def changed_lines(summary: Mapping[str, Any]) -> list[str]:
    """What was changed and where it came into play; never that nothing came of what was never exercised."""
    rule_changes = summary["changes"]
    if not rule_changes:
        return ["The new rules say the same as those the cases were decided with: there is nothing to compare."]
    played = summary["changed_rules_in_play"]
    lines = [f"Entries of the rules that differ: {len(rule_changes)}; of these came into play in some case: {played}."]
    if not played:
        never = (
            f"Entries of the rules that differ: {len(rule_changes)}, and none came into play in any of these cases. "
            "They say nothing about what the change does: try it on cases it is meant for."
        )
        lines = [never]
    for rule_change in rule_changes:
        play_text = f"came into play in {rule_change['cases']}" if rule_change["cases"] else "in no case, not exercised"
        lines.append(f"  {rule_change['kind']} {rule_change['id']} ({rule_change['how']}): {play_text}")
    return lines


def side_by_side(
    result: "Result", knowledge: "Knowledge", system: str, width: int, full: Mapping[str, Any] | None = None
) -> str:
    """Both decisions of one result in two columns: as told, and under the new rules."""
    from ..knowledge.wording import Wording

    wording = Wording(knowledge, system)
    old, new, differs = ((result.sides or {})[name] for name in ("old", "new", "difference"))
    rows: list[tuple[str, ...]] = [(f"Case {result.number}, as told", f"Under the new rules: {result.kind}")]
    rows += [(_decision(old, result.currency), _decision(new, result.currency))]
    rows += _both(old["because"], new["because"])
    for name, head in (("next_down", "one step down"), ("next_up", "one step up")):
        if name in differs:
            rows.append(tuple(f"{head}: {side or 'none'}" for side in differs[name]))
    for part in ("required", "safety_cautions", "asks", "items", "cautions"):
        both = differs.get(part)
        if both:
            head = part.replace("_", " ")
            rows.append(
                tuple(f"{head}: {', '.join(both[side])}" if both[side] else "" for side in ("only_old", "only_new"))
            )
    for part in ("requirements", "verdicts", "facts"):
        for name, pair in differs.get(part, {}).items():
            rows.append(tuple(_told(part, name, side, wording) for side in pair))
    firings = full if full is not None else differs.get("firings", {})
    for name, pair in firings.items():
        rows.append(tuple(_firing(name, side, wording) for side in pair))
    return columns(rows, width)


def _decision(side, currency):
    from ..knowledge.wording import money_text

    if side["pick"] is None:
        more = f": {', '.join(side['asks'])}" if side["asks"] else ""
        return side["outcome"].replace("_", " ") + more
    price = money_text(side["price"], currency) if side["price"] is not None else "price not known"
    margin = f", holding margin {side['margin']:.3f}" if side["margin"] is not None else ""
    return f"{side['pick']}, {price}{margin}"


def _both(old, new):
    longest = max(len(old), len(new))
    return list(zip([*old, *[""] * (longest - len(old))], [*new, *[""] * (longest - len(new))]))


def _told(part, name, side, wording):
    if side is None:
        return f"{name}: none"
    if part == "requirements":
        needed = wording.needed(side["compare"], side["measure"], side["limit"])
        return f"{name}: {wording.label(side['measure'])} {needed} ({side['level']})"
    return f"{wording.label(name)}: {wording.value(name, side)}" if part == "facts" else f"{name}: {side}"


def _firing(name, fired, wording):
    if fired is None:
        return f"{name}: does not fire"
    gives = "; ".join(
        f"{wording.label(fact)} {wording.value(fact, value)}" for fact, value in fired["concluded"].items()
    )
    reads = "; ".join(f"{wording.label(fact)} {wording.value(fact, value)}" for fact, value in fired["facts"].items())
    return f"{name}: from {reads or 'nothing'}" + (f"; gives {gives}" if gives else "")


def columns(rows: Sequence[tuple[str, ...]], width: int) -> str:
    """Pairs of texts as two columns of equal width, wrapped."""
    half = (width - 3) // 2
    lines = []
    for left, right in rows:
        sides = [textwrap.wrap(" ".join(text.split()), half, subsequent_indent="  ") or [""] for text in (left, right)]
        for here, there in _both(*sides):
            lines.append(f"{here:<{half}} | {there}".rstrip())
        if (left, right) == rows[0]:
            lines.append(f"{'-' * half}-+-{'-' * half}")
    return "\n".join(lines)


def _one(arguments, book, knowledge):
    """One case: both derivations, every firing."""
    from ..casebook import stored_form
    from ..casebook.difference import difference, firings
    from ..casebook.impact_state import Result
    from ..casebook.impact_work import Worker, brief

    number = book.number_of(arguments.case)
    with Worker(book.store.path, knowledge) as worker:
        before, after = worker.both(number)
    sides = {"old": brief(before), "new": brief(after), "difference": difference(before, after)}
    if arguments.json:
        opening.say_json(json.dumps({"number": number, **sides}, sort_keys=True, ensure_ascii=False))
        return 0
    verdict_text = "the same" if stored_form.outcome(before) == stored_form.outcome(after) else "a change"
    decision = book.sold(number)
    result = Result(decision.digest, number, verdict_text, decision.body["currency"], sides=sides)
    old, new = firings(before), firings(after)
    full = {name: (old.get(name), new.get(name)) for name in [*old, *(name for name in new if name not in old)]}
    opening.say(side_by_side(result, knowledge, arguments.units, opening.width(), full))
    return 0
