"""The tables of a casebook on a PostgreSQL server, step by step as those of a file in `file_tables`.

What stands in a file's table means the same here. What differs is who guards it. Whoever owns the tables makes and
changes them; counters work as another role, which may add to the history and nothing else: no right to change or remove
a row of it, nor to move the head, which follows by itself when an entry is added on the last one. Two that add on the
same entry cannot both succeed, whatever program they run. What is people's stands in a table of its own, ``private``,
whose rows may be removed; what they were sealed with stays behind in ``sealed_part``. ``apart`` shows both together.

Names in braces are filled in: {schema}. All text is compared sign by sign (collation "C"), as a file's is.
"""

_TEXT = 'TEXT COLLATE "C"'

FIRST = (
    "CREATE TABLE version (one SMALLINT PRIMARY KEY CHECK (one = 1), number INTEGER NOT NULL)",
    f"""CREATE TABLE head (
        one SMALLINT PRIMARY KEY CHECK (one = 1),
        casebook {_TEXT} NOT NULL,
        entries BIGINT NOT NULL,
        digest {_TEXT} NOT NULL
    )""",
    f"""CREATE TABLE content (
        sha256 {_TEXT} PRIMARY KEY,
        size BIGINT NOT NULL,
        body BYTEA NOT NULL
    )""",
    # It comes packed: trying to pack it again costs time and saves nothing.
    "ALTER TABLE content ALTER COLUMN body SET STORAGE EXTERNAL",
    f"CREATE TABLE knowledge (sha256 {_TEXT} PRIMARY KEY)",
    f"""CREATE TABLE knowledge_file (
        knowledge {_TEXT} NOT NULL REFERENCES knowledge,
        place {_TEXT} NOT NULL CHECK (place <> ''),
        path {_TEXT} NOT NULL,
        content {_TEXT} NOT NULL REFERENCES content,
        PRIMARY KEY (knowledge, place, path)
    )""",
    "CREATE TABLE cases (number BIGINT PRIMARY KEY)",
    f"""CREATE TABLE entry (
        number BIGINT PRIMARY KEY,
        in_case BIGINT NOT NULL REFERENCES cases,
        kind {_TEXT} NOT NULL,
        at {_TEXT} NOT NULL,
        by {_TEXT} NOT NULL,
        body {_TEXT} NOT NULL,
        record {_TEXT} REFERENCES content,
        knowledge {_TEXT} REFERENCES knowledge,
        sealed {_TEXT},
        previous {_TEXT} NOT NULL UNIQUE,
        digest {_TEXT} NOT NULL UNIQUE
    )""",
    "CREATE INDEX entry_of_case ON entry (in_case, number)",
    "CREATE INDEX entry_of_kind ON entry (kind, in_case)",
    f"""CREATE TABLE sealed_part (
        entry BIGINT NOT NULL REFERENCES entry,
        part {_TEXT} NOT NULL,
        digest {_TEXT} NOT NULL,
        PRIMARY KEY (entry, part)
    )""",
    f"""CREATE TABLE private (
        entry BIGINT NOT NULL,
        part {_TEXT} NOT NULL,
        salt {_TEXT} NOT NULL,
        text {_TEXT} NOT NULL,
        PRIMARY KEY (entry, part),
        FOREIGN KEY (entry, part) REFERENCES sealed_part
    )""",
    """CREATE VIEW apart AS
        SELECT sealed_part.entry, sealed_part.part, sealed_part.digest, private.salt, private.text
        FROM sealed_part LEFT JOIN private ON private.entry = sealed_part.entry AND private.part = sealed_part.part""",
    f"""CREATE TABLE seal (
        entry BIGINT PRIMARY KEY REFERENCES entry,
        key {_TEXT} NOT NULL,
        mac {_TEXT} NOT NULL
    )""",
    f"""CREATE TABLE taken_over (
        digest {_TEXT} PRIMARY KEY,
        entry BIGINT NOT NULL REFERENCES entry
    )""",
    # Also against a slip of the owner, whom no missing right stops.
    """CREATE FUNCTION {schema}.stays() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        RAISE EXCEPTION 'what stands in % is never changed or removed', TG_TABLE_NAME USING ERRCODE = '23001';
    END $$""",
    *(
        f"CREATE TRIGGER {table}_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}"
        " FOR EACH STATEMENT EXECUTE FUNCTION {schema}.stays()"
        for table in ("content", "knowledge", "knowledge_file", "cases", "entry", "sealed_part", "seal", "taken_over")
    ),
    "CREATE TRIGGER private_stays BEFORE UPDATE OR TRUNCATE ON private"
    " FOR EACH STATEMENT EXECUTE FUNCTION {schema}.stays()",
    "CREATE TRIGGER head_stays BEFORE DELETE OR TRUNCATE ON head FOR EACH STATEMENT EXECUTE FUNCTION {schema}.stays()",
    # An empty casebook may still get the name of the one that is copied into it.
    """CREATE FUNCTION {schema}.head_moves() RETURNS trigger LANGUAGE plpgsql SET search_path = {schema}, pg_temp AS $$
    BEGIN
        IF NEW.entries = 0 AND OLD.entries = 0 AND NEW.digest = NEW.casebook THEN
            RETURN NEW;
        END IF;
        IF NEW.casebook <> OLD.casebook OR NEW.entries <> OLD.entries + 1 OR NOT EXISTS (
            SELECT 1 FROM entry WHERE number = NEW.entries AND digest = NEW.digest AND previous = OLD.digest
        ) THEN
            RAISE EXCEPTION 'the head follows the entries and nothing else' USING ERRCODE = '23001';
        END IF;
        RETURN NEW;
    END $$""",
    "CREATE TRIGGER head_moves BEFORE UPDATE ON head FOR EACH ROW EXECUTE FUNCTION {schema}.head_moves()",
    # Whoever waited here for another writer finds the head moved on, and is told to begin again.
    """CREATE FUNCTION {schema}.entry_follows() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER
        SET search_path = {schema}, pg_temp AS $$
    BEGIN
        UPDATE head SET entries = NEW.number, digest = NEW.digest
            WHERE entries = NEW.number - 1 AND digest = NEW.previous;
        IF NOT FOUND THEN
            RAISE EXCEPTION 'another entry was added meanwhile' USING ERRCODE = '40001';
        END IF;
        RETURN NULL;
    END $$""",
    "CREATE TRIGGER entry_follows AFTER INSERT ON entry FOR EACH ROW EXECUTE FUNCTION {schema}.entry_follows()",
)

