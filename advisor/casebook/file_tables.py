"""The tables of a casebook in a file, as numbered steps; those on a server follow them in `server_tables`.

A step that was ever released is never edited; a new one is added.

Entries form the history: nothing in it is changed or removed, corrections are new entries. What a person may have
erased (a name, a phone number, the text of a note) stands apart in ``apart`` and enters the history only as a
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

#: What stands beside rules, kits, platforms and parts: the shop, its house rules, and what comes later.
MORE_PLACES = (
    "ALTER TABLE knowledge_file RENAME TO knowledge_file_before",
    """CREATE TABLE knowledge_file (
        knowledge TEXT NOT NULL REFERENCES knowledge,
        place TEXT NOT NULL CHECK (place <> ''),
        path TEXT NOT NULL,
        content TEXT NOT NULL REFERENCES content,
        PRIMARY KEY (knowledge, place, path)
    ) WITHOUT ROWID""",
    "INSERT INTO knowledge_file SELECT * FROM knowledge_file_before",
    "DROP TABLE knowledge_file_before",
)

SEALS_APART = (
    # On the digest of an entry, under a key that lies outside; entries from before have none.
    """CREATE TABLE seal (
        entry INTEGER PRIMARY KEY REFERENCES entry,
        key TEXT NOT NULL,
        mac TEXT NOT NULL
    )""",
    "CREATE TRIGGER seal_stays BEFORE UPDATE ON seal BEGIN SELECT RAISE(ABORT, 'seals are never changed'); END",
    "CREATE TRIGGER seal_kept BEFORE DELETE ON seal BEGIN SELECT RAISE(ABORT, 'seals are never removed'); END",
)

#: What is people's, part by part: an erased part keeps its digest, without the salt that it was taken with. Of entries
#: from before there is one part, named "", which holds all of it.
APART = (
    """CREATE TABLE apart (
        entry INTEGER NOT NULL REFERENCES entry,
        part TEXT NOT NULL,
        digest TEXT NOT NULL,
        salt TEXT,
        text TEXT,
        PRIMARY KEY (entry, part)
    ) WITHOUT ROWID""",
    "INSERT INTO apart SELECT number, '', sealed, salt, private.body FROM entry LEFT JOIN private"
    " ON private.entry = number WHERE sealed IS NOT NULL",
    "DROP TABLE private",
    """CREATE TRIGGER apart_stays BEFORE UPDATE ON apart WHEN NEW.entry <> OLD.entry OR NEW.part <> OLD.part
        OR NEW.digest <> OLD.digest OR NEW.salt IS NOT NULL OR NEW.text IS NOT NULL
        BEGIN SELECT RAISE(ABORT, 'only erased, not changed'); END""",
    "CREATE TRIGGER apart_kept BEFORE DELETE ON apart BEGIN SELECT RAISE(ABORT, 'only erased, not removed'); END",
)
#: The same of a file that is only read and of a version before: with the table of then, and where there was none.
APART_OF_BEFORE = (
    "CREATE TEMP VIEW apart AS SELECT number AS entry, '' AS part, sealed AS digest, salt, private.body AS text"
    " FROM entry LEFT JOIN private ON private.entry = number WHERE sealed IS NOT NULL"
)
APART_OF_NONE = "CREATE TEMP VIEW apart AS SELECT 0 AS entry, '' AS part, '' AS digest, '' AS salt, '' AS text WHERE 0"

#: How cases are found again; no part of the history, see `words`. The names of cases are found by an index on what
#: stands apart; those that bodies of before hold stand in ``found_called``.
FINDING = (
    """CREATE TABLE found_by (
        people INTEGER NOT NULL,
        word TEXT NOT NULL,
        block INTEGER NOT NULL,
        cases BLOB NOT NULL,
        PRIMARY KEY (people, word, block)
    ) WITHOUT ROWID""",
    """CREATE TABLE found_lately (
        in_case INTEGER PRIMARY KEY,
        words TEXT NOT NULL,
        people TEXT NOT NULL
    )""",
    "CREATE TABLE found_upto (one INTEGER PRIMARY KEY CHECK (one = 1), turned INTEGER NOT NULL)",
    "INSERT INTO found_upto VALUES (1, 0)",
    "CREATE INDEX apart_case ON apart (text) WHERE part = 'case'",
    """CREATE TABLE found_called (
        name TEXT NOT NULL,
        in_case INTEGER NOT NULL,
        PRIMARY KEY (name, in_case)
    ) WITHOUT ROWID""",
    "INSERT OR IGNORE INTO found_called SELECT name, in_case FROM (SELECT in_case, CASE WHEN json_valid(body)"
    " THEN json_extract(body, '$.case.id') END AS name FROM entry WHERE kind = 'answers') WHERE typeof(name) = 'text'"
    " AND name <> 'case'",
    "DROP INDEX entry_of_kind",
    "CREATE INDEX entry_of_kind ON entry (kind, in_case, at)",
)

#: The chains of counters' own casebooks, link by link: each entry's number, case, digest and seal there, and the entry
#: that stands for it here. ``said``: what its digest is taken over, where the entry here is not its copy. Number 0 is
#: where a chain begins: its ``said`` is the counter's name, its entry the first that tells of it.
HANDED_OVER = (
    """CREATE TABLE handed_over (
        casebook TEXT NOT NULL,
        number INTEGER NOT NULL,
        in_case INTEGER NOT NULL,
        digest TEXT NOT NULL,
        entry INTEGER NOT NULL REFERENCES entry,
        said TEXT,
        key TEXT,
        mac TEXT,
        PRIMARY KEY (casebook, number)
    ) WITHOUT ROWID""",
    "CREATE INDEX handed_over_as ON handed_over (entry)",
    "CREATE INDEX handed_over_case ON handed_over (casebook, in_case)",
    "CREATE TRIGGER handed_over_stays BEFORE UPDATE ON handed_over"
    " BEGIN SELECT RAISE(ABORT, 'what was handed over is never changed'); END",
    "CREATE TRIGGER handed_over_kept BEFORE DELETE ON handed_over"
    " BEGIN SELECT RAISE(ABORT, 'what was handed over is never removed'); END",
)

#: On a server results of impact runs stand beside the casebook; those of a file lie in the cache of whoever runs one.
IMPACT: tuple[str, ...] = ()

#: Step n brings a file from version n - 1 to version n.
STEPS = (FIRST, PRIVATE, TAKEN_OVER, MORE_PLACES, SEALS_APART, APART, FINDING, HANDED_OVER, IMPACT)
