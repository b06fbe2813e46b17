"""Quoting as a Django application."""

from django.apps import AppConfig


class QuotingConfig(AppConfig):
    """What a piece takes, and what we say to the client."""

    name = "quoting"
    label = "quoting"
    verbose_name = "Quoting"
