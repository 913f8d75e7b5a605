"""A process that writes to a casebook and says on standard output what was acknowledged; others are killed or count.

``python -m tests.casebook.writer ACTION CASEBOOK RECORD [COUNT] [NAME]``: save, sign, import or open. RECORD is a
decision record as JSON, or the other casebook for import.
"""

import json
import sys
from dataclasses import replace
from pathlib import Path

from advisor.casebook.book import Casebook
from advisor.casebook.kept_files import Files
from advisor.deciding.decision_record import DecisionRecord
from advisor.errors import AdvisorError


def say(text):
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def knowledge(number):
    """Files that differ from one case to the next in one of them."""
    return Files(
        {
            ("rules", "vocabulary.yaml"): b"facts: {}\n" * 500,
            ("rules", "case/use.yaml"): b"rules: []\n" * 300,
            ("kits", ""): b"kits: [%d]\n" % number * 800,
            ("platforms", "one.yaml"): b"platforms: []\n",
            ("parts", "one.yaml"): b"parts: []\n",
        }
    )


def save(path, record, count, name):
    """Save cases one after the other."""
    made = DecisionRecord.of(json.loads(Path(record).read_text(encoding="utf-8")))
    case = made.case.as_case()
    with Casebook(path) as book:
        say("ready")
        for number in range(count):
            begun = book.begin(
                replace(case, id=f"{name}-{number}"), knowledge(number % 40), name="Some Caller", note="a note"
            )
            decision = book.decided(begun, made)
            say(f"{begun.case} {name}-{number} {decision.digest}")


def sign(path, _, count, name):
    """Note and sign the first case."""
    with Casebook(path) as book:
        say("ready")
        for number in range(count):
            book.note(1, f"{name}-{number}")
            entry = book.sign(1, by=f"{name}-{number}")
            say(f"1 {name}-{number} {entry.digest}")


def take(path, other, *_):
    """Take over the cases of another casebook."""
    from advisor.casebook.importing import take_over

    with Casebook(path) as book:
        say("ready")
        say(" ".join(map(str, take_over(book, other))))


def opened(path, *_):
    """Open the casebook, which migrates it."""
    say("ready")
    with Casebook(path) as book:
        say(f"version {book.store.version()}")


ACTIONS = {"save": save, "sign": sign, "import": take, "open": opened}


def main(action, path, record="", count="1", name="case"):
    """Run one action; exit code 2 and one line on standard error where the casebook refuses."""
    try:
        ACTIONS[action](path, record, int(count), name)
    except AdvisorError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
