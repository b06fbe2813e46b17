"""Pages of clients."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from quoting.models import Client
from quoting.services.clients import FIELDS, create_client, update_client
from quoting.web.doors import quoters

LABELS = {
    "name": "Name",
    "contact_name": "Contact",
    "email": "E-mail",
    "phone": "Telephone",
    "address": "Address",
    "note": "Note, for the shop only",
}


@quoters
def new_client(request: HttpRequest) -> HttpResponse:
    """A new client."""
    return _form(request, None)


@quoters
def edit_client(request: HttpRequest, pk: int) -> HttpResponse:
    """A client's particulars; quotes already issued keep what they said."""
    return _form(request, get_object_or_404(Client, pk=pk))


def _form(request: HttpRequest, client: Client | None) -> HttpResponse:
    faults: dict[str, list[str]] = {}
    if request.method == "POST":
        typed = {name: request.POST.get(name, "") for name in FIELDS}
        try:
            saved = create_client(**typed) if client is None else update_client(client, **typed)
        except ValidationError as invalid:
            faults = invalid.message_dict
        else:
            messages.success(request, f"{saved.name} is saved.")
            return redirect("quoting:clients")
    else:
        typed = {name: getattr(client, name, "") for name in FIELDS}
    fields = [(name, LABELS[name], typed[name], faults.get(name, [])) for name in FIELDS]
    context = {"client": client, "fields": fields, "quotes": client.quotes.all()[:50] if client else ()}
    return render(request, "quoting/client_form.html", context, status=422 if faults else 200)
