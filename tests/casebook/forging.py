"""Rewrites the history of a casebook as somebody would who knows the program but not always its keys."""

import json
import zlib
from dataclasses import replace

from advisor.casebook import entries, statements
from advisor.knowledge import canonical

from .stores import unguarded


def rewritten(path, change, *, key=None, casebook=None):
    """Every entry given to ``change`` (an Entry in, an Entry or None out), all digests reckoned anew.

    ``key``: what the seals are made anew with, else they stay; ``casebook``: another name for it.
    """
    with unguarded(path) as connection:
        (name,) = connection.execute("SELECT casebook FROM head").fetchone()
        name = casebook or name
        before = [entries.of_row(row) for row in connection.execute(statements.EVERY_ENTRY)]
        kept = [entry for entry in map(change, before) if entry is not None]
        previous, places, digests, made = name, {}, {}, []
        for number, old in enumerate(kept, 1):
            body = dict(old.body)
            for part in ("of", "corrects"):
                if part in body:
                    body[part] = places[body[part]]
            if body.get("decision") in digests:
                body["decision"] = digests[body["decision"]]
            bare = replace(old, number=number, body=body, previous=previous, digest="")
            entry = replace(bare, digest=entries._digest(bare))
            places[old.number], digests[old.digest], previous = number, entry.digest, entry.digest
            made.append(entry)
        ids = dict(connection.execute("SELECT entry, key FROM seal"))
        seals = dict(connection.execute("SELECT entry, mac FROM seal"))
        apart = connection.execute(statements.EVERY_APART).fetchall()
        for table in ("seal", "apart", "entry"):
            connection.execute(f"DELETE FROM {table}")
        for entry in made:
            values = [getattr(entry, part.strip()) for part in statements.ENTRY.replace("in_case", "case").split(",")]
            by, body = entry.bare()
            values[4], values[5] = by, canonical.text(body)
            connection.execute(statements.ADD_ENTRY, values)
            if key is not None:
                connection.execute(statements.ADD_SEAL, (entry.number, key.id, key.seal(name, entry.digest)))
            elif entry.number in seals:
                connection.execute(statements.ADD_SEAL, (entry.number, ids[entry.number], seals[entry.number]))
        for number, *row in apart:
            if number in places:
                connection.execute(statements.ADD_APART, (places[number], *row))
        connection.execute("UPDATE head SET casebook = ?, entries = ?, digest = ?", (name, len(made), previous))


def stored(path, change):
    """The decision record of the first decision, changed, stored as well; its SHA-256."""
    with unguarded(path) as connection:
        (name,) = connection.execute("SELECT record FROM entry WHERE kind = 'decision' ORDER BY number").fetchone()
        (body,) = connection.execute("SELECT body FROM content WHERE sha256 = ?", (name,)).fetchone()
        record = change(json.loads(zlib.decompress(body)))
        text = json.dumps(record, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()
        new = canonical.digest(text)
        connection.execute("DELETE FROM content WHERE sha256 = ?", (name,))
        connection.execute(statements.ADD_CONTENT, (new, len(text), zlib.compress(text)))
    return name, new
