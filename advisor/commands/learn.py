"""What outcomes teach: a proposal of how far each kit's computed capacity is off, for a lead to sign.

Learns from sales of a year whose time to be asked has come, never from complaints that came in. Shows for each kit and
facing how many held and slipped, the factor with its 90 % interval, the share that answered, whether the kit is
overrated, how many more outcomes would tell, and which past cases would change. It refuses where fewer than 60 %
answered. Nothing changes until a lead signs what was shown, by its digest; then the table lies beside the kits and
every decision takes it: a kit's own factor, and for kits of which nothing was heard that of their facing. Torques of
one named test bed (--source of an outcome) share its error, so they count for less. It never loosens a safety must,
and no factor turns a must from failed to passed.

example:
  advisor learn
  advisor learn --until 2026-12-31 --json
  advisor learn --sign "shop lead" --digest 4f1c02aa --out kits/experience.yaml
"""

import datetime
import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from ..casebook import afterwards, entries, kept_files
from ..errors import InputError
from ..knowledge import experience
from ..knowledge.sentences import wrap
from . import opening

if TYPE_CHECKING:
    from ..casebook.book import Casebook
    from ..learning.experience_table import ExperienceRow, ExperienceTable, PastCase

#: Letters of a digest that a lead types at least.
LEAST_DIGEST = 8


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    parser.add_argument("--casebook", metavar="FILE", help="the casebook; default is the one in your data folder")
    parser.add_argument("--until", metavar="DATE", help="sales to be asked about by this day (default: today)")
    parser.add_argument("--sign", default="", metavar="LEAD", help="a lead signs the table; needs --digest and --out")
    parser.add_argument("--digest", default="", metavar="DIGEST", help="the digest that was shown, or its beginning")
    parser.add_argument("--out", metavar="FILE", help="where the signed table goes: experience.yaml beside the kits")
    opening.add_replace(parser)
    opening.add_output(parser)
    opening.add_sources(parser)


def run(arguments: Namespace) -> int:
    """The exit code: 0 a table, 3 none yet; InputError for a digest that is not the one shown."""
    from ..learning.experience_table import experience_table, would_change
    from ..learning.heard import evidence_of

    until = entries.day_said(arguments.until) if arguments.until else datetime.date.today().isoformat()
    if arguments.sign and len(arguments.digest) < LEAST_DIGEST:
        raise _not_the_digest(arguments)
    content = opening.open_content(arguments)
    with opening.book_of(arguments, write=False) as book:
        evidence = evidence_of(book, until)
        table = experience_table(evidence, content.knowledge.sha256)
        # Whoever signs has looked at what it would change.
        changes = would_change(table, past_cases(book)) if not table.refused and not arguments.sign else []
    if arguments.sign:
        return _sign(arguments, table)
    if arguments.json:
        data = {
            **table.as_data(),
            "digest": table.digest,
            "refused": table.refused,
            "wanted": {row.kit: row.wanted for row in table.kits},
            "why_unused": {row.kit: row.why_unused for row in table.kits if row.why_unused},
            "would_change": [{"case": case.case, "kit": case.kit, "change": change} for case, change in changes],
        }
        opening.say_json(json.dumps(data, sort_keys=True, indent=2, ensure_ascii=False))
        return 3 if table.refused else 0
    opening.say("\n".join(page(table, [(case.case, case.kit, change) for case, change in changes], opening.width())))
    return 3 if table.refused else 0


def past_cases(book: "Casebook") -> "list[PastCase]":
    """What stored decisions said of the kit sold on each."""
    from ..learning.experience_table import PastCase

    past, contents = [], kept_files.Contents(book.store)
    for heard in afterwards.every_aftermath(book):
        entries = {entry.number: entry for entry in book.history(heard.case)}
        decision = entries[heard.sale.entry.body["of"]]
        record = book.record(decision)
        knowledge = contents.of(entries[decision.body["of"]]).knowledge
        judged = record.kits.get(heard.sale.kit)
        facing = record.records.get(heard.sale.kit, {}).get("facing")
        required, demand, spread = (
            record.value(name) for name in ("required_torque", "demand_torque", "demand_spread")
        )
        if judged is None or facing not in knowledge.facings:
            continue
        if not all(isinstance(value, int | float) for value in (required, demand, spread)):
            continue
        wished = record.value("likely_holding")
        past.append(
            PastCase(
                heard.case,
                heard.sale.kit,
                judged.figures,
                float(required),  # type: ignore[arg-type]
                float(wished) if isinstance(wished, int | float) else None,
                float(demand),  # type: ignore[arg-type]
                float(spread),  # type: ignore[arg-type]
                knowledge.facings[str(facing)].numbers["bedded_spread"],
                str(facing),
            )
        )
    return past


