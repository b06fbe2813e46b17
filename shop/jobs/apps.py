"""Jobs as a Django application."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """Jobs: planned against actual."""

    name = "shop.jobs"
    label = "jobs"
    verbose_name = "Jobs"

    def ready(self) -> None:
        """Have the job opened in the same transaction as its quote is accepted."""
        from quoting.services.answering import when_accepted
        from shop.jobs.services.jobs import open_accepted

        when_accepted(open_accepted)
