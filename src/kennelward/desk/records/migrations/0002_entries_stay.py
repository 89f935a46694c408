from django.db import migrations

from kennelward.desk.records import triggers

MAKE = {"sqlite": triggers.SQLITE_MAKE, "postgresql": triggers.POSTGRES_MAKE}
DROP = {"sqlite": triggers.SQLITE_DROP, "postgresql": triggers.POSTGRES_DROP}


def make(apps, schema_editor):
    for statement in MAKE[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


def drop(apps, schema_editor):
    for statement in DROP[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("records", "0001_initial")]
    operations = [migrations.RunPython(make, drop)]
