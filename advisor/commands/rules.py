"""Checks and reads the rules.

  check     everything known to be wrong: as written, in the tests beside the rules, in cases with what must come out
  silent    why a rule did not fire for a case, and the least that would have to change
  cases     new cases that try rules, for a lead to confirm
  list      every rule in one line
  show ID   one rule: when it fires, what it does, why, and on what basis
  book      every rule, what feeds what and who wrote it, to read or print: Markdown, HTML, PDF
  impact    whom to ring, and what other rules would have told past callers
  draft     begin a draft of the house rules, or work on one
  compare   what differs between two versions or drafts, in words
  try       check a draft, and see what it would have told past callers
  adopt     make a draft the next version, by a lead and with a reason
  to-sign   what the next version will be, for a lead to sign on his own machine
  history   the versions, who adopted them, when and why
  back      go back to an earlier version

example:
  advisor rules check
  advisor rules list --topic thrust
  advisor rules show thrust-load-known
  advisor rules book --out rules.md
  advisor rules book --out rules.html --units trade
  advisor rules draft light-pedal --change pedal-light
  advisor rules adopt light-pedal --by "The Lead" --why "150 N was found heavy"
  advisor rules to-sign light-pedal --to version.to-sign
  advisor rules adopt light-pedal --signature version.signed
"""

from argparse import ArgumentParser, Namespace

from ..errors import InputError
from ..knowledge.model import STAGES
from . import opening, rules_cases, rules_check, rules_desk, rules_impact, rules_silent

_STAGE_WORDS = {"consistency": "contradictions", "case": "case", "setup": "set-up"}


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    rules_check.add_check(actions)
    rules_silent.add_silent(actions)
    rules_cases.add_cases(actions)
    listing = actions.add_parser("list", help="every rule in one line")
    listing.add_argument("--topic", help="only rules of this topic")
    listing.add_argument("--stage", choices=STAGES, help="only rules of this stage")
    listing.set_defaults(act=run_list)
    show = actions.add_parser("show", help="one rule")
    show.add_argument("id", metavar="ID", help="the rule's id")
    show.set_defaults(act=run_show)
    book = actions.add_parser("book", help="every rule in one file")
    book.add_argument("--out", required=True, metavar="FILE", help="the file, .md, .html or .pdf")
    book.add_argument("--paper", choices=("a4", "letter"), default="a4", help="paper to print on (default a4)")
    opening.add_replace(book)
    book.set_defaults(act=run_book)
    for subparser in (listing, show, book):
        opening.add_output(subparser, json=subparser in (listing, show))
        opening.add_sources(subparser)
    rules_desk.add_desk(actions)
    rules_impact.add_impact(actions)


def run(arguments: Namespace) -> int:
    """The exit code: 0, or 5 where the rules are invalid."""
    return arguments.act(arguments)


def _chosen(arguments, knowledge):
    topics = sorted({rule.topic for rule in knowledge.rules})
    if arguments.topic and arguments.topic not in topics:
        raise InputError(
            f"there is no topic {arguments.topic!r}.", value=arguments.topic, remedy=f"Topics: {', '.join(topics)}."
        )
    return [
        rule
        for rule in knowledge.rules
        if arguments.topic in (None, rule.topic) and arguments.stage in (None, rule.stage)
    ]


def run_list(arguments: Namespace) -> int:
    """Rules by stage and topic."""
    rules = _chosen(arguments, opening.open_content(arguments).knowledge)
    if arguments.json:
        import json

        rows = [
            {"id": rule.id, "stage": rule.stage, "topic": rule.topic, "title": rule.title, "basis": rule.basis.kind}
            for rule in rules
        ]
        opening.say_json(json.dumps(rows, indent=2, sort_keys=True, ensure_ascii=False))
        return 0
    from ..knowledge.sentences import wrap

    heading = None
    for rule in sorted(rules, key=lambda rule: (rule.stage, rule.topic, rule.id)):
        if heading != (rule.stage, rule.topic):
            heading = (rule.stage, rule.topic)
            opening.say(f"\n{rule.topic.replace('_', ' ')} ({_STAGE_WORDS[rule.stage]})")
        opening.say(wrap(f"{rule.id}: {rule.title}", opening.width(), "  ", "      "))
    return 0


def run_book(arguments: Namespace) -> int:
    """Every rule as one file, its form by the end of its name."""
    from ..knowledge import disk, shop as shops
    from ..reporting.sheets.rule_book import FORMATS, book_as, rule_book

    form = arguments.out.rpartition(".")[2].lower()
    if form not in FORMATS:
        raise InputError(
            f"{arguments.out} names no form of the book.", value=arguments.out, remedy="End it in .md, .html or .pdf."
        )
    disk.may_write(arguments.out, inputs=opening.read_from(arguments), replace=arguments.replace)
    content = opening.open_content(arguments)
    folder = None if arguments.rules else shops.find(arguments.shop)
    listed, since = _versions(folder)
    about = f"{content.shop.name}, " if content.shop else ""
    document = rule_book(
        content.knowledge,
        arguments.units,
        of=f"{about}{content.knowledge.edition}." if content.knowledge.edition else "",
        versions=listed,
        since=since,
        pictures=form != "md",
    )
    body = book_as(document, form, arguments.paper)
    disk.deliver(arguments.out, body, replace=arguments.replace)
    return 0


def _versions(folder):
    """(the versions of a shop's own rules, rule -> the version that wrote it); nothing where there are none."""
    if folder is None:
        return (), {}
    from ..versions import authorship
    from ..versions.history import History

    with History(folder) as history:
        versions = history.versions()
        return authorship.written(versions), authorship.since(history, versions)


def run_show(arguments: Namespace) -> int:
    """One rule in words."""
    from ..reporting.screens.rulebook import rule_as_data, rule_as_text

    knowledge = opening.open_content(arguments).knowledge
    rules = {rule.id: rule for rule in knowledge.rules}
    if arguments.id not in rules:
        from ..knowledge.near import nearest_are

        raise InputError(
            f"there is no rule {arguments.id!r}.",
            value=arguments.id,
            remedy=nearest_are(arguments.id, rules, "See advisor rules list."),
        )
    rule = rules[arguments.id]
    if arguments.json:
        import json

        opening.say_json(json.dumps(rule_as_data(rule), indent=2, sort_keys=True, ensure_ascii=False))
    else:
        opening.say(rule_as_text(rule, knowledge, arguments.units, opening.width()))
    return 0
