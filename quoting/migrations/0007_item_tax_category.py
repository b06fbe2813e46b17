"""The tax category of a piece in a quote; what was there is in the standard one, as it was taxed."""

from typing import Any

from django.db import migrations, models

from quoting.models import frozen


def install(apps: Any, schema_editor: Any) -> None:
    """On SQLite a column comes by making the table anew, which drops its triggers."""
    frozen.install(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("quoting", "0006_mail_outbox")]

    operations = [
        migrations.RunPython(migrations.RunPython.noop, install),
        migrations.AddField(
            model_name="quoteitem",
            name="tax_category",
            field=models.CharField(db_default="standard", default="standard", max_length=30),
        ),
        migrations.RunPython(install, migrations.RunPython.noop),
    ]
