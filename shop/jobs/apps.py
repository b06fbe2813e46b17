"""Jobs as a Django application."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs: planned against actual."""

    name = "shop.jobs"
    label = "jobs"
    verbose_name = "Jobs"
