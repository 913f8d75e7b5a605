"""What other rules would have told past callers, whom to ring first: ``advisor rules impact``.

Every case in the casebook is decided under the new rules, with the kits and prices of its own day. Whether an
assumption matters is not compared, only what was decided and why. Buyers come first whose clutch fails a safety must
under the new rules, with the day and what to say; --people adds name and phone. With --withdrawn the rules stay, and a
kit goes that its maker takes back.

example:
  advisor rules impact
  advisor rules impact --draft light-pedal --people
  advisor rules impact --rules other/rules --since 2026-01-01 --out calls.csv
  advisor rules impact --withdrawn dunmere-240-s5
  advisor rules impact --rules other/rules --case 17
"""

import json
import shlex
import sys
import textwrap
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ..deciding.outcomes import IN_WORDS
from ..errors import InputError
from . import opening, rules_calls
from .progress import Progress

if TYPE_CHECKING:
    from ..casebook.book import Casebook
    from ..casebook.impact import Impact
    from ..casebook.impact_result import Result
    from ..knowledge.model import Knowledge
    from ..knowledge.sources import Sources

SHOWN = 10


def add_impact(subparsers: Any) -> ArgumentParser:
    """The action ``impact`` of the command ``rules``."""
    about, _, example = __doc__.partition("\n\nexample")
    subparser = subparsers.add_parser(
        "impact", help="what other rules would have told past callers", description=about, epilog=f"example{example}"
    )
    new = subparser.add_mutually_exclusive_group()
    new.add_argument("--rules", metavar="FOLDER", help="the new rules; default are those in force")
    new.add_argument("--draft", metavar="NAME", help="the new rules: a draft of the shop")
    new.add_argument("--withdrawn", metavar="KIT", help="no new rules: a kit that its maker withdraws")
    subparser.add_argument("--case", metavar="ID", help="only this case, both derivations in full")
    subparser.add_argument("--out", metavar="FILE", help="the lists as a file: .csv, .html or .pdf")
    subparser.add_argument(
        "--details", action="store_true", help=f"both decisions side by side, of the first {SHOWN} that differ"
    )
    add_running(subparser)
    opening.add_replace(subparser)
    opening.add_output(subparser)
    subparser.add_argument("--shop", metavar="FOLDER", help="the shop: a folder with shop.toml")
    subparser.set_defaults(act=run_impact)
    return subparser


def add_running(subparser: ArgumentParser) -> None:
    """Options of whatever goes through the casebook."""
    subparser.add_argument("--since", metavar="DATE", help="only cases begun on or after this day, as 2026-01-31")
    subparser.add_argument("--casebook", metavar="FILE", help="the casebook; default is the one in your data folder")
    subparser.add_argument("--all", action="store_true", help=f"every case, not only the first {SHOWN} of a list")
    subparser.add_argument("--people", action="store_true", help="with the callers' names and phone numbers")
    subparser.add_argument("--fresh", action="store_true", help="start over instead of going on from an earlier run")
    subparser.add_argument("--processes", type=int, metavar="COUNT", help="how many to work with; default is all cores")


def run_impact(arguments: Namespace) -> int:
    """The exit code: 0 when every case was looked at, whatever came of it; 130 when stopped."""
    from ..knowledge import load

    rules_calls.may_write(arguments)
    if arguments.withdrawn:
        if arguments.case:
            raise InputError("a withdrawn kit is about every case.", remedy="Leave --case out.")
        return rules_calls.run_withdrawn(arguments)
    sources = _sources(arguments)
    if not arguments.case:
        return impact_of(arguments, sources, None, _called(arguments))
    knowledge = load.knowledge(sources.rules, sources.house)
    with opening.book_of(arguments, write=False) as book:
        return _one(arguments, book, knowledge)


def _sources(arguments):
    if not arguments.draft:
        return opening.sources_of(arguments)
    from ..versions import drafts
    from .shop_rules import shop_folder

    draft = drafts.named(shop_folder(arguments), arguments.draft)
    return opening.sources_of(arguments).with_own_rules(draft.folder)


