"""Photographs on a job: the crack, the colour, the mould before the pour."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from catalog.models import Picture
from shop.jobs.models.jobs import Job


class JobPhotograph(models.Model):
    """A picture on a job, with a few words. The same picture is on a job once."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="photographs")
    picture = models.ForeignKey(Picture, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True, help_text="What it shows.")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ("job", "at", "pk")
        constraints = (models.UniqueConstraint(fields=("job", "picture"), name="job_photograph_once"),)

    def __str__(self) -> str:
        return self.note or f"Photograph of {self.at:%Y-%m-%d}"
