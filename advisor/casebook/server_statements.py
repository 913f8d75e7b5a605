"""The statements of `statements` as a PostgreSQL server understands them, and those that only it has.

Most stand once, in `statements`: only their question marks are written otherwise. Where the two differ it is in a few
expressions, which are replaced wherever they occur, and in how what is people's is put away and erased.
"""

import functools

from . import statements

#: Expressions as a file has them -> as a server has them.
FRAGMENTS = {
    statements.PARTS: (
        "(SELECT coalesce(json_object_agg(part, text), '{}'::json)::text FROM apart WHERE apart.entry = entry.number)"
    ),
    "json_extract(body, '$.of')": "(body::json ->> 'of')::bigint",
    "json_extract(body, '$.case.platform')": "(body::json #>> '{case,platform}')",
    "total(size)": "coalesce(sum(size), 0)::bigint",
}

#: Statements that differ as a whole. What is sealed of people's texts stays, the texts themselves go.
OTHERWISE = {
    statements.ADD_APART: (
        "WITH given (entry, part, digest, salt, text) AS"
        " (VALUES (?::bigint, ?::text, ?::text, ?::text, ?::text)),"
        " sealed AS (INSERT INTO sealed_part SELECT entry, part, digest FROM given)"
        " INSERT INTO private SELECT entry, part, salt, text FROM given WHERE text IS NOT NULL"
    ),
    statements.ERASE_APART: "DELETE FROM private WHERE entry = ? AND part = ?",
    statements.ERASE_ALL_APART: "DELETE FROM private WHERE entry = ?",
    # It has moved when the entry was added; where not to this one, this finds nothing and says nothing.
    statements.MOVE_HEAD: "SELECT 1 FROM head WHERE entries = ? AND digest = ?",
}

#: What may give as many rows as there are entries: fetched piece by piece.
LARGE = frozenset(
    {
        statements.EVERY_ENTRY,
        statements.EVERY_ENTRY_BY_CASE,
        statements.CONTENT_OF_NOTHING,
        statements.TOLD,
        statements.EVERY_APART,
        statements.APART_ELSEWHERE,
        statements.SEALS,
        statements.SEALED,
        statements.EVERY_LINK,
        statements.EVERY_CONTENT,
        statements.EVERY_CASE,
        statements.QUOTES,
        statements.SALES_AND_HEARD,
        *(select for select, _ in statements.TABLES),
    }
)


@functools.cache
def spelt(sql: str) -> str:
    """A statement as the server's library takes it."""
    sql = OTHERWISE.get(sql, sql)
    for here, there in FRAGMENTS.items():
        sql = sql.replace(here, there)
    return sql.replace("%", "%%").replace("?", "%s")


# --- what only a server has; {schema} and the like are filled in


def settings(count: int) -> str:
    """Set so many settings of a connection, each by its name and value."""
    return "SELECT " + ", ".join(["set_config(?, ?, false)"] * count)


