"""Changing the rules with a name: drafts, what differs, versions adopted.

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

from ..errors import ErrorList, InputError
from . import opening, rules_check, rules_history, rules_impact, rules_sign
from .shop_rules import content_of, knowledge_of, shop_folder, sources_with

if TYPE_CHECKING:
    from ..knowledge.sources import Content, Sources
    from ..versions.compared import EntryChanged
    from ..versions.drafts import RulesDraft
    from ..versions.history import Version
    from ..versions.to_sign import VersionAsked
    from ..versions.tried import Failure

#: Cases shown by `try` before the rest is only counted.
SHOWN = 5
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
    adopt.add_argument(
        "--accept", action="append", default=[], metavar="FAILURE", help="sign for a check that fails, by its name"
    )
    adopt.add_argument("--digest", metavar="DIGEST", help="only where the draft's files are the ones with this digest")
    back.add_argument("number", nargs="?", type=int, metavar="VERSION", help="default is the one before")
    for parser in (adopt, back):
        rules_sign.add_signer(parser)
    rules_sign.add_to_sign(parsers["to-sign"])
    rules_history.add_history(parsers["history"])
    acts = {
        "draft": run_draft,
        "compare": run_compare,
        "try": run_try,
        "adopt": run_adopt,
        "history": rules_history.run_history,
        "back": run_back,
        "to-sign": run_to_sign,
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

    from ..knowledge import disk
    from ..knowledge.sources import default_folder
    from ..versions import drafts
    from ..versions.history import History

    sources = opening.sources_of(arguments)
    if name == "in-force":
        yield sources, _in_force_text(shop)
    elif name == "shipped":
        yield dataclasses.replace(sources, rules=default_folder("rules"), house=None), "the shipped rules"
    elif name.isascii() and name.isdigit():
        with History(shop) as history, tempfile.TemporaryDirectory(prefix="least-clutch-") as folder:
            version = history.version(int(name))
            for path, body in history.bodies(version).items():
                (Path(folder) / path).parent.mkdir(parents=True, exist_ok=True)
                disk.write(Path(folder) / path, body)
            yield sources_with(sources, Path(folder)), f"version {version.number}"
    elif (shop / drafts.FOLDER / name / drafts.FILE).is_file() or not Path(name).is_dir():
        yield sources_with(sources, drafts.named(shop, name).folder), f"draft {name}"
    else:
        yield sources_with(sources, Path(name)), f"the rules in {name}"


def _in_force_text(shop):
    from ..knowledge import rules_in_force

    held = rules_in_force.in_force(shop / "rules")
    return f"version {held.number}, in force" if held else "the house rules in force (no version was adopted yet)"


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
    knowledge = knowledge_of(sources_with(sources, draft.folder))
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


# --- try


def run_try(arguments: Namespace) -> int:
    """Check a draft, say what it changes and what it would have told past callers."""
    from ..knowledge.sentences import wrap
    from ..versions import drafts
    from ..versions.compared import lines
    from ..versions.history import History

    shop = shop_folder(arguments)
    draft = drafts.the_one(shop, arguments.name)
    with History(shop) as history:
        number, sha256, _ = drafts.standing(history)
        behind = None if (draft.version, draft.sha256) == (number, sha256) else _behind(history, draft)
    changes, failing, remarks, content, sources = tried(arguments, shop, draft, quick=arguments.quick)
    if arguments.json:
        data = {
            "draft": draft.name,
            "from_version": draft.version,
            "in_force": number,
            "changes": [change.data() for change in changes],
            "failures": [dataclasses.asdict(failure) for failure in failing],
            "remarks": remarks,
        }
        opening.say_json(json.dumps(data, sort_keys=True, ensure_ascii=False, indent=2))
        return 5 if failing else 0
    width = opening.width()
    if behind is not None:
        opening.say(wrap(f"It cannot be adopted as it is: {behind.what} {behind.remedy}", width, "", "  "))
        opening.say("Till then it looks as if the draft undid what was changed since.")
        opening.say("")
    opening.say(wrap(f"What draft {draft.name} changes in {_in_force_text(shop)}:", width))
    if not changes:
        opening.say("  nothing yet: no rule says anything else")
        opening.say(f"  its files:               {draft.folder}")
        opening.say(f"  take a shipped rule in:  advisor rules draft {draft.name} --change RULE")
    else:
        opening.say("\n".join(lines(changes, width)))
    opening.say("")
    _say_checked(draft, changes, failing, remarks)
    if not arguments.quick and changes:
        opening.say("")
        rules_impact.say_impact_of(arguments, sources, content.knowledge, draft.name)
    return 5 if failing else 0


def _say_checked(draft, changes, failing, remarks):
    from ..knowledge.sentences import wrap
    from ..versions.tried import bearing_on_safety

    width = opening.width()
    for remark in remarks[:SHOWN]:
        opening.say(wrap(f"remark: {remark}", width, "", "  "))
    if len(remarks) > SHOWN:
        opening.say(f"and {len(remarks) - SHOWN} more remarks: advisor rules try {draft.name} --json")
    for failure in failing:
        opening.say(wrap(f"fails ({failure.name}): {failure.what}", width, "", "  "))
    if not failing:
        opening.say("Checked: nothing fails.")
    elif bearing_on_safety(changes):
        opening.say("It cannot be adopted while a check fails: it changes what bears on safety.")
    else:
        opening.say("It is adopted only once these are mended, or signed for one by one with --accept.")


def tried(
    arguments: Namespace, shop: Path, draft: "RulesDraft", *, quick: bool = False
) -> "tuple[list[EntryChanged], list[Failure], list[str], Content, Sources]":
    """(changes, failures, remarks, the draft's content and `Sources`) of a draft; what cannot be read is an error."""
    return _tried(arguments, draft.folder, quick=quick)


def _tried(arguments, folder, *, quick=False):
    from ..versions.compared import compared
    from ..versions.tried import failures

    in_force = opening.sources_of(arguments)
    sources = sources_with(in_force, folder)
    content = content_of(sources)
    changes = compared(knowledge_of(in_force), content.knowledge, arguments.units)
    findings = rules_check.check(content, sources, quick=quick)
    faults = [
        each for fault in findings.faults for each in (fault.errors if isinstance(fault, ErrorList) else (fault,))
    ]
    stale = [str(remark.what) for remark in content.knowledge.remarks if remark.stale]
    failing = failures([*stale, *(f"{fault.what} {fault.remedy}".strip() for fault in faults)])
    remarks = [remark for remark in findings.remarks if not any(text in remark for text in stale)]
    return changes, failing, remarks, content, sources


# --- adopt, back


def run_adopt(arguments: Namespace) -> int:
    """Adopt a draft."""
    from ..versions import drafts

    shop = shop_folder(arguments)
    signer = rules_sign.signer_of(arguments)
    draft, bodies, expected = _to_adopt(arguments, shop)
    version = _adopt(arguments, shop, draft.folder, bodies, expected, signer)
    drafts.discard(draft)
    _say_in_force(version)
    return 0


def _to_adopt(arguments, shop):
    """(draft, its files, number and digest of what it was made from, which is in force)."""
    from ..knowledge import rules_in_force
    from ..versions import drafts
    from ..versions.history import History

    draft = drafts.the_one(shop, arguments.name)
    with History(shop) as history:
        number, sha256, bodies = drafts.standing(history)
        if (draft.version, draft.sha256) != (number, sha256):
            raise _behind(history, draft)
    adopted, digest = draft.bodies(), getattr(arguments, "digest", None)
    if digest is not None and rules_in_force.digest(adopted) != digest:
        raise InputError(
            f"the files of draft {draft.name} are not those that were looked at: they were changed since.",
            value=digest,
            remedy="Look at it again, try it, and adopt that.",
        )
    if adopted == bodies:
        raise InputError(
            f"draft {draft.name} changes nothing: it is the same as what is in force.",
            remedy=f"Edit the files in {draft.folder}, or let it go: advisor rules draft {draft.name} --discard",
        )
    return draft, adopted, (number, sha256)


def _behind(history, draft):
    """The error where what is in force is no longer what a draft was made from."""
    from ..versions.history import moved_on

    versions = history.versions()
    if versions:
        return moved_on(versions[-1], draft.name)
    return InputError(
        "the house rules were edited by hand after the draft was made.",
        remedy=f"Bring that into the draft: advisor rules draft {draft.name} --renew",
    )


def run_to_sign(arguments: Namespace) -> int:
    """Write what the next version will be, to be signed on the lead's own machine."""
    from ..knowledge import disk

    shop = shop_folder(arguments)
    disk.may_write(arguments.to, replace=arguments.replace, option="--to")
    if arguments.back is None:
        draft, bodies, expected = _to_adopt(arguments, shop)
        asked = _asked(arguments, draft.folder, bodies, expected, None)
    else:
        with _earlier(shop, arguments.back) as (number, folder, bodies, expected):
            asked = _asked(arguments, folder, bodies, expected, number)
    disk.deliver(arguments.to, asked.data(), replace=arguments.replace, option="--to")
    opening.say(f"{arguments.to}: for the lead's machine, to be signed with: advisor lead sign")
    if arguments.back is None:
        opening.say("Leave the draft as it is until the signature is back.")
    return 0


def _say_in_force(version):
    from ..knowledge.sentences import wrap

    width = opening.width()
    opening.say(wrap(f"Version {version.number} is in force, {version.adopted.rstrip('.')}.", width, "", "  "))
    for accepted in version.accepted:
        opening.say(wrap(f"Signed for, and failing: {accepted}", width, "", "  "))
    opening.say("Cases under way end with the rules they began with.")
    opening.say("Whom to ring, and who would be told something else: advisor rules impact")


def _adopt(arguments, shop, folder, bodies, expected, signer, back_to=None) -> "Version":
    from ..versions.history import History
    from ..versions.to_sign import held_against

    asked = _asked(arguments, folder, bodies, expected, back_to, as_signed=signer.signed is not None)
    if signer.signed is not None:
        held_against(asked, signer.signed)
    with History(shop, write=True) as history:
        return history.adopt(
            bodies,
            expected=expected,
            by=signer.by,
            why=signer.why,
            shipped=asked.body["shipped"],
            changes=asked.changes,
            accepted=asked.body["accepted"],
            back_to=back_to,
            key=signer.key,
            signed=signer.signed,
        )


def _asked(arguments, folder, bodies, expected, back_to, *, as_signed=False) -> "VersionAsked":
    """All that the next version will be; InputError while a check fails that is not signed for.

    ``as_signed``: what fails counts as signed for, for a signature that will be held against it.
    """
    from ..knowledge import rules_in_force
    from ..versions.compared import sentences
    from ..versions.to_sign import VersionAsked
    from ..versions.tried import signed_for

    changes, failing, _, content, _ = _tried(arguments, folder)
    if rules_in_force.bodies(folder) != bodies:
        raise InputError("a file of the draft was changed while it was checked.", remedy="Do it again.")
    accept = getattr(arguments, "accept", []) or [failure.name for failure in failing if as_signed]
    accepted = signed_for(failing, accept, changes)
    number, sha256 = expected
    body = {
        "version": number + 1,
        "rules": rules_in_force.digest(bodies),
        "before": number,
        "back_to": back_to,
        "shipped": content.knowledge.edition or f"rules {content.knowledge.sha256[:12]}",
        "accepted": [text[:300] for text in accepted],
    }
    return VersionAsked(body, sha256, tuple(sentences(changes)))


def run_back(arguments: Namespace) -> int:
    """Adopt an earlier version again, as the next one."""
    shop = shop_folder(arguments)
    signer = rules_sign.signer_of(arguments)
    with _earlier(shop, arguments.number) as (number, folder, bodies, expected):
        version = _adopt(arguments, shop, folder, bodies, expected, signer, back_to=number)
    _say_in_force(version)
    return 0


@contextmanager
def _earlier(shop, number):
    """(number, folder, files, (number, digest) of what is in force) of a version to go back to, or the one before."""
    import tempfile

    from ..knowledge import disk
    from ..versions.history import History

    with History(shop) as history:
        versions = history.versions()
        if len(versions) < 2:
            raise InputError(
                "no version was adopted yet: there is nothing to go back to.", remedy="See: rules history."
            )
        last = versions[-1]
        wanted = history.version(int(last.before or 0) if number is None else number)
        if wanted.sha256 == last.sha256:
            raise InputError(
                f"version {last.number}, which is in force, is the same as version {wanted.number}.",
                remedy="Name another: advisor rules history",
            )
        bodies = history.bodies(wanted)
    with tempfile.TemporaryDirectory(prefix="least-clutch-") as folder:
        for path, body in bodies.items():
            (Path(folder) / path).parent.mkdir(parents=True, exist_ok=True)
            disk.write(Path(folder) / path, body)
        yield wanted.number, Path(folder), bodies, (last.number, last.sha256)
