"""What traveller and buying list say is kept with an issued quote."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("quoting", "0004_newest_first")]

    operations = [
        migrations.AddField(model_name="issuedquote", name="workshop", field=models.JSONField(null=True)),
    ]
