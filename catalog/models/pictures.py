"""Pictures as they are kept: in the database, so that a backup has them and a change is whole or nothing."""

from __future__ import annotations

from django.db import models

from catalog.pictures import JPEG, PNG


class Picture(models.Model):
    """A picture made anew by `catalog.pictures`; its name is its hash, so the same one is kept once.

    Rows are added and thrown away, never changed. Reads leave `content` out unless they show the picture.
    """

    sha256 = models.CharField(max_length=64, unique=True)
    media_type = models.CharField(max_length=10, choices=((JPEG, "JPEG"), (PNG, "PNG")))
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    length = models.PositiveIntegerField(help_text="Bytes.")
    content = models.BinaryField()

    def __str__(self) -> str:
        return f"{self.width_px} × {self.height_px} {self.get_media_type_display()} {self.sha256[:12]}"
