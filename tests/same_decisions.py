"""What the rules decide of thousands of random callers, as digests: written by one state of the program or the rules,
compared by another.

    .venv/bin/python -m tests.same_decisions write before.json [--callers 5000] [--single 300] [--rules FOLDER]
    .venv/bin/python -m tests.same_decisions compare before.json [--rules FOLDER]

Each caller is decided in a batch (outcome, pick, required set-up, safety cautions); the first few hundred also singly,
by both engines, to the whole record. Left out of a record are only who made it and the hash of the rules.
"""

import argparse
import hashlib
import json
import sys
from pathlib import Path

from advisor.casebook import book as books
from advisor.deciding.decide import decider_of
from advisor.knowledge import canonical
from advisor.knowledge.sources import Sources, read

from .callers import caller


def content_of(rules=None):
    """The `Content` of a folder of rules, with the shipped kits, platforms and parts."""
    return read(Sources.chosen(rules=rules), cache=False)


def digests(content, callers, single):
    """{"rules": hash of the rules by id, "batch": [...], "single": [...]}: one digest for each caller."""
    decider = decider_of(content)
    cases = [caller(seed, content) for seed in range(callers)]
    by_platform = {}
    for place, case in enumerate(cases):
        by_platform.setdefault(case.platform, []).append(place)
    batch = [None] * callers
    for places in by_platform.values():
        gathered = [decider.gather(cases[place]) for place in places]
        outcomes = decider.batch.outcomes([known for _, known in gathered], gathered[0][0])
        for place, outcome in zip(places, outcomes):
            batch[place] = _digest(repr([sorted(part) if isinstance(part, frozenset) else part for part in outcome]))
    return {
        "rules": _digest(canonical.text({rule.id: rule.hash for rule in content.knowledge.rules})),
        "batch": batch,
        "single": [_digest(_single(decider, case)) for case in cases[:single]],
    }


def _single(decider, case):
    made = {key: part for key, part in books.decide(decider, case).data.items() if key != "made_by"}
    made["knowledge"] = {key: part for key, part in made["knowledge"].items() if key != "rules_sha256"}
    return json.dumps(made, sort_keys=True, ensure_ascii=False)


def _digest(text):
    return hashlib.sha256(text.encode()).hexdigest()[:20]


def main(arguments=None):
    """0, or 1 where anything differs."""
    parser = argparse.ArgumentParser(prog="python -m tests.same_decisions", description=__doc__.split("\n\n")[0])
    parser.add_argument("action", choices=("write", "compare"))
    parser.add_argument("file", type=Path)
    parser.add_argument("--callers", type=int, default=5000)
    parser.add_argument("--single", type=int, default=300)
    parser.add_argument("--rules", type=Path)
    chosen = parser.parse_args(arguments)
    if chosen.action == "write":
        chosen.file.write_text(json.dumps(digests(content_of(chosen.rules), chosen.callers, chosen.single)))
        return 0
    before = json.loads(chosen.file.read_text())
    now = digests(content_of(chosen.rules), len(before["batch"]), len(before["single"]))
    differing = {part: sum(old != new for old, new in zip(before[part], now[part])) for part in ("batch", "single")}
    print(f"rules {'equal' if before['rules'] == now['rules'] else 'differ'}")
    for part, count in differing.items():
        print(f"{part}: {count} of {len(now[part])} differ")
    return int(before["rules"] != now["rules"] or any(differing.values()))


if __name__ == "__main__":
    sys.exit(main())
