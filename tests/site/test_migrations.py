"""No change of a model without its migration."""

import pytest
from django.core.management import call_command


@pytest.mark.django_db
def test_every_model_has_its_migration(capsys: pytest.CaptureFixture[str]) -> None:
    call_command("makemigrations", check_changes=True, dry_run=True)
    assert "No changes detected" in capsys.readouterr().out
