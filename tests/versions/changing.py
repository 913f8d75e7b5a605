"""Edits of drafts in tests."""

import re

from advisor.casebook import signing

#: Who adopts, and why.
WHO = ("--by", "The Lead", "--why", "150 N was found heavy")


def change(shop, name, before, after, topic="release"):
    """Write something else in a file of a draft; its path."""
    path = shop / "drafts" / name / f"case/{topic}.yaml"
    text = path.read_text()
    assert before in text
    path.write_text(text.replace(before, after))
    return path


def signed_for(rules, name):
    """Options that sign for whatever the trial of a draft says departs from shipped rules."""
    departing = re.findall(r"departs \((\w{6})\)", rules("try", name, "--quick")[1])
    assert departing
    return [word for short in departing for word in ("--accept", short)]


def listed_with_key(shop, key):
    """Have shop.toml list the key of the lead."""
    text, public = (shop / "shop.toml").read_text(), signing.public_key(str(key))
    (shop / "shop.toml").write_text(text.replace('roles = ["lead"]', f'roles = ["lead"]\npublic_key = "{public}"'))
