"""Changing the rules with a name: the actions that do, and of them drafts and what differs.

A shop's own rules are changed in a draft, a working copy in the shop's folder. It counts for nothing until a lead of
shop.toml adopts it, with a reason; then it is the next version. Versions are kept, each with who adopted it, when and
why, and any of them can be gone back to.
"""

import dataclasses
import json
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from . import opening, rules_adopt, rules_history, rules_impact, rules_sign, rules_try
from .shop_rules import in_force_text, knowledge_of, shop_folder

if TYPE_CHECKING:
    from ..knowledge.sources import Sources

_HELP = {
    "draft": "begin a draft of the house rules, or work on one",
    "compare": "what differs between two versions, in words",
    "try": "check a draft, and what it would have told past callers",
    "adopt": "make a draft the next version",
    "to-sign": "what the next version will be, for a lead to sign on his own machine",
    "history": "the versions, who adopted them, when and why",
    "back": "go back to an earlier version",
}


def add_desk(actions: Any) -> None:
    """The actions of the command ``rules`` that change them."""
    parsers = {name: actions.add_parser(name, help=text, description=text) for name, text in _HELP.items()}
    draft = parsers["draft"]
    draft.add_argument("name", nargs="?", metavar="NAME", help="the draft; without one, those there are are listed")
    draft.add_argument(
        "--change", action="append", default=[], metavar="RULE", help="take a shipped rule in, to be changed there"
    )
    draft.add_argument("--renew", action="store_true", help="bring in what was adopted since the draft was begun")
    draft.add_argument("--discard", action="store_true", help="let the draft go")
    compare = parsers["compare"]
    places = "a version's number, a draft, 'in-force', 'shipped' or a folder"
    compare.add_argument("old", nargs="?", metavar="A", help=f"{places}; default is what is in force")
    compare.add_argument("new", nargs="?", metavar="B", help="the other; default is the only draft")
    trying = parsers["try"]
    trying.add_argument("name", nargs="?", metavar="NAME", help="the draft; not needed where there is one")
    trying.add_argument("--quick", action="store_true", help="leave out past callers and the cases with expectations")
    rules_impact.add_running(trying)
    adopt, back = parsers["adopt"], parsers["back"]
    adopt.add_argument("name", nargs="?", metavar="NAME", help="the draft; not needed where there is one")
    adopt.add_argument("--digest", metavar="DIGEST", help="only where the draft's files are the ones with this digest")
    back.add_argument("number", nargs="?", type=int, metavar="VERSION", help="default is the one before")
    for parser in (adopt, back):
        parser.add_argument(
            "--accept", action="append", default=[], metavar="FAILURE", help="sign for a check that fails, by its name"
        )
        rules_sign.add_signer(parser)
    rules_sign.add_to_sign(parsers["to-sign"])
    rules_history.add_history(parsers["history"])
    acts = {
        "draft": run_draft,
        "compare": run_compare,
        "try": rules_try.run_try,
        "adopt": rules_adopt.run_adopt,
        "history": rules_history.run_history,
        "back": rules_adopt.run_back,
        "to-sign": rules_adopt.run_to_sign,
    }
    for name, parser in parsers.items():
        opening.add_output(parser, json=name in ("compare", "history", "try"))
        add_shop(parser)
        parser.set_defaults(act=acts[name], rules=None)


def add_shop(parser: ArgumentParser) -> None:
    """The option that names the shop."""
    parser.add_argument("--shop", metavar="FOLDER", help="the shop: a folder with shop.toml")


@contextmanager
def _named_sources(arguments: Namespace, shop: Path, name: str) -> Iterator[tuple["Sources", str]]:
    """(Sources, what they are called) of what a person names: a version, a draft, in-force, shipped, a folder."""
    import tempfile

    from ..knowledge import rules_in_force
    from ..knowledge.sources import default_folder
    from ..versions import drafts
    from ..versions.history import History

    sources = opening.sources_of(arguments)
    if name == "in-force":
        yield sources, in_force_text(shop)
    elif name == "shipped":
        yield dataclasses.replace(sources, rules=default_folder("rules"), house=None), "the shipped rules"
    elif name.isascii() and name.isdigit():
        with History(shop) as history, tempfile.TemporaryDirectory(prefix="least-clutch-") as folder:
            version = history.version(int(name))
            rules_in_force.lay_out(Path(folder), history.bodies(version))
            yield sources.with_own_rules(Path(folder)), f"version {version.number}"
    elif (shop / drafts.FOLDER / name / drafts.FILE).is_file() or not Path(name).is_dir():
        yield sources.with_own_rules(drafts.named(shop, name).folder), f"draft {name}"
    else:
        yield sources.with_own_rules(Path(name)), f"the rules in {name}"