def _called(arguments):
    if arguments.draft:
        return f"draft {arguments.draft}"
    return f"the rules in {arguments.rules}" if arguments.rules else "the rules in force"


def impact_of(arguments: Namespace, sources: "Sources", knowledge: "Knowledge | None", called: str) -> int:
    """Run over the casebook and show what comes of it; ``called``: what the new rules are called."""
    from ..casebook import impact
    from ..casebook.kept_files import Files
    from ..knowledge import load
    from .case_lists import day

    files = Files.of(sources)
    knowledge = knowledge or load.knowledge(sources.rules, sources.house)
    files.unchanged_in(sources)
    with opening.book_of(arguments, write=False) as book:
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
            lists = rules_calls.lists_of(book, impact_found, knowledge, arguments)
            if rules_calls.deliver(lists, arguments, called):
                return 0
            if getattr(arguments, "json", False):
                if arguments.details:
                    for _ in _in_full(impact_found, book, knowledge, arguments):
                        pass  # they stand among the results then
                summary = impact_found.summary() | {
                    "results": [result.plain() for result in impact_found.state.results()],
                    "lists": lists.data(),
                }
                opening.say_json(json.dumps(summary, sort_keys=True, ensure_ascii=False))
            else:
                _say(impact_found, lists, book, knowledge, arguments, called)
        finally:
            impact_found.state.close()
    return 0


def say_impact_of(arguments: Namespace, sources: "Sources", knowledge: "Knowledge", draft: str) -> None:
    """What a draft would have told past callers; that there are none where no casebook is there yet."""
    from ..casebook import places
    from ..casebook.store import default_path

    place = opening.casebook_of(arguments) or default_path()
    if not places.may_be_there(place):
        opening.say(f"No case was kept yet ({place}): nothing to hold the draft against.")
        return
    impact_of(Namespace(**{**vars(arguments), "draft": draft}), sources, knowledge, f"draft {draft}")


def _in_full(
    impact_found: "Impact", book: "Casebook", knowledge: "Knowledge", arguments: Namespace
) -> "Iterator[Result]":
    """The first results that come out otherwise, or all of them, with both decisions in full."""
    from ..casebook.impact_work import Worker

    with Worker(book.store.place, knowledge) as worker:
        for result in impact_found.state.otherwise(-1 if arguments.all else SHOWN):
            yield impact_found.in_full(worker, result)