#: The version that tables on a server began with, and the step that brings them to each version from there on.
FIRST_VERSION = 6
#: How cases are found again; no part of the history.
FINDING = (
    f"""CREATE TABLE found_by (
        people SMALLINT NOT NULL,
        word {_TEXT} NOT NULL,
        block BIGINT NOT NULL,
        cases BYTEA NOT NULL,
        PRIMARY KEY (people, word, block)
    )""",
    f"""CREATE TABLE found_lately (
        in_case BIGINT PRIMARY KEY,
        words {_TEXT} NOT NULL,
        people {_TEXT} NOT NULL
    )""",
    "CREATE TABLE found_upto (one SMALLINT PRIMARY KEY CHECK (one = 1), turned BIGINT NOT NULL)",
    "INSERT INTO found_upto VALUES (1, 0)",
    f"CREATE TABLE found_called (name {_TEXT} NOT NULL, in_case BIGINT NOT NULL, PRIMARY KEY (name, in_case))",
    "CREATE INDEX private_case ON private (text) WHERE part = 'case'",
    "DROP INDEX entry_of_kind",
    "CREATE INDEX entry_of_kind ON entry (kind, in_case, at)",
)
#: The chains of counters' own casebooks, see `file_tables.HANDED_OVER`.
HANDED_OVER = (
    f"""CREATE TABLE handed_over (
        casebook {_TEXT} NOT NULL,
        number BIGINT NOT NULL,
        in_case BIGINT NOT NULL,
        digest {_TEXT} NOT NULL,
        entry BIGINT NOT NULL REFERENCES entry,
        said {_TEXT},
        key {_TEXT},
        mac {_TEXT},
        PRIMARY KEY (casebook, number)
    )""",
    "CREATE INDEX handed_over_as ON handed_over (entry)",
    "CREATE INDEX handed_over_case ON handed_over (casebook, in_case)",
    "CREATE TRIGGER handed_over_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON handed_over"
    " FOR EACH STATEMENT EXECUTE FUNCTION {schema}.stays()",
)
#: Runs of an impact that several machines work on together, see `impact_state`; no part of the history, and nothing
#: that cannot be worked out again.
IMPACT = (
    f"CREATE TABLE impact_run (run {_TEXT} PRIMARY KEY, used DOUBLE PRECISION NOT NULL)",
    f"""CREATE TABLE impact_result (
        run {_TEXT}, digest {_TEXT}, number BIGINT, kind {_TEXT}, currency {_TEXT}, set_up SMALLINT, program SMALLINT,
        price_old DOUBLE PRECISION, price_new DOUBLE PRECISION, margin_old DOUBLE PRECISION,
        margin_new DOUBLE PRECISION, in_play {_TEXT}, why {_TEXT}, old {_TEXT}, new {_TEXT}, worked_out {_TEXT},
        sides BYTEA, told_on {_TEXT}, sold {_TEXT}, sold_on {_TEXT}, ring {_TEXT},
        PRIMARY KEY (run, digest)
    )""",
    f"""CREATE TABLE impact_change (
        run {_TEXT}, rules {_TEXT}, kind {_TEXT}, id {_TEXT}, how {_TEXT}, PRIMARY KEY (run, rules, kind, id)
    )""",
    f"CREATE TABLE impact_plan (run {_TEXT}, plan {_TEXT}, since {_TEXT}, undecided BIGINT, PRIMARY KEY (run, plan))",
    f"""CREATE TABLE impact_choice (
        run {_TEXT}, plan {_TEXT}, digest {_TEXT}, number BIGINT, entry BIGINT, knowledge {_TEXT}, car {_TEXT},
        PRIMARY KEY (run, plan, digest)
    )""",
    f"""CREATE TABLE impact_task (
        run {_TEXT}, plan {_TEXT}, task BIGINT, knowledge {_TEXT}, worker {_TEXT}, until DOUBLE PRECISION,
        done SMALLINT, PRIMARY KEY (run, plan, task)
    )""",
    f"""CREATE TABLE impact_member (
        run {_TEXT}, plan {_TEXT}, task BIGINT, number BIGINT, entry BIGINT, digest {_TEXT},
        PRIMARY KEY (run, plan, task, number)
    )""",
    f"""CREATE TABLE impact_worker (
        run {_TEXT}, plan {_TEXT}, worker {_TEXT}, until DOUBLE PRECISION, PRIMARY KEY (run, plan, worker)
    )""",
)
STEPS = {FIRST_VERSION + number: step for number, step in enumerate((FIRST, FINDING, HANDED_OVER, IMPACT))}

#: What a role that writes may do with each table beside reading it.
WRITES = {
    "content": "INSERT",
    "knowledge": "INSERT",
    "knowledge_file": "INSERT",
    "cases": "INSERT",
    "entry": "INSERT",
    "sealed_part": "INSERT",
    "private": "INSERT, DELETE",
    "seal": "INSERT",
    "taken_over": "INSERT",
    "handed_over": "INSERT",
    "found_by": "INSERT, UPDATE, DELETE",
    "found_lately": "INSERT, UPDATE, DELETE",
    "found_upto": "UPDATE",
    **{
        f"impact_{table}": "INSERT, UPDATE, DELETE"
        for table in ("run", "result", "change", "plan", "choice", "task", "member", "worker")
    },
}
GRANT_USE = "GRANT USAGE ON SCHEMA {schema} TO {role}"
GRANT_READING = "GRANT SELECT ON ALL TABLES IN SCHEMA {schema} TO {role}"
GRANT_WRITING = "GRANT {rights} ON {schema}.{table} TO {role}"
