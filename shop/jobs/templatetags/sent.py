"""Fields of a form that comes again: as typed where it was refused, else as it starts."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from shop.jobs.web.sent import Sent

register = template.Library()


def _of(context: Any, form: str) -> Sent | None:
    sent: Sent | None = context.get("sent")
    return sent if sent is not None and sent.form == form else None


@register.simple_tag(takes_context=True)
def opened(context: Any, form: str) -> str:
    """Open the fold around a form that was refused."""
    return SafeString(" open") if _of(context, form) else ""


@register.simple_tag(takes_context=True)
def typed(context: Any, form: str, name: str, start: Any = "") -> Any:
    """The text of a field."""
    sent = _of(context, form)
    return start if sent is None else sent.typed.get(name, "")


@register.simple_tag(takes_context=True)
def picked(context: Any, form: str, name: str, value: Any, start: Any = "") -> str:
    """Mark the option of a list that is chosen."""
    return SafeString(" selected") if _is(context, form, name, value, start) else ""


@register.simple_tag(takes_context=True)
def ticked(context: Any, form: str, name: str, value: Any, start: Any = "") -> str:
    """Mark the button of a group that is pressed."""
    return SafeString(" checked") if _is(context, form, name, value, start) else ""


@register.simple_tag(takes_context=True)
def wrong(context: Any, form: str, name: str, said: str = "") -> str:
    """Attributes of a field that was refused, the first of the form taking the focus; `said` is the id of
    what describes it anyway."""
    sent = _of(context, form)
    if sent is None or name not in sent.faults:
        return format_html(' aria-describedby="{}"', said) if said else ""
    focus = SafeString(" autofocus" if name == sent.first_wrong else "")
    told = f"{form}-{name}-fault {said}".strip()
    return format_html(' aria-invalid="true" aria-describedby="{}"{}', told, focus)


@register.simple_tag(takes_context=True)
def why(context: Any, form: str, name: str) -> str:
    """What is wrong with a field, below it."""
    sent = _of(context, form)
    if sent is None or name not in sent.faults:
        return ""
    said = " ".join(sent.faults[name])
    return format_html('<p class="fault" id="{}-{}-fault">{}</p>', form, name, said)


def _is(context: Any, form: str, name: str, value: Any, start: Any) -> bool:
    sent = _of(context, form)
    return str(start if sent is None else sent.typed.get(name, "")) == str(value)