def _say(
    impact_found: "Impact",
    lists: "rules_calls.Lists",
    book: "Casebook",
    knowledge: "Knowledge",
    arguments: Namespace,
    called: str,
) -> None:
    from ..casebook.impact_result import CLASSES, LOST
    from ..knowledge.sentences import count, wrap

    width = opening.width()
    limit = None if arguments.all else SHOWN
    rules_calls.say(lists, width, limit, people=arguments.people)
    summary = impact_found.summary()
    since = f" kept since {arguments.since}" if arguments.since else ""
    opening.say("")
    opening.say(
        wrap(
            f"{count(summary['cases'], 'case')}{since}, each with the kits and prices of its day, under {called}.",
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
    for name in CLASSES:
        counts = summary["classes"].get(name)
        opening.say(wrap(f"{name}{_aside(counts)}", width, f"{counts['cases'] if counts else 0:7d}  ", "         "))
    ways = ways_line(summary)
    if ways:
        opening.say("\n" + wrap(ways, width, "", "  "))
    head, *changed = changed_lines(summary, knowledge.replaced)
    opening.say("\n" + wrap(head, width, "", "  "))
    for line in changed:
        opening.say(wrap(line.strip(), width, "  ", "    "))
    for result in impact_found.state.results((LOST,), -1 if arguments.all else SHOWN):
        opening.say(wrap(f"case {book.called(result.number)} cannot be replayed: {result.why}", width, "", "  "))
    if getattr(arguments, "details", False):
        _say_details(impact_found, book, knowledge, arguments, width)
    elif lists.otherwise:
        opening.say(
            wrap(
                f"Both decisions side by side: advisor rules impact{_asked_as(arguments)} --details, or --case ID.",
                width,
            )
        )


def _asked_as(arguments):
    """The option that names the new rules, with what stands behind it; "" for those in force."""
    for option in ("draft", "rules"):
        if getattr(arguments, option, None):
            return f" --{option} {shlex.quote(str(getattr(arguments, option)))}"
    return ""


def _say_details(impact_found, book, knowledge, arguments, width):
    from ..knowledge.sentences import wrap

    for result in _in_full(impact_found, book, knowledge, arguments):
        if result.sides is None:
            opening.say(
                "\n" + wrap(f"case {book.called(result.number)} cannot be replayed: {result.why}", width, "", "  ")
            )
        else:
            opening.say("\n" + side_by_side(result, book.called(result.number), knowledge, arguments.units, width))
    if not arguments.all and impact_found.state.count_otherwise() > SHOWN:
        opening.say("\nThere are more; see them with --all.")


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


def ways_line(summary: Mapping[str, Any]) -> str:
    """How the cases that come out otherwise were worked out, "" where there is none."""
    from ..casebook.impact_result import ENGINES

    ways = summary["worked_out"]["otherwise"]
    otherwise, in_full = sum(ways.values()), ways.get(ENGINES, 0)
    if not otherwise:
        return ""
    if in_full == otherwise:
        return f"What comes out otherwise, {otherwise} in all, was decided in full and by both engines."
    return (
        f"What comes out otherwise, {otherwise} in all, was worked out by the bulk evaluator; {in_full} of them were"
        " decided in full as well, and both engines told the same. Whatever is shown side by side is decided in full."
    )


def changed_lines(summary: Mapping[str, Any], replaced: Mapping[str, str] | None = None) -> list[str]:
    """What was changed and where it came into play; never that nothing came of what was never exercised.

    ``replaced``: house rule -> the shipped one in whose place it stands: the two are one change.
    """
    from ..knowledge.sentences import count

    there = {rule_change["id"] for rule_change in summary["changes"]}
    place_of = {by: of for by, of in (replaced or {}).items() if by in there and of in there}
    rule_changes = [each for each in summary["changes"] if each["id"] not in place_of.values()]
    if not rule_changes:
        return ["The new rules say the same as those the cases were decided with: there is nothing to compare."]
    played = sum(1 for each in rule_changes if each["cases"])
    lines = [f"Entries of the rules that differ: {len(rule_changes)}; of these came into play in some case: {played}."]
    if not played:
        never = (
            f"Entries of the rules that differ: {len(rule_changes)}, and none came into play in any of these cases. "
            "They say nothing about what the change does: try it on cases it is meant for."
        )
        lines = [never]
    for rule_change in rule_changes:
        cases = rule_change["cases"]
        play_text = f"came into play in {count(cases, 'case')}" if cases else "in no case, not exercised"
        of = place_of.get(rule_change["id"])
        how = f"in the place of {of}" if of else rule_change["how"]
        lines.append(f"  {rule_change['kind']} {rule_change['id']} ({how}): {play_text}")
    return lines


def side_by_side(
    result: "Result",
    called: str,
    knowledge: "Knowledge",
    system: str,
    width: int,
    full: Mapping[str, Any] | None = None,
) -> str:
    """Both decisions of one result in two columns: as told, and under the new rules; ``called``: the case."""
    from ..knowledge.wording import Wording

    wording = Wording(knowledge, system)
    old, new, differs = ((result.sides or {})[name] for name in ("old", "new", "difference"))
    rows: list[tuple[str, ...]] = [(f"Case {called}, as told", f"Under the new rules: {result.kind}")]
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
        return IN_WORDS[side["outcome"]] + more
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
    from ..casebook.impact_result import Result
    from ..casebook.impact_sides import brief
    from ..casebook.impact_work import Worker

    number = book.number_of(arguments.case)
    with Worker(book.store.place, knowledge) as worker:
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
    opening.say(side_by_side(result, book.called(number), knowledge, arguments.units, opening.width(), full))
    return 0
