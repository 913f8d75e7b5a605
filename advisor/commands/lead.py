"""A lead's key: make one, show the half that goes into shop.toml, sign what was brought to be signed.

  key --out FILE     make a key; it is closed with a passphrase
  show FILE          the public half of a key, as it goes into shop.toml
  sign FILE --key KEY --by NAME --out SIGNED   sign what 'advisor case to-sign' or 'advisor rules to-sign' wrote

The key stays on the lead's own machine, never on one that a counter works at: whoever has the file and hears or sees
the passphrase signs as the lead. What is to be signed comes as a file, and goes back as one. A signature shows that
whoever has the key agreed to this decision with this record, or to this version of the rules. It does not show that he
read it, nor when he signed: the time is that of the machine that keeps the casebook.

example:
  advisor lead key --out lead.key
  advisor lead show lead.key
  advisor lead sign case-1.to-sign --key lead.key --by "The Lead" --out case-1.signed
"""

import getpass
import json
import sys
from argparse import ArgumentParser, Namespace

from ..casebook import signing
from ..casebook.entries import line, paragraph
from ..errors import InputError
from ..knowledge import disk
from ..knowledge.sentences import wrap
from ..versions import to_sign
from . import opening

#: Letters of the longest passphrase read.
LONGEST = 1_000


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    key = actions.add_parser("key", help="make a key", description="make a key")
    key.add_argument("--out", required=True, metavar="FILE", help="the file for the key; must not exist yet")
    key.set_defaults(act=run_key)
    show = actions.add_parser("show", help="the public half", description="the public half of a key")
    show.add_argument("file", metavar="FILE", help="the key")
    show.set_defaults(act=run_show)
    sign = actions.add_parser("sign", help="sign what was brought", description="sign what was brought to be signed")
    sign.add_argument("file", metavar="FILE", help="what 'to-sign' of 'advisor case' or 'advisor rules' wrote")
    sign.add_argument("--key", required=True, metavar="KEY", help="the lead's key")
    sign.add_argument("--by", required=True, metavar="LEAD", help="the lead's name, as in shop.toml")
    sign.add_argument("--objection", action="store_true", help="object instead of signing off; needs --text")
    sign.add_argument("--text", default="", help="what there is to say; of a version, why the rules change")
    sign.add_argument("--out", required=True, metavar="SIGNED", help="the file for the signature")
    opening.add_replace(sign)
    sign.set_defaults(act=run_sign)


def run(arguments: Namespace) -> int:
    """The exit code: 0, or 2 for bad input."""
    return arguments.act(arguments)


def run_key(arguments: Namespace) -> int:
    """Make a key."""
    disk.may_write(arguments.out)
    first = passphrase("Passphrase for the new key: ")
    if first != passphrase("The same again: "):
        raise InputError("the two passphrases differ.", remedy="Try again.")
    with disk.delivering(arguments.out, private=True) as file:
        file.write(signing.new_key(first).encode())
    opening.say(f"Key made: {arguments.out}. Keep it on your own machine, with a copy where nobody else gets at it.")
    return _public(arguments.out)


def run_show(arguments: Namespace) -> int:
    """The public half."""
    return _public(arguments.file)


def _public(path):
    opening.say(f'For your entry under [[people]] in shop.toml:\n  public_key = "{signing.public_key(path)}"')
    return 0


def run_sign(arguments: Namespace) -> int:
    """Sign what was brought."""
    if to_sign.is_of_a_version(arguments.file):
        return _sign_version(arguments)
    asked = signing.read_asked(arguments.file)
    disk.may_write(arguments.out, inputs=[arguments.file, arguments.key], replace=arguments.replace)
    signed = signed_of(arguments, asked)
    disk.deliver(arguments.out, signed.data(), replace=arguments.replace)
    opening.say(f"{arguments.out}: take it to the casebook with: advisor case sign {asked.case} --signature FILE")
    return 0


def _sign_version(arguments):
    asked = to_sign.read(arguments.file)
    disk.may_write(arguments.out, inputs=[arguments.file, arguments.key], replace=arguments.replace)
    by = line(arguments.by, "name of the lead")
    if arguments.objection:
        raise InputError("whoever objects to a version does not sign it.", remedy="Leave it unsigned, and say why.")
    why = paragraph(arguments.text, "reason (--text)", 2_000)
    for text in asked.lines():
        opening.say(wrap(text, opening.width(), "", "    "))
    private = signing.open_key(arguments.key, passphrase(f"Passphrase of {arguments.key}: "))
    signed = signing.sign(asked.asked(), private, by=by, verdict="sign_off", text=why)
    disk.deliver(arguments.out, signed.data(), replace=arguments.replace)
    back = "back" if asked.body["back_to"] is not None else "adopt"
    opening.say(f"{arguments.out}: take it to the shop's folder with: advisor rules {back} --signature FILE")
    return 0


def signed_of(arguments: Namespace, asked: signing.SignatureAsked) -> signing.Signed:
    """Tell what is to be signed, ask for the passphrase, sign; a `signing.Signed`."""
    by, text = line(arguments.by, "name of the lead"), paragraph(arguments.text, "text") if arguments.text else ""
    if arguments.objection and not text:
        raise InputError("an objection says what is wrong.", remedy="Give the reason with --text.")
    opening.say(summary(asked))
    private = signing.open_key(arguments.key, passphrase(f"Passphrase of {arguments.key}: "))
    return signing.sign(asked, private, by=by, verdict="objection" if arguments.objection else "sign_off", text=text)


def summary(asked: signing.SignatureAsked) -> str:
    """What of the record goes under the signature, in short."""
    from ..casebook import stored_form
    from ..deciding.decision_record import DecisionRecord

    wrong = stored_form.fault(asked.record.encode())
    if wrong:
        raise InputError(f"what is to be signed {wrong}.", remedy="Have it written again: advisor case to-sign.")
    record = DecisionRecord.of(json.loads(asked.record))
    summed_up = stored_form.summary(record)
    lines = [f"Case {asked.case}, record {asked.record_sha256[:16]}, decision {asked.decision[:16]}"]
    lines.append(f"  outcome: {summed_up['outcome'].replace('_', ' ')}")
    if summed_up["pick"]:
        lines += [f"  kit: {summed_up['pick']}", f"  price with what must go with it: {summed_up['price']}"]
    lines += [f"  answer: {name} {_shown(answer.value)}" for name, answer in record.case.answers.items()]
    lines += [f"  required: {item.text}" for _, item in record.setup.items() if item.level == "required"]
    lines += [f"  caution: {caution.text}" for caution in record.cautions]
    return "\n".join(lines)


def _shown(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def passphrase(prompt: str) -> str:
    """A passphrase from the keyboard, unseen; from a pipe where standard input is no terminal."""
    if sys.stdin is not None and sys.stdin.isatty():
        text = getpass.getpass(prompt)
    else:
        text = (sys.stdin.readline(LONGEST + 2) if sys.stdin is not None else "").rstrip("\r\n")
    if not text or len(text) > LONGEST:
        raise InputError("no passphrase was given.", remedy="Type it when asked, or pass it on standard input.")
    return text
