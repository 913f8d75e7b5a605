"""Putting rules in force: a draft or an earlier version becomes the next one, after it was signed elsewhere or here."""

import textwrap
from argparse import Namespace
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputError
from . import opening, rules_sign
from .rules_try import tried
from .shop_rules import shop_folder

if TYPE_CHECKING:
    from ..versions.history import Version
    from ..versions.to_sign import VersionAsked

#: Letters of a check signed for that are shown once it is adopted; the history shows all of it.
SHOWN = 300


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
        behind = drafts.behind(history, draft)
        number, sha256, bodies = drafts.standing(history)
    if behind is not None:
        raise behind
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
        opening.say(wrap(f"Signed for: {textwrap.shorten(accepted, SHOWN, placeholder=' ...')}", width, "", "  "))
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
    from ..casebook import shape
    from ..knowledge import rules_in_force
    from ..versions.compared import sentences
    from ..versions.to_sign import VersionAsked
    from ..versions.tried import signed_for

    trial = tried(arguments, folder)
    if rules_in_force.bodies(folder) != bodies:
        raise InputError("a file of the draft was changed while it was checked.", remedy="Do it again.")
    accept = arguments.accept or [failure.name for failure in trial.failing if as_signed]
    if back_to is not None:
        # What an earlier version departs in was signed for when it was adopted first.
        accept = [*accept, *(failure.name for failure in trial.failing if failure.departs)]
    accepted = signed_for(trial.failing, accept, trial.changes)
    number, sha256 = expected
    knowledge = trial.content.knowledge
    body = {
        "version": number + 1,
        "rules": rules_in_force.digest(bodies),
        "before": number,
        "back_to": back_to,
        "shipped": knowledge.edition or f"rules {knowledge.sha256[:12]}",
        "accepted": [textwrap.shorten(text, shape.LONGEST_ACCEPTED, placeholder=" ...") for text in accepted],
    }
    return VersionAsked(body, sha256, tuple(sentences(trial.changes)))


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

    from ..knowledge import rules_in_force
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
        rules_in_force.lay_out(Path(folder), bodies)
        yield wanted.number, Path(folder), bodies, (last.number, last.sha256)
