"""Writing clients."""

from __future__ import annotations

from django.db import transaction

from quoting.models import Client

FIELDS = ("name", "contact_name", "email", "phone", "address", "note")


@transaction.atomic
def create_client(**fields: str) -> Client:
    """Save a new client. Raises ValidationError with every fault, by field."""
    return _keep(Client(), fields)


@transaction.atomic
def update_client(client: Client, **fields: str) -> Client:
    """Change the fields given. Raises ValidationError with every fault, by field."""
    return _keep(client, fields)


def _keep(client: Client, fields: dict[str, str]) -> Client:
    for name, value in fields.items():
        if name not in FIELDS:
            raise AssertionError(f"a client has no {name}")
        setattr(client, name, value.strip())
    client.full_clean()
    client.save()
    return client
