"""Every statement on the tables of a casebook, as a file has them; `server_statements` says what a server spells
otherwise. The tables themselves are made in `file_tables` and `server_tables`.
"""

from collections.abc import Collection

from . import file_tables

#: The version of a casebook that this program writes.
LATEST = len(file_tables.STEPS)
#: The version since which entries are sealed.
SEALED_SINCE = 5
#: The version since which what is people's stands apart part by part, and that since which it stands apart at all.
APART_SINCE, PRIVATE_SINCE = 6, 2

# --- statements; values stand for the question marks in order

ENTRY = "number, in_case, kind, at, by, body, record, knowledge, sealed, previous, digest"
#: Of an entry, in the order of `entries.of_row`: the last is what stands apart for it, part -> text or null if erased.
#: Bytes where a text should stand are no JSON, and would hinder every row: the number they become is found at fault.
PARTS = (
    "(SELECT json_group_object(part, CASE typeof(text) WHEN 'blob' THEN 0 ELSE text END)"
    " FROM apart WHERE apart.entry = entry.number)"
)
WHOLE = f"{ENTRY}, {PARTS}"
EVERY_ENTRY = f"SELECT {WHOLE} FROM entry ORDER BY number"
EVERY_ENTRY_BY_CASE = f"SELECT {WHOLE} FROM entry ORDER BY in_case, number"
ENTRIES_OF_CASE = f"SELECT {WHOLE} FROM entry WHERE in_case = ? ORDER BY number"
ENTRIES_OF_KIND = f"SELECT {WHOLE} FROM entry WHERE in_case = ? AND kind = ? ORDER BY number"
#: Not by the index of kinds, in which most of all cases stand: hence the blank text joined to the kind.
ANSWERS_CALLED = (
    f"SELECT {WHOLE} FROM entry WHERE kind || '' = 'answers' AND number IN"
    " (SELECT entry FROM apart WHERE part = 'case' AND text = ? UNION"
    " SELECT number FROM entry WHERE in_case IN (SELECT in_case FROM found_called WHERE name = ?))"
)
ENTRIES_AFTER = f"SELECT {WHOLE} FROM entry WHERE number > ? ORDER BY number"
ENTRY_OF_NUMBER = f"SELECT {WHOLE} FROM entry WHERE number = ?"
QUOTES = f"SELECT {WHOLE} FROM entry WHERE kind = 'quote' ORDER BY number"
#: Those of one kind before a number, the latest first. Which they are is read from the index of kinds alone.
LATEST_OF_KIND = (
    f"SELECT {WHOLE} FROM entry WHERE number IN (SELECT number FROM entry WHERE kind = ? AND number < ?"
    " ORDER BY number DESC LIMIT ?) ORDER BY number DESC"
)
#: Of what was sold and what was heard of it since.
SALES_AND_HEARD = (
    f"SELECT {WHOLE} FROM entry WHERE kind IN ('sale', 'fitting', 'return', 'outcome', 'asking')"
    " ORDER BY in_case, number"
)
LAST_ENTRY = "SELECT max(number) FROM entry"
#: Number and case of the entry that has this digest, here or where it was taken over from.
PLACE_OF_DIGEST = (
    "SELECT entry.number, in_case FROM taken_over JOIN entry ON number = entry WHERE taken_over.digest = ?"
    " UNION SELECT number, in_case FROM entry WHERE digest = ?"
)
ADD_ENTRY = f"INSERT INTO entry ({ENTRY}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
ADD_TAKEN_OVER = "INSERT INTO taken_over VALUES (?, ?)"

