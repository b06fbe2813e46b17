"""The starter catalogue in a test's empty tables: loaded by its service once, later put back as it was."""

from datetime import date

from django.core.management.color import no_style
from django.db import connection
from django.db.models import Model

from catalog.models import (
    CatalogueChange,
    Material,
    MaterialPrice,
    Mix,
    MixPart,
    Operation,
    OperationStandard,
    Role,
    RoleRate,
    ShopTerms,
)
from catalog.services.starter import load_starter

# A row after those it refers to.
TABLES: tuple[type[Model], ...] = (
    *(Role, RoleRate, Material, MaterialPrice, Mix, MixPart),
    *(Operation, OperationStandard, ShopTerms, CatalogueChange),
)
_kept: dict[tuple[str, date], list[tuple[type[Model], list[Model]]]] = {}


def put_starter(pack: str, *, on: date) -> None:
    """Do what `load_starter` does."""
    key, empty = (pack, on), not any(table._default_manager.exists() for table in TABLES)
    if key not in _kept or not empty:
        load_starter(pack, on=on)
        if empty:
            _kept[key] = [(table, list(table._default_manager.order_by("pk"))) for table in TABLES]
        return
    for table, rows in _kept[key]:
        table._default_manager.bulk_create(rows)
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), TABLES):
            cursor.execute(statement)
