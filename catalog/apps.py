"""The catalogue as a Django application."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """What things cost, and on what terms this shop sells."""

    name = "catalog"
    label = "catalog"
    verbose_name = "Catalogue"
