"""The form that makes a token."""

from __future__ import annotations

from django import forms

from catalog.web.fields import PlainLabels
from shop.accounts.keys import LONGEST_DAYS
from shop.accounts.models import Scope


class TokenForm(PlainLabels, forms.Form):
    """Asks what a token is for, what it may do and how long it holds."""

    name = forms.CharField(max_length=80, label="What for", help_text="The program that will use it.")
    scope = forms.ChoiceField(choices=Scope.choices, initial=Scope.READ, label="May")
    days = forms.IntegerField(min_value=1, max_value=LONGEST_DAYS, initial=90, label="Days it holds")