#: What is acknowledged is on the server's disk, unless its machine lies about that.
SURELY = "SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') = 'off'"
FSYNC = "SHOW fsync"
TAKE_LOCK = "SELECT pg_advisory_xact_lock(?)"
#: Of the schema: its number, whether its owner's rights are ours, whether tables are in it, what we may do with them.
STANDS = (
    "SELECT oid::bigint, pg_has_role(current_user, nspowner, 'USAGE'), coalesce(entry.there, false),"
    " coalesce(entry.may_read, false) AND has_schema_privilege(pg_namespace.oid, 'USAGE'),"
    " coalesce(entry.may_write, false)"
    " FROM pg_namespace LEFT JOIN LATERAL (SELECT true AS there, has_table_privilege(oid, 'SELECT') AS may_read,"
    " has_table_privilege(oid, 'INSERT') AS may_write FROM pg_class WHERE relnamespace = pg_namespace.oid"
    " AND relname = 'entry') AS entry ON true WHERE nspname = ?"
)
ENCODING = "SHOW server_encoding"
VERSION = "SELECT number FROM version"
MAKE_SCHEMA = "CREATE SCHEMA {schema}"
BEGIN_VERSION = "INSERT INTO version VALUES (1, ?)"
MOVE_VERSION = "UPDATE version SET number = ?"
NAME_ANEW = "UPDATE head SET casebook = ?, digest = ?"
#: Within the transaction that fills an empty casebook: nobody else sees the tables meanwhile.
HEAD_WAITS = "ALTER TABLE entry DISABLE TRIGGER entry_follows; ALTER TABLE head DISABLE TRIGGER head_moves"
HEAD_FOLLOWS_AGAIN = "ALTER TABLE entry ENABLE TRIGGER entry_follows; ALTER TABLE head ENABLE TRIGGER head_moves"
#: The first entry that does not follow on the one before it, the first one on the casebook's name; or null.
NOT_IN_A_CHAIN = (
    "SELECT min(number) FROM"
    " (SELECT number, previous, row_number() OVER chain AS place, lag(digest) OVER chain AS before FROM entry"
    " WINDOW chain AS (ORDER BY number)) AS linked WHERE number <> place OR previous <> coalesce(before, ?)"
)
HEAD_GOES_TO_LAST = (
    "UPDATE head SET entries = number, digest = last.digest"
    " FROM (SELECT number, digest FROM entry ORDER BY number DESC LIMIT 1) AS last"
)
#: So that the server knows how much there is before it looks by itself, and looks rows up instead of reading all.
LOOK_AT_WHAT_CAME = "ANALYZE cases, entry, sealed_part, private, seal, taken_over, handed_over, content, knowledge_file"
NEVER_AS_LONG = "SET LOCAL statement_timeout = 0"
BEGIN_READING = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"
#: Who is first goes on; all others wait here, so that nobody adds on an entry that is not the last.
BEGIN_WRITING = (
    "BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE; SET LOCAL lock_timeout = {patience};"
    " SET LOCAL idle_in_transaction_session_timeout = {idle}; SELECT pg_advisory_xact_lock({lock})"
)
ENTRY_STANDS = "SELECT 1 FROM entry WHERE digest = ?"
#: A table written anew still holds the rows removed since the oldest look at the database that goes on began.
FROM_NOW = "SELECT pg_current_xact_id()::xid::text"
STILL_LOOKED_AT = (
    "SELECT count(*) FROM pg_stat_activity WHERE pid <> pg_backend_pid()"
    " AND coalesce(datname, current_database()) = current_database()"
    " AND greatest(age(backend_xmin), age(backend_xid)) > age(?::xid)"
)
REWRITE = "VACUUM (FULL) private, found_by, found_lately"
SOON = "SET lock_timeout = 5000"
BYTES = "SELECT coalesce(sum(pg_total_relation_size(oid)), 0)::bigint FROM pg_class WHERE relnamespace = ?"
BROKEN_INDEXES = (
    "SELECT 'the index ' || relname || ' is not complete' FROM pg_index JOIN pg_class ON pg_class.oid = indexrelid"
    " WHERE relnamespace = ? AND NOT (indisvalid AND indisready) ORDER BY 1"
)
#: Roles that may do more than add: (role, table, right).
MORE_RIGHTS = (
    "SELECT coalesce(rolname, 'everybody'), relname, privilege_type"
    " FROM pg_class CROSS JOIN aclexplode(relacl) LEFT JOIN pg_roles ON pg_roles.oid = grantee"
    " WHERE relnamespace = ? AND grantee <> relowner AND privilege_type NOT IN ('SELECT', 'INSERT')"
    " AND NOT (relname = 'private' AND privilege_type = 'DELETE')"
    " AND relname NOT IN ('found_by', 'found_lately', 'found_upto') AND NOT starts_with(relname, 'impact_')"
    " ORDER BY 1, 2, 3"
)
#: Roles that have a right to the entries, beside their owner.
ROLES_WITH = (
    "SELECT DISTINCT rolname FROM pg_class CROSS JOIN aclexplode(relacl) JOIN pg_roles ON pg_roles.oid = grantee"
    " WHERE relnamespace = ? AND relname = 'entry' AND privilege_type = ? AND grantee <> relowner ORDER BY 1"
)
ROLE = "SELECT rolsuper FROM pg_roles WHERE rolname = ?"
OWN_ROLE = "SELECT rolsuper FROM pg_roles WHERE rolname = current_user"

