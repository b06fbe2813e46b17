"""Triggers that keep what was issued as it was, in the words of each database."""

from typing import Any

from django.db import migrations

from quoting.models import frozen


def install(apps: Any, schema_editor: Any) -> None:
    frozen.install(schema_editor.connection)


def remove(apps: Any, schema_editor: Any) -> None:
    frozen.remove(schema_editor.connection)


class Migration(migrations.Migration):

    dependencies = [("quoting", "0002_quote_life")]

    operations = [migrations.RunPython(install, remove)]
