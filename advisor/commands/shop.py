"""A shop of one's own: a folder with shop.toml and what stands in the folders
beside it: kits, platforms (cars), parts, rules, cases.

  new FOLDER                   set one up by asking
  check                        what is wrong, and what is thin
  import kits|platforms|parts  a spreadsheet as it comes; looked at first,
                               written as it was seen
  accept ID --by LEAD          a draft of a car, read from a public table, is
                               taken among the cars
  kits                         the kits on file, gentlest first
  gaps                         what to measure next, as a sheet for the fitter
  measured ID FIELD=VALUE      write down what was measured of a kit or a car
  tutorial                     from a spreadsheet to a quote, step by step
  shelf                        how the catalogue stands, with a picture

The shop is the one --shop names, else the environment variable
LEAST_CLUTCH_SHOP, else the user's own configuration; else the invented
demonstration.

example:
  advisor shop new our-shop
  advisor shop import kits dunmere.csv --shop our-shop
"""

from argparse import ArgumentParser, Namespace

from . import opening, shop_health, shop_import, shop_kits, shop_new, shop_tutorial


def add(parser: ArgumentParser) -> None:
    """Options of the command."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    for module in (shop_new, shop_import, shop_kits, shop_health, shop_tutorial):
        module.add(actions)


def run(arguments: Namespace) -> int:
    """The exit code of the action."""
    return arguments.act(arguments)


__all__ = ["add", "opening", "run"]
