"""Keeping pictures, each once, and throwing them away where nothing shows them any more."""

from __future__ import annotations

from django.db import transaction
from django.db.models import ProtectedError

from catalog.models import Picture
from catalog.pictures import Made


@transaction.atomic
def keep(made: Made) -> Picture:
    """Return the row of a picture, which is held for the rest of the transaction: nobody throws it away."""
    facts = {
        "media_type": made.media_type,
        "width_px": made.width_px,
        "height_px": made.height_px,
        "length": len(made.content),
        "content": made.content,
    }
    while True:  # ends: a row that was thrown away meanwhile is made again, and then it is ours
        Picture.objects.get_or_create(sha256=made.sha256, defaults=facts)
        held = Picture.objects.select_for_update().defer("content").filter(sha256=made.sha256).first()
        if held is not None:
            return held


@transaction.atomic
def drop(picture_id: int) -> None:
    """Throw a picture away, unless something still shows it."""
    held = Picture.objects.select_for_update().defer("content").filter(pk=picture_id).first()
    try:
        if held is not None:
            held.delete()
    except ProtectedError:
        return
