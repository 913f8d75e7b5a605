"""A shop whose records lack fields: what may be left out of a kit or a platform, knocked out by chance."""

import random
from dataclasses import replace

from advisor.knowledge.model import Record

#: A platform is a car by these; everything else of it may be missing.
PLATFORM_NEEDS = ("id", "title", "stock.clutch", "invented", "currency")
#: Worked out from other fields, so never knocked out alone.
DERIVED = ("several", "cushioned", "friction_surfaces")
KIT_NEEDS = ("id", "title", "fits", "factory", "invented")


def holed(record, needed, seed, share):
    """(`Record` with about ``share`` of its optional fields gone, names of those fields)."""
    pick = random.Random(f"holes {seed} {record.kind} {record.id}")
    gone = []
    for name in record.fields:
        if name in needed or name in DERIVED or name == "gear_ratios.top":
            continue
        if pick.random() < share:
            gone.append(name)
    if any(name.startswith("gear_ratios.") for name in gone):
        # Ratios are written as one list: they go together.
        gone = [name for name in gone if not name.startswith("gear_ratios.")]
        gone += [name for name in record.fields if name.startswith("gear_ratios.")]
    fields = {name: value for name, value in record.fields.items() if name not in gone}
    return Record(record.kind, record.id, fields, record.position), tuple(gone)


def shop_with_holes(shop, knowledge, seed, *, kits=0.08, platforms=0.08):
    """(the `Shop` with holes in its kits and platforms, {(kind, id): fields gone}); the same for the same seed.

    ``kits``, ``platforms``: chance of each field that the schema of the knowledge lets be absent.
    """
    required = tuple(name for name, field in knowledge.kit_fields.items() if field.required)
    gone, records = {}, {}
    for kind, share, needed in (("kits", kits, (*KIT_NEEDS, *required)), ("platforms", platforms, PLATFORM_NEEDS)):
        records[kind] = []
        for record in getattr(shop, kind):
            mended, fields = holed(record, needed, seed, share)
            records[kind].append(mended)
            if fields:
                gone[record.kind, record.id] = fields
    return replace(shop, kits=tuple(records["kits"]), platforms=tuple(records["platforms"])), gone
