"""The forms that sign a person in, and change a password."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from catalog.web.fields import PlainLabels
from quoting.web.visitor import visitor
from shop.accounts import throttle


class PasswordForm(PlainLabels, PasswordChangeForm):
    """Django's own form, with the limit on failures: a page left open tells nobody the password."""

    def __init__(self, *args: Any, request: HttpRequest, **options: Any) -> None:
        super().__init__(*args, **options)
        self.request = request

    def clean_old_password(self) -> str:
        """Check the password of today unless too many failures came before."""
        username, address, now = self.user.get_username(), visitor(self.request), timezone.now()
        if throttle.is_blocked(username, address, now):
            raise ValidationError("Too many attempts. Wait a quarter of an hour.", code="too_many_attempts")
        try:
            return super().clean_old_password()
        except ValidationError:
            throttle.record_failure(username, address, now)
            raise


class SignInForm(PlainLabels, AuthenticationForm):
    """Django's own form, with a limit on failures."""

    def clean(self) -> dict[str, Any]:
        """Check the password unless too many failures came before; never say which part was wrong."""
        username = self.cleaned_data.get("username")
        if not username or self.request is None:
            return super().clean()
        address, now = visitor(self.request), timezone.now()
        if throttle.is_blocked(username, address, now):
            raise ValidationError("Too many attempts. Wait a quarter of an hour.", code="too_many_attempts")
        try:
            cleaned = super().clean()
        except ValidationError:
            throttle.record_failure(username, address, now)
            raise
        throttle.forget_failures(username, address)
        return cleaned