HANDED_OVER_SINCE = 8
LINK = "casebook, number, in_case, digest, entry, said, key, mac"
ADD_LINK = f"INSERT INTO handed_over ({LINK}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
EVERY_LINK = f"SELECT {LINK} FROM handed_over ORDER BY casebook, number"
#: Counters that handed over: casebook, name, the first entry that tells of it, the case of all that do.
COUNTERS = (
    "SELECT handed_over.casebook, said, handed_over.entry, entry.in_case FROM handed_over"
    " JOIN entry ON entry.number = handed_over.entry"
    " WHERE handed_over.number = 0 ORDER BY handed_over.entry"
)
LAST_LINK = "SELECT number, digest FROM handed_over WHERE casebook = ? ORDER BY number DESC LIMIT 1"
DIGEST_OF_LINK = "SELECT digest FROM handed_over WHERE casebook = ? AND number = ?"
#: The entry that stands here for that of a counter, and the number there of one that stands here.
ENTRY_OF_LINK = "SELECT entry FROM handed_over WHERE casebook = ? AND number = ?"
NUMBER_OF_LINK = "SELECT number FROM handed_over WHERE casebook = ? AND entry = ? AND number > 0 ORDER BY number"
#: The case here of a counter's case, and the counter's numbers of the cases here.
CASE_OF_LINK = (
    "SELECT entry.in_case FROM handed_over JOIN entry ON entry.number = handed_over.entry"
    " WHERE handed_over.casebook = ? AND handed_over.in_case = ? AND handed_over.number > 0"
    " ORDER BY handed_over.number LIMIT 1"
)
LINKS_OF_CASE = (
    "SELECT handed_over.casebook, handed_over.in_case, handed_over.entry FROM handed_over"
    " JOIN entry ON entry.number = handed_over.entry WHERE entry.in_case = ? AND handed_over.number > 0"
    " ORDER BY handed_over.entry LIMIT 1"
)
#: What was erased here of a counter's entries: number there, case there, part.
ERASED_OF_COUNTER = (
    "SELECT handed_over.number, handed_over.in_case, part FROM handed_over"
    " JOIN apart ON apart.entry = handed_over.entry"
    " WHERE casebook = ? AND handed_over.number > 0 AND text IS NULL ORDER BY handed_over.number, part"
)
HAND_OVERS = f"SELECT {WHOLE} FROM entry WHERE kind = 'hand_over' ORDER BY number"
SOME_ENTRIES_AFTER = f"SELECT {WHOLE} FROM entry WHERE number > ? ORDER BY number LIMIT ?"
SEAL_OF_ENTRY = "SELECT key, mac FROM seal WHERE entry = ?"
#: Cases with entries after a number.
CASES_SINCE_ENTRY = "SELECT count(DISTINCT in_case) FROM entry WHERE number > ?"

HEAD = "SELECT casebook, entries, digest FROM head"
BEGIN_HEAD = "INSERT INTO head VALUES (1, ?, 0, ?)"
HEADS = "SELECT count(*) FROM head"
MOVE_HEAD = "UPDATE head SET entries = ?, digest = ?"

ADD_SEAL = "INSERT INTO seal VALUES (?, ?, ?)"
#: Entries with what seals them, or None: number, digest, key, mac.
SEALS = "SELECT number, digest, key, mac FROM entry LEFT JOIN seal ON seal.entry = number ORDER BY number"
SEALS_OF_CASE = (
    "SELECT number, digest, key, mac FROM entry LEFT JOIN seal ON seal.entry = number WHERE in_case = ? ORDER BY number"
)
#: Entries after a number, which are sealed before their transaction ends.
UNSEALED_AFTER = "SELECT number, digest FROM entry WHERE number > ? ORDER BY number"
LAST_UNSEALED = "SELECT max(number) FROM entry WHERE number NOT IN (SELECT entry FROM seal)"
KEYS = "SELECT DISTINCT key FROM seal"
DIGEST_OF_ENTRY = "SELECT digest FROM entry WHERE number = ?"
PREVIOUS_OF_ENTRY = "SELECT previous FROM entry WHERE number = ?"

