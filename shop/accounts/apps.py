"""The shop's people as a Django application."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Users, roles, signing in."""

    name = "shop.accounts"
    label = "accounts"
    verbose_name = "People"
