"""Edits of drafts in tests."""

#: Who adopts, and why.
WHO = ("--by", "The Lead", "--why", "150 N was found heavy")


def change(shop, name, before, after, topic="release"):
    """Write something else in a file of a draft; its path."""
    path = shop / "drafts" / name / f"case/{topic}.yaml"
    text = path.read_text()
    assert before in text
    path.write_text(text.replace(before, after))
    return path
