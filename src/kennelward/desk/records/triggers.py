"""Guards in the database itself: an entry cannot be changed or removed by SQL either.

Whoever owns the database can take them off; the hash chain shows what they did then.
"""

_SAYS = "an entry is never changed or removed; strike it through"

SQLITE_MAKE = [
    f"CREATE TRIGGER entries_stay_{what.lower()} BEFORE {what} ON records_entryrow "
    f"BEGIN SELECT RAISE(ABORT, '{_SAYS}'); END"
    for what in ("UPDATE", "DELETE")
]
SQLITE_DROP = [
    f"DROP TRIGGER IF EXISTS entries_stay_{what}" for what in ("update", "delete")
]

POSTGRES_MAKE = [
    "CREATE FUNCTION entries_stay() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{_SAYS}'; END $$",
    "CREATE TRIGGER entries_stay BEFORE UPDATE OR DELETE ON records_entryrow "
    "FOR EACH ROW EXECUTE FUNCTION entries_stay()",
]
POSTGRES_DROP = [
    "DROP TRIGGER IF EXISTS entries_stay ON records_entryrow",
    "DROP FUNCTION IF EXISTS entries_stay()",
]
