"""``advisor shop new`` and ``advisor shop check``: a shop set up by asking, and looked through."""

import argparse
import sys
from pathlib import Path
from typing import Any

from ..errors import AdvisorError, ErrorList, InputError, StoreError
from ..knowledge import disk, signs
from ..knowledge.sentences import count
from . import opening

#: What is asked, in order: key of shop.toml, the question, what an empty answer means.
QUESTIONS = (
    ("name", "What is the shop called?", ""),
    ("currency", "What currency are its prices in, as three letters?", "EUR"),
    ("tax", "What per cent of tax is in its prices? 0 for none.", "0"),
    ("units", "Which units does it work in, si or trade (lb-ft, lbf, hp)?", "si"),
    ("paper", "What paper does it print on, A4 or letter?", "A4"),
    ("numbers", "In which language does it write numbers (en, de, fr, es, it, nl, ...)?", "en"),
    ("quote_days", "For how many days does a quote hold?", "14"),
    ("phone", "By what phone number is it reached?", "none"),
    ("lead", "Who is the shop lead?", "none"),
    ("counter", "Who takes calls?", "none"),
)
USUAL = {name: default or "a shop" for name, _, default in QUESTIONS}
HEAD = """What the advisor knows of this shop. Every line but the name may be taken out.
Kits, platforms (cars), parts and house rules stand in the folders beside it; casebooks go where `casebook` says."""


def add(actions: Any) -> None:
    """Both actions."""
    new = actions.add_parser("new", help="set a shop up by asking")
    new.add_argument("folder", metavar="FOLDER", help="where it shall lie; made where it is not there")
    for name, question, default in QUESTIONS:
        new.add_argument(f"--{name.replace('_', '-')}", metavar="ANSWER", help=f"{question} ({default or 'asked'})")
    new.set_defaults(act=run_new)
    check = actions.add_parser("check", help="what is wrong, and what is thin", formatter_class=argparse.HelpFormatter)
    opening.add_sources(check)
    check.set_defaults(act=run_check)


def run_new(arguments: argparse.Namespace) -> int:
    """0 once the folder holds a shop."""
    from ..knowledge import shop as shops

    folder = Path(arguments.folder)
    if (folder / shops.FILE).exists():
        raise InputError(
            f"there is a shop in {str(folder)!r} already.",
            value=str(folder),
            remedy=f"Edit its {shops.FILE}, or name another folder.",
        )
    answers: dict[str, str] = {}
    for name, question, default in QUESTIONS:
        answers[name] = _answer(getattr(arguments, name), question, default, answers | {"name": "a shop"}, name)
    text = shops.written(_data(answers), HEAD)
    about = shops.shop_of(text, shops.FILE)
    try:
        for part in ("", "kits", "platforms", "parts", "rules", "cases"):
            (folder / part).mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"the folder cannot be made: {error.strerror}.", remedy="Name another.") from None
    disk.deliver(folder / shops.FILE, text, option="FOLDER")
    opening.say(f"{about.name} stands in {folder}. What it says of itself: {folder / shops.FILE}.")
    opening.say("Next")
    opening.say(f"  a list of cars:   advisor shop import platforms LIST.csv --shop {folder}")
    opening.say(f"  a list of kits:   advisor shop import kits LIST.csv --shop {folder}")
    opening.say(f"  how it stands:    advisor shop check --shop {folder}")
    opening.say(f"To leave --shop out: export {shops.VARIABLE}={folder}")
    return 0


def _answer(given, question, default, before, name):
    if given is not None:
        return given.strip()
    if not sys.stdin or not sys.stdin.isatty():
        if not default:
            raise InputError(f"nobody is there to be asked: {question}", remedy="Say it with its option; see --help.")
        return default
    sys.stdout.write(signs.shown(f"{question}{f' [{default}]' if default else ''} "))
    sys.stdout.flush()
    while True:
        typed = sys.stdin.readline()
        answer = typed.strip() or default
        if not typed and not default:
            raise InputError(f"there is no answer: {question}", remedy="Say it with its option; see --help.")
        wrong = _wrong({**USUAL, **before, name: answer}) if answer else "It is needed."
        if not wrong:
            return answer
        if not typed:
            raise InputError(wrong, remedy="Say it with its option; see --help.")
        # What cannot be taken is said at once: nobody types nine answers to hear of the second.
        sys.stdout.write(signs.shown(f"{wrong} "))
        sys.stdout.flush()


def _wrong(answers):
    """What is wrong with the answers so far, in a sentence; "" where nothing is."""
    from ..knowledge import shop as shops

    try:
        shops.shop_of(shops.written(_data(answers), HEAD), shops.FILE)
    except ErrorList as several:
        return " ".join(f"{fault.what} {fault.remedy}".strip() for fault in several.errors)
    except AdvisorError as fault:
        return f"{fault.what} {fault.remedy}".strip()
    return ""


def _data(answers):
    def number(name):
        try:
            return float(answers[name]) if name == "tax" else int(answers[name])
        except ValueError:
            raise InputError(
                f"{answers[name]!r} is not a number.", value=answers[name], remedy="Write digits."
            ) from None

    data = {"name": answers["name"], "currency": answers["currency"].upper()}
    data |= {name: answers[name] for name in ("units", "paper", "numbers")}
    data |= {"quote_days": number("quote_days"), "casebook": "casebook.sqlite"}
    if number("tax"):
        data["tax"] = {"name": "tax", "percent": number("tax"), "in_prices": True}
    if answers["phone"] != "none":
        data["contact"] = {"phone": answers["phone"]}
    people = [
        {"name": answers[role], "roles": [role]} for role in ("lead", "counter") if answers[role] not in ("none", "")
    ]
    if len(people) == 2 and people[0]["name"] == people[1]["name"]:
        people = [{"name": people[0]["name"], "roles": ["lead", "counter"]}]
    return data | ({"people": people} if people else {})


def run_check(arguments: argparse.Namespace) -> int:
    """0 where nothing is wrong, however thin; the exit code of what is wrong otherwise."""
    from ..knowledge import shop as shops
    from ..knowledge.sources import UNNAMED
    from ..shop import health

    folder = shops.find(arguments.shop)
    try:
        content = opening.open_content(arguments)
    except (AdvisorError, ErrorList) as error:
        return opening.report(error)
    about = content.shop or UNNAMED
    opening.say(
        f"{about.name}, {content.knowledge.edition}." + ("" if folder else " No shop is named: the demonstration.")
    )
    held = {"car": content.platforms, "kit": content.kits, "part": content.parts, "rule": content.knowledge.rules}
    opening.say(f"{', '.join(count(len(things), noun) for noun, things in held.items())}.")
    for title, lines in health.look_through(content, folder):
        if lines:
            opening.say(title)
            for line in lines[: health.SHOWN]:
                opening.say(f"  {line}")
            if len(lines) > health.SHOWN:
                opening.say(f"  and {len(lines) - health.SHOWN} more")
    opening.say("Nothing is wrong.")
    return 0
