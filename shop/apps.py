"""The site as a Django application: its templates, static files and commands."""

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """Labelled ``site``: the word "shop" belongs to the business and its terms in the catalogue."""

    name = "shop"
    label = "site"
    verbose_name = "Site"

    def ready(self) -> None:
        """Register our own checks."""
        from shop import checks  # noqa: F401  (models must be there first)
