"""Triggers that keep what was issued as it was, in the words of each database."""

from django.db import migrations

from quoting.models import frozen


def install(apps, schema_editor):
    frozen.install(schema_editor.connection)


def remove(apps, schema_editor):
    frozen.remove(schema_editor.connection)


class Migration(migrations.Migration):

    dependencies = [("quoting", "0002_quote_life")]

    operations = [migrations.RunPython(install, remove)]
