"""``advisor shop kits``: the kits on file, gentlest first."""

import argparse
from typing import Any

from ..errors import InputError
from . import opening


def add(actions: Any) -> None:
    """The action and its options."""
    listing = actions.add_parser("kits", help="the kits on file, gentlest first")
    listing.add_argument("--platform", metavar="ID", help="only kits whose seller says they fit this car")
    opening.add_sources(listing)
    opening.add_output(listing)
    listing.set_defaults(act=run)


def run(arguments: argparse.Namespace) -> int:
    """Kits in the order from gentlest to harshest, before anything about a caller is known."""
    from ..deciding.decide import Shop
    from ..deciding.kit_columns import look_up

    content = opening.open_content(arguments)
    wording = Shop.of(content).wording(content.knowledge, arguments.units)
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
        clamp_load = wording.number(fields["clamp_load"], "N")
        price = wording.money(fields.get("price"), fields.get("currency"))
        opening.say(f"{kit.id:28} {fields['discs']:.0f} x {facing}, {clamp_load}, {price}")
    return 0
