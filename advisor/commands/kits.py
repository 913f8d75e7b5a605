"""Reads a shop's spreadsheet of kits, and lists kits.

  import FILE.csv   check every row, write the good ones as a kit file and the bad ones as a spreadsheet to mend
  list              the kits for a car, gentlest first

Columns are matched by field name or label; a unit may stand in the column's title: "Clamp load [N]".

example:
  advisor kits import list.csv --out kits.yaml --set currency=EUR --column "Article=id"
  advisor kits list --platform bramble-20t
"""

import csv
import io
import os
from argparse import ArgumentParser, Namespace

from ..errors import InputError
from ..knowledge import disk, signs
from . import opening


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    bring = actions.add_parser("import", help="read a spreadsheet of kits")
    bring.add_argument("file", metavar="FILE.csv", help="CSV in UTF-8, the first line naming the columns")
    bring.add_argument("--out", metavar="FILE", help="where the kit file goes (default: beside the CSV, .yaml)")
    opening.add_replace(bring)
    bring.add_argument(
        "--column", action="append", default=[], metavar="TITLE=FIELD", help="a column under another title"
    )
    bring.add_argument("--ignore", action="append", default=[], metavar="TITLE", help="a column to leave out")
    bring.add_argument(
        "--set", action="append", default=[], metavar="FIELD=VALUE", help="a field that is the same on every row"
    )
    bring.set_defaults(act=run_import)
    listing = actions.add_parser("list", help="the kits for a car, gentlest first")
    listing.add_argument("--platform", metavar="ID", help="only kits whose seller says they fit this car")
    listing.set_defaults(act=run_list)
    opening.add_sources(bring)
    opening.add_sources(listing)
    opening.add_output(listing)


def run(arguments: Namespace) -> int:
    """The exit code: 0, or 2 where a row was bad."""
    return arguments.act(arguments)


def _pairs(texts, option):
    pairs = {}
    for text in texts:
        left, equals, right = text.partition("=")
        if not equals or not left.strip() or not right.strip():
            raise InputError(
                f"--{option} {text!r} is not of the form A=B.",
                value=text,
                remedy=f'Write it like --{option} "currency=EUR".',
            )
        pairs[left.strip()] = right.strip()
    return pairs


def run_import(arguments: Namespace) -> int:
    """Every row ends in the kit file or in the spreadsheet of rows to mend."""
    from ..knowledge import spreadsheet

    knowledge = opening.open_content(arguments).knowledge
    stem = os.path.splitext(arguments.file)[0]
    target, rejects = arguments.out or f"{stem}.yaml", f"{stem}.rejected.csv"
    for path in (target, rejects):
        disk.may_write(path, inputs=[arguments.file, *opening.read_from(arguments)], replace=arguments.replace)
    sheet = spreadsheet.Sheet(
        arguments.file,
        knowledge,
        columns=_pairs(arguments.column, "column"),
        ignore=arguments.ignore,
        constants=_pairs(arguments.set, "set"),
    )
    good, bad = spreadsheet.read_rows(sheet)
    if good:
        disk.deliver(target, spreadsheet.to_yaml([node for _, node in good]), replace=arguments.replace)
        opening.say(f"{len(good)} of {len(sheet.rows)} rows written to {target}.")
    if not bad:
        return 0
    for _, errors in bad:
        for error in errors:
            opening.complain(str(error))
    lines = {line for line, _ in bad}
    table = io.StringIO(newline="")
    writer = csv.writer(table)
    writer.writerow([signs.cell_to_mend(title) for title, _, _ in sheet.columns])
    writer.writerows(map(signs.cell_to_mend, cells) for line, cells in sheet.rows if line in lines)
    disk.deliver(rejects, table.getvalue(), replace=arguments.replace)
    opening.complain(
        f"{len(bad)} of {len(sheet.rows)} rows are bad; they stand in {rejects} to be mended and read again."
    )
    return 2


def run_list(arguments: Namespace) -> int:
    """Kits in the order from gentlest to harshest, before anything about a caller is known."""
    from ..deciding.kit_columns import look_up
    from ..knowledge.quantities import show
    from ..knowledge.wording import money_text

    content = opening.open_content(arguments)
    if arguments.platform and arguments.platform not in [platform.id for platform in content.platforms]:
        raise InputError(
            f"no platform {arguments.platform!r} is on file.",
            value=arguments.platform,
            remedy=f"There are {', '.join(platform.id for platform in content.platforms)}.",
        )
    table = content.knowledge.order.tables["harshness"]
    kits = [kit for kit in content.kits if not arguments.platform or arguments.platform in kit.fields.get("fits", ())]
    kits.sort(key=lambda kit: (look_up(table, kit.fields), kit.fields["discs"], kit.fields["clamp_load"], kit.id))
    if arguments.json:
        import json

        opening.say_json(
            json.dumps(
                [
                    {
                        "id": kit.id,
                        **{
                            key: list(value) if isinstance(value, tuple) else value for key, value in kit.fields.items()
                        },
                    }
                    for kit in kits
                ],
                indent=2,
                sort_keys=True,
                ensure_ascii=False,
            )
        )
        return 0
    opening.say("Invented kits of an invented shop." if all(kit.fields.get("invented") for kit in kits) else "")
    for kit in kits:
        fields = kit.fields
        facing = fields["facing"].replace("_", "-")
        clamp_load = show(fields["clamp_load"], "N", arguments.units)
        price = money_text(fields["price"], fields.get("currency"))
        opening.say(f"{kit.id:28} {fields['discs']:.0f} x {facing}, {clamp_load}, {price}")
    return 0