# --- draft


def run_draft(arguments: Namespace) -> int:
    """Begin a draft, or work on one."""
    from ..versions import drafts
    from ..versions.history import History

    shop = shop_folder(arguments)
    if arguments.name is None and not (arguments.change or arguments.renew or arguments.discard):
        listed = drafts.all_of(shop)
        for draft in listed:
            opening.say(f"{draft.name}: made from version {draft.version}, in {draft.folder}")
        if listed:
            return 0
    with History(shop) as history:
        if arguments.discard:
            draft = drafts.named(shop, arguments.name or drafts.USUAL)
            drafts.discard(draft)
            opening.say(f"Draft {draft.name} is gone.")
            return 0
        if arguments.renew:
            return _renew(shop, history, drafts.the_one(shop, arguments.name))
        name = arguments.name or drafts.USUAL
        there = (shop / drafts.FOLDER / name).exists()
        # A rule taken into a draft that is under way goes on with it; a second beginning is refused.
        draft = drafts.named(shop, name) if there and arguments.change else drafts.begin(shop, history, name)
    if not there:
        of = f"version {draft.version} of the house rules" if draft.version else "the house rules as they stand"
        none = "" if draft.bodies() else " (there are none yet)"
        opening.say(f"Draft {draft.name}, a copy of {of}{none}: {draft.folder}")
    for rule in arguments.change:
        _take_in(arguments, draft, rule)
    opening.say("Edit its files. Then:")
    if not arguments.change:
        opening.say(f"  change a shipped rule:   advisor rules draft {name} --change RULE")
    opening.say(f"  what it changes:         advisor rules compare in-force {name}")
    opening.say(f"  try it on past callers:  advisor rules try {name}")
    opening.say(f'  adopt it:                advisor rules adopt {name} --by LEAD --why "..."')
    return 0


def _take_in(arguments, draft, name):
    from ..versions import drafts

    sources = opening.sources_of(arguments)
    knowledge = knowledge_of(sources.with_own_rules(draft.folder))
    rule = drafts.rule_of(knowledge, name)
    assert rule.position is not None
    own = sources.house is None and sources.shop is not None and sources.shop.rules.use == "alone"
    if own or Path(rule.position.file).is_relative_to(draft.folder):
        opening.say(f"{name} stands in the draft: {rule.position}. Change it there.")
        return
    place, new = drafts.take_in(draft, rule, knowledge)
    opening.say(f"{new}, in the place of the shipped {name}: {place}")


def _renew(shop, history, draft):
    from ..versions import drafts

    changed = drafts.renewed(shop, history, draft)
    if not changed and draft.version == drafts.named(shop, draft.name).version:
        opening.say(f"Draft {draft.name} is made from what is in force: nothing to bring in.")
        return 0
    opening.say(f"Draft {draft.name} is made from version {drafts.named(shop, draft.name).version} now.")
    for line in changed:
        opening.say(f"  {line}")
    return 0


# --- compare


def run_compare(arguments: Namespace) -> int:
    """What differs, in words."""
    from ..knowledge.sentences import wrap
    from ..versions import drafts
    from ..versions.compared import compared, lines

    shop = shop_folder(arguments)
    old = arguments.old or "in-force"
    new = arguments.new or drafts.the_one(shop, None).name
    with _named_sources(arguments, shop, old) as (before, old_text):
        old_knowledge = knowledge_of(before)
    with _named_sources(arguments, shop, new) as (after, new_text):
        new_knowledge = knowledge_of(after)
    changes = compared(old_knowledge, new_knowledge, arguments.units)
    if arguments.json:
        data = {"from": old_text, "to": new_text, "changes": [change.data() for change in changes]}
        opening.say_json(json.dumps(data, sort_keys=True, ensure_ascii=False, indent=2))
        return 0
    opening.say(wrap(f"From {old_text} to {new_text}:", opening.width()))
    opening.say("\n".join(lines(changes, opening.width())) if changes else "They say the same.")
    return 0
