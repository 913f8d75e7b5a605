"""The tables of a casebook, as numbered steps. A step that was ever released is never edited; a new one is added.

Entries form the history: nothing in it is changed or removed, corrections are new entries. What a person may have
erased (a name, a phone number, the text of a note) stands apart in ``private`` and enters the history only as a
salted digest, so that it can go without the history breaking.
"""

FIRST = (
    """CREATE TABLE head (
        one INTEGER PRIMARY KEY CHECK (one = 1),
        casebook TEXT NOT NULL,
        entries INTEGER NOT NULL,
        digest TEXT NOT NULL
    )""",
    """CREATE TABLE content (
        sha256 TEXT NOT NULL PRIMARY KEY,
        size INTEGER NOT NULL,
        body BLOB NOT NULL
    )""",
    "CREATE TABLE knowledge (sha256 TEXT NOT NULL PRIMARY KEY)",
    """CREATE TABLE knowledge_file (
        knowledge TEXT NOT NULL REFERENCES knowledge,
        place TEXT NOT NULL CHECK (place IN ('rules', 'kits', 'platforms', 'parts')),
        path TEXT NOT NULL,
        content TEXT NOT NULL REFERENCES content,
        PRIMARY KEY (knowledge, place, path)
    ) WITHOUT ROWID""",
    "CREATE TABLE cases (number INTEGER PRIMARY KEY)",
    """CREATE TABLE entry (
        number INTEGER PRIMARY KEY,
        in_case INTEGER NOT NULL REFERENCES cases,
        kind TEXT NOT NULL,
        at TEXT NOT NULL,
        by TEXT NOT NULL,
        body TEXT NOT NULL,
        record TEXT REFERENCES content,
        knowledge TEXT REFERENCES knowledge,
        sealed TEXT,
        previous TEXT NOT NULL,
        digest TEXT NOT NULL UNIQUE
    )""",
    "CREATE INDEX entry_of_case ON entry (in_case, number)",
    "CREATE TRIGGER entry_stays BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END",
    "CREATE TRIGGER entry_kept BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END",
    "CREATE TRIGGER content_stays BEFORE UPDATE ON content BEGIN SELECT RAISE(ABORT, 'content is never changed'); END",
    "CREATE TRIGGER content_kept BEFORE DELETE ON content BEGIN SELECT RAISE(ABORT, 'content is never removed'); END",
)

PRIVATE = (
    """CREATE TABLE private (
        entry INTEGER PRIMARY KEY REFERENCES entry,
        salt TEXT NOT NULL,
        body TEXT NOT NULL
    )""",
    "CREATE TRIGGER private_stays BEFORE UPDATE ON private BEGIN SELECT RAISE(ABORT, 'only erased, not changed'); END",
)

TAKEN_OVER = (
    # From another casebook: which of its entries stand here already.
    """CREATE TABLE taken_over (
        digest TEXT NOT NULL PRIMARY KEY,
        entry INTEGER NOT NULL REFERENCES entry
    )""",
    "CREATE INDEX entry_of_kind ON entry (kind, in_case)",
)

#: Step n brings a file from version n - 1 to version n.
STEPS = (FIRST, PRIVATE, TAKEN_OVER)
LATEST = len(STEPS)