#: A new case, numbered on from the last; its number.
ADD_CASE = "INSERT INTO cases SELECT coalesce(max(number), 0) + 1 FROM cases RETURNING number"
CASE = "SELECT 1 FROM cases WHERE number = ?"
#: Cases with a complaint or a bad outcome after whatever a lead last signed on them, with the last such entry.
HEARD_SINCE_SIGNED = (
    "SELECT in_case, max(number) FROM entry AS heard WHERE kind IN ('complaint', 'outcome') AND NOT EXISTS (SELECT 1"
    " FROM entry WHERE in_case = heard.in_case AND kind = 'sign_off' AND number > heard.number) GROUP BY in_case"
)
EVERY_CASE = "SELECT number FROM cases ORDER BY number"
#: Beyond the number of any case or entry.
MOST = 2**62
CASES_BEFORE = "SELECT number FROM cases WHERE number < ? ORDER BY number DESC LIMIT ?"
CASES_BETWEEN = "SELECT number FROM cases WHERE number > ? AND number <= ? ORDER BY number"
CASES_WITHOUT_WORDS = (
    "SELECT number FROM cases WHERE number > ? AND number NOT IN (SELECT in_case FROM found_lately)"
    " ORDER BY number LIMIT ?"
)
CASES_WITHOUT_ENTRIES = (
    "SELECT number FROM cases WHERE NOT EXISTS (SELECT 1 FROM entry WHERE in_case = cases.number) ORDER BY number"
)
COUNT_CASES_AFTER = "SELECT count(*) FROM cases WHERE number > ?"
LAST_CASE = "SELECT max(number) FROM cases"
FIRST_OF_CASE = "SELECT min(number) FROM entry WHERE in_case = ?"
#: Cases with answers of that day or later, which those begun since are among.
CASES_SINCE_BEFORE = (
    "SELECT DISTINCT in_case FROM entry WHERE kind = 'answers' AND at >= ? AND in_case < ?"
    " ORDER BY in_case DESC LIMIT ?"
)
CASES_SINCE_AFTER = (
    "SELECT DISTINCT in_case FROM entry WHERE kind = 'answers' AND at >= ? AND in_case > ? ORDER BY in_case LIMIT ?"
)
CASES_AFTER = "SELECT number FROM cases WHERE number > ? ORDER BY number LIMIT ?"

CONTENT = "SELECT size, body FROM content WHERE sha256 = ?"
HAS_CONTENT = "SELECT 1 FROM content WHERE sha256 = ?"
EVERY_CONTENT = "SELECT sha256, size, body FROM content"
CONTENT_OF_NOTHING = (
    "SELECT sha256 FROM content WHERE sha256 NOT IN (SELECT record FROM entry WHERE record IS NOT NULL"
    " UNION SELECT content FROM knowledge_file)"
)
SIZE_OF_CONTENT = "SELECT total(size) FROM content"
ADD_CONTENT = "INSERT INTO content VALUES (?, ?, ?)"

KNOWLEDGE = "SELECT 1 FROM knowledge WHERE sha256 = ?"
EVERY_KNOWLEDGE = "SELECT sha256 FROM knowledge"
KNOWLEDGE_IN_USE = "SELECT DISTINCT knowledge FROM entry"
ADD_KNOWLEDGE = "INSERT INTO knowledge VALUES (?)"
FILES_OF_KNOWLEDGE = "SELECT place, path, content FROM knowledge_file WHERE knowledge = ? ORDER BY place, path"
ADD_FILE = "INSERT INTO knowledge_file VALUES (?, ?, ?, ?)"
#: Each knowledge with the first and last time cases were decided with it, and how many.
KNOWLEDGE_OVER_TIME = (
    "SELECT knowledge, min(at), max(at), count(*) FROM entry WHERE kind IN ('answers', 'reading')"
    " GROUP BY knowledge ORDER BY min(number)"
)

#: What stands apart for an entry, of every entry of a case, and of all: part, digest, salt, text.
APART_OF_ENTRY = "SELECT part, digest, salt, text FROM apart WHERE entry = ? ORDER BY part"
APART_OF_CASE = (
    "SELECT entry, part, apart.digest, salt, text FROM apart JOIN entry ON entry.number = apart.entry WHERE in_case = ?"
    " ORDER BY entry, part"
)
EVERY_APART = "SELECT entry, part, digest, salt, text FROM apart ORDER BY entry, part"
ADD_APART = "INSERT INTO apart VALUES (?, ?, ?, ?, ?)"
ERASE_APART = "UPDATE apart SET salt = NULL, text = NULL WHERE entry = ? AND part = ?"
ERASE_ALL_APART = "UPDATE apart SET salt = NULL, text = NULL WHERE entry = ?"
#: Texts that stand apart in other cases than one.
APART_ELSEWHERE = (
    "SELECT in_case, kind, part, text FROM apart JOIN entry ON entry.number = apart.entry"
    " WHERE text IS NOT NULL AND in_case <> ? ORDER BY in_case"
)


def _among(numbers: Collection[int]) -> str:
    return ", ".join(str(int(number)) for number in numbers) or "NULL"