def _sign(arguments: Namespace, table: "ExperienceTable") -> int:
    if table.refused:
        raise InputError(f"there is no table to sign: {table.refused}.", remedy="Ask the buyers: advisor case due.")
    if not table.digest.startswith(arguments.digest):
        raise _not_the_digest(arguments)
    shop = opening.sources_of(arguments).shop
    leads = [person.name for person in shop.people if person.leads] if shop is not None else []
    if leads and arguments.sign not in leads:
        raise InputError(
            f"{arguments.sign!r} is no lead of this shop.",
            value=arguments.sign,
            remedy=f"shop.toml names as leads: {', '.join(leads)}.",
        )
    if not arguments.out:
        raise InputError("nowhere to write the table.", remedy="Name experience.yaml beside the kits with --out.")
    text = experience.written(table.as_data(), arguments.sign, datetime.date.today().isoformat())
    experience.keep(arguments.out, text, replace=arguments.replace)
    opening.say(f"Signed by {arguments.sign}: {table.digest}")
    opening.say(f"Written to {arguments.out}; decisions take it from now on, old cases replay as they were.")
    return 0


def _not_the_digest(arguments):
    return InputError(
        "that is not the digest of this table.",
        value=arguments.digest,
        remedy=f"Look at it again (advisor learn) and give {LEAST_DIGEST} letters of what it shows.",
    )


def page(table: "ExperienceTable", changes: list[tuple[int, str, str]], width: int) -> list[str]:
    """The proposal as text."""
    lines = [f"What outcomes say of computed capacity, sales to be asked about by {table.until}", "", "Answered"]
    for name, (sold, answered, used) in table.cohorts.items():
        kept = "" if used else ": too few, nothing is learned from these"
        lines.append(wrap(f"{name}: {answered} of {sold} ({answered / sold:.0%}){kept}", width, "  ", "    "))
    if table.refused:
        return [*lines, "", wrap(f"No table: {table.refused}.", width), "Ask the buyers: advisor case due"]
    lines += ["", "Facings (used for kits of which nothing was heard)"]
    for row in table.facings:
        lines += _row(row, row.facing.replace("_", " "), width)
    lines += ["", "Kits"]
    for row in table.kits:
        lines += _row(row, row.kit, width)
    lines += ["", "Past cases that it would change"]
    lines += [wrap(f"case {case}, {kit}: {change}", width, "  ", "    ") for case, kit, change in changes] or ["  none"]
    lines += [
        "",
        wrap(
            "Nothing is changed by this. A lead who agrees signs what stands here: advisor learn --sign NAME --digest "
            f"{table.digest[:LEAST_DIGEST]} --out .../{experience.FILE}",
            width,
        ),
        f"Digest {table.digest}",
    ]
    return lines


def _row(row: "ExperienceRow", name: str, width: int) -> list[str]:
    low, middle, high = row.factor
    tried = row.held + row.slipped
    out = "".join(f"; {count} kept out ({reason})" for reason, count in sorted(row.kept_out.items()))
    row_text = (
        f"{name}: {row.held} of {tried} held, {row.slipped} slipped; holds {middle:.3f} of what is worked out "
        f"({low:.3f} to {high:.3f}, nine in ten; without outcomes {row.physics[0]:.3f} to {row.physics[2]:.3f})"
    )
    lines = [wrap(row_text, width, "  ", "    ")]
    notice = "OVERRATED" if row.noticed else f"chance that it holds 8 % less: {row.overrated:.0%}"
    used = f"to be used: {row.used[0]:.3f}" if row.used else f"not used: {row.why_unused}"
    lines.append(
        wrap(
            f"answered {row.answered} of {row.sold} ({row.share:.0%}), {row.sources} sources of torque{out}; {notice}; "
            f"{row.wanted} more like these would tell to 5 %; {used}",
            width,
            "    ",
            "    ",
        )
    )
    return lines