#: What stands in a schema, a line for each thing: its name, and how it is made. The schema's own name is left out.
LISTING = (
    """SELECT relname || '.' || attname, format('%s %s %s %s', format_type(atttypid, atttypmod), attnotnull,
        attstorage, (SELECT collname FROM pg_collation WHERE oid = attcollation))
        FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
        WHERE relnamespace = ? AND relkind IN ('r', 'p', 'v', 'm', 'f') AND attnum > 0 AND NOT attisdropped""",
    """SELECT conname, format('%s %s %s %s %s %s', contype, pg_class.relname, conkey, convalidated,
        other.relname, CASE contype WHEN 'c' THEN pg_get_constraintdef(pg_constraint.oid) END)
        FROM pg_constraint JOIN pg_class ON pg_class.oid = conrelid LEFT JOIN pg_class AS other ON other.oid = confrelid
        WHERE pg_class.relnamespace = ?""",
    """SELECT pg_class.relname, format('%s %s %s', indisunique, indkey, made_on.relname)
        FROM pg_index JOIN pg_class ON pg_class.oid = indexrelid JOIN pg_class AS made_on ON made_on.oid = indrelid
        WHERE pg_class.relnamespace = ? AND made_on.relkind <> 't'""",
    """SELECT tgname, format('%s %s %s %s %s', pg_class.relname, proname, tgtype, tgenabled, tgqual IS NULL)
        FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid JOIN pg_proc ON pg_proc.oid = tgfoid
        WHERE relnamespace = ? AND NOT tgisinternal""",
    """SELECT format('the check behind %s', conname), format('%s %s %s', tgtype, tgenabled, proname)
        FROM pg_trigger JOIN pg_constraint ON pg_constraint.oid = tgconstraint JOIN pg_proc ON pg_proc.oid = tgfoid
        JOIN pg_class ON pg_class.oid = tgrelid WHERE relnamespace = ? AND tgisinternal""",
    """SELECT proname || '()', format('%s %s %s', prosecdef, proconfig, prosrc)
        FROM pg_proc WHERE pronamespace = ?""",
    """SELECT rulename || ' on ' || relname, format('%s', CASE WHEN relkind = 'v' THEN pg_get_viewdef(pg_class.oid) END)
        FROM pg_rewrite JOIN pg_class ON pg_class.oid = ev_class WHERE relnamespace = ?""",
)
TEMPORARY = "SELECT pg_my_temp_schema()::bigint"
SEARCH_IN = "SET LOCAL search_path = {schema}, pg_temp"
SEARCH_TEMPORARY = "SET LOCAL search_path = pg_temp"
#: A temporary table of one row, so that there is a schema for temporary things.
BEGIN_TEMPORARY = "CREATE TEMPORARY TABLE least_clutch_look () ON COMMIT DROP; DROP TABLE least_clutch_look"

#: References of one column: table, column, the table they are to, its key.
REFERENCES = (
    ("knowledge_file", "knowledge", "knowledge", "sha256"),
    ("knowledge_file", "content", "content", "sha256"),
    ("entry", "in_case", "cases", "number"),
    ("entry", "record", "content", "sha256"),
    ("entry", "knowledge", "knowledge", "sha256"),
    ("sealed_part", "entry", "entry", "number"),
    ("seal", "entry", "entry", "number"),
    ("taken_over", "entry", "entry", "number"),
    ("handed_over", "entry", "entry", "number"),
)
#: Rows that refer to nothing; the server sees to it, unless somebody switched that off.
DANGLING = (
    *(
        f"SELECT 'table {table} row ' || {column} || ' refers to nothing' FROM {table}"
        f" WHERE {column} IS NOT NULL AND NOT EXISTS (SELECT 1 FROM {other} WHERE {other}.{key} = {table}.{column})"
        for table, column, other, key in REFERENCES
    ),
    "SELECT 'table private row ' || entry || ' refers to nothing' FROM private WHERE NOT EXISTS"
    " (SELECT 1 FROM sealed_part WHERE sealed_part.entry = private.entry AND sealed_part.part = private.part)",
)

# --- results of impact runs

MAY_KEEP_RUNS = (
    "SELECT NOT pg_is_in_recovery() AND coalesce(bool_and(has_table_privilege(oid, 'INSERT')"
    " AND has_table_privilege(oid, 'UPDATE') AND has_table_privilege(oid, 'DELETE')), false)"
    " FROM pg_class WHERE relnamespace = current_schema()::regnamespace AND relname IN ('impact_task', 'impact_result')"
)
OWN_SCHEMA = "SELECT current_schema()::regnamespace::oid::bigint"
CLOCK = "SELECT extract(epoch FROM clock_timestamp())::double precision"
#: Held until the connection ends, and until the transaction does.
TRY_TO_HOLD = "SELECT pg_try_advisory_lock(?::integer, ?::integer)"
TRY_LOCK = "SELECT pg_try_advisory_xact_lock(?::integer, ?::integer)"
#: Whoever shares out a million decisions takes minutes over it, and others wait as long.
BEGIN_CHANGING_RUNS = (
    "BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE; SET LOCAL lock_timeout = '15min';"
    " SET LOCAL statement_timeout = 0; SELECT pg_advisory_xact_lock({lock})"
)