def entries_of_cases(numbers: Collection[int]) -> str:
    """Entries of some cases, case by case: ``ENTRY``, key and mac of the seal, and what the next entry follows on."""
    columns = ", ".join(f"entry.{column}" for column in ENTRY.split(", "))
    return (
        f"SELECT {columns}, seal.key, seal.mac, follower.previous FROM entry"
        " LEFT JOIN seal ON seal.entry = entry.number"
        " LEFT JOIN entry AS follower ON follower.number = entry.number + 1"
        f" WHERE entry.in_case IN ({_among(numbers)}) ORDER BY entry.in_case, entry.number"
    )


def apart_of_cases(numbers: Collection[int]) -> str:
    """What stands apart for the entries of some cases: entry, part, digest, salt, text."""
    return (
        "SELECT apart.entry, apart.part, apart.digest, apart.salt, apart.text FROM apart"
        f" JOIN entry ON entry.number = apart.entry WHERE entry.in_case IN ({_among(numbers)})"
        " ORDER BY entry.in_case, entry.number, apart.part"
    )


TURNED = "SELECT turned FROM found_upto"
SET_TURNED = "UPDATE found_upto SET turned = ?"
FOUND_LATELY = "SELECT words, people FROM found_lately WHERE in_case = ?"
ADD_LATELY = "INSERT INTO found_lately (words, people, in_case) VALUES (?, ?, ?)"
SET_LATELY = "UPDATE found_lately SET words = ?, people = ? WHERE in_case = ?"
DROP_LATELY = "DELETE FROM found_lately WHERE in_case <= ?"
LATELY_BETWEEN = "SELECT in_case, words, people FROM found_lately WHERE in_case > ? AND in_case <= ?"
COUNT_LATELY = "SELECT count(*) FROM found_lately"
LATEST_WORDS = (
    "SELECT number, words, people FROM cases LEFT JOIN found_lately ON in_case = number"
    " WHERE number > ? AND number < ? ORDER BY number DESC LIMIT ?"
)
FOUND_BY = "SELECT cases FROM found_by WHERE people = ? AND word = ? AND block = ?"
#: Of all words from one up to another, in the blocks from one up to another: block and cases; and how many rows in all.
FOUND_FROM = (
    "SELECT block, cases FROM found_by WHERE people = ? AND word >= ? AND word < ? AND block >= ? AND block < ?"
)
COUNT_FOUND = "SELECT count(*) FROM found_by WHERE people = ? AND word >= ? AND word < ?"
ADD_FOUND_BY = "INSERT INTO found_by (cases, people, word, block) VALUES (?, ?, ?, ?)"
SET_FOUND_BY = "UPDATE found_by SET cases = ? WHERE people = ? AND word = ? AND block = ?"
DROP_FOUND_BY = "DELETE FROM found_by WHERE people = ? AND word = ? AND block = ?"
WORDS_OF_BLOCK = "SELECT people, word, cases FROM found_by WHERE block = ?"
FORGET_WORDS = ("DELETE FROM found_by", "DELETE FROM found_lately", "UPDATE found_upto SET turned = 0")

#: Every entry with the digest over what stands apart for it.
SEALED = "SELECT number, in_case, kind, sealed FROM entry ORDER BY number"
FORGOTTEN = "SELECT body FROM entry WHERE kind = 'forgotten'"

#: What was asked and told in each case, with the entry a decision is of and the car.
TOLD = (
    "SELECT in_case, number, kind, at, digest, knowledge, json_extract(body, '$.of'),"
    " json_extract(body, '$.case.platform')"
    " FROM entry WHERE kind IN ('answers', 'decision') ORDER BY in_case, number"
)
COUNT = "SELECT count(*) FROM sqlite_schema"
SCHEMA = "SELECT name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%'"


#: All rows of every table, in an order in which they can be written into an empty casebook, and how each is written.
TABLES = (
    (EVERY_CONTENT, ADD_CONTENT),
    (EVERY_KNOWLEDGE, ADD_KNOWLEDGE),
    ("SELECT knowledge, place, path, content FROM knowledge_file", ADD_FILE),
    (EVERY_CASE, "INSERT INTO cases VALUES (?)"),
    (f"SELECT {ENTRY} FROM entry ORDER BY number", ADD_ENTRY),
    (EVERY_APART, ADD_APART),
    ("SELECT entry, key, mac FROM seal ORDER BY entry", ADD_SEAL),
    ("SELECT digest, entry FROM taken_over", ADD_TAKEN_OVER),
    (EVERY_LINK, ADD_LINK),
)
