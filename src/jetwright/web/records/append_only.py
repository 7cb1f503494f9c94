"""Records and the trail are only added, by the database too: triggers that refuse to change, replace or delete a row.

A later migration that rebuilds a table on SQLite loses them there, and so ends with `protect`.
"""

from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLES = {
    "records_record": (
        "records are only added",
        "uuid = NEW.uuid OR digest = NEW.digest OR (crew_id = NEW.crew_id AND number = NEW.number)",
    ),
    "auditlog_logentry": ("the trail is only added to", "id = NEW.id"),
}
"""Table → what a trigger says, and which row a new one would replace."""


def _sqlite(table: str, says: str, same: str) -> list[str]:
    refuse = f"BEGIN SELECT RAISE(ABORT, '{says}'); END"
    return [
        f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}",
        f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}",
        # INSERT OR REPLACE deletes without asking the trigger above
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS (SELECT 1 FROM {table} WHERE {same})"
        f" {refuse}",
    ]


def _postgresql(table: str, says: str) -> list[str]:
    refuse = f"RAISE EXCEPTION '{says}' USING ERRCODE = 'integrity_constraint_violation'"
    return [
        f"CREATE FUNCTION {table}_refused() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {refuse}; END $$",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table}"
        f" FOR EACH ROW EXECUTE FUNCTION {table}_refused()",
        # an empty table may be emptied, as a test database is
        f"CREATE FUNCTION {table}_emptied() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN"
        f" IF EXISTS (SELECT 1 FROM {table}) THEN {refuse}; END IF; RETURN NULL; END $$",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table}"
        f" FOR EACH STATEMENT EXECUTE FUNCTION {table}_emptied()",
    ]


MADE = {
    "sqlite": [one for table, (says, same) in TABLES.items() for one in _sqlite(table, says, same)],
    "postgresql": [one for table, (says, _same) in TABLES.items() for one in _postgresql(table, says)],
}
DROPPED = {
    "sqlite": [
        f"DROP TRIGGER IF EXISTS {table}_{name}"
        for table in TABLES
        for name in ("no_update", "no_delete", "no_replace")
    ],
    "postgresql": [
        *(
            f"DROP TRIGGER IF EXISTS {table}_{name} ON {table}"
            for table in TABLES
            for name in ("no_change", "no_truncate")
        ),
        *(f"DROP FUNCTION IF EXISTS {table}_{name}()" for table in TABLES for name in ("refused", "emptied")),
    ],
}


def protect(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Make the triggers, in place of any that are there. [-]"""
    unprotect(apps, schema_editor)
    for statement in MADE[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


def unprotect(apps: object, schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Take the triggers off. [-]"""
    for statement in DROPPED[schema_editor.connection.vendor]:
        schema_editor.execute(statement)
