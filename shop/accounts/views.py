"""Signing in, a person's own password, and the tokens that sign programs in with his name."""

from __future__ import annotations

from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.views import LoginView, PasswordChangeView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse_lazy
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST
from django.views.generic import RedirectView

from shop.accounts.forms import PasswordForm, SignInForm
from shop.accounts.forms_tokens import TokenForm
from shop.accounts.keys import make_token, revoke_token
from shop.accounts.models import Role, User


class SignInView(LoginView):
    """The page at ``/accounts/login/``; ``/admin/`` sends its visitors here too."""

    template_name = "accounts/login.html"
    form_class = SignInForm
    http_method_names = ("get", "head", "post", "options")
    # An estimator sent here from /admin/ sees this form; sending him back would go round for ever.
    redirect_authenticated_user = False


class PasswordView(PasswordChangeView):
    """The page at ``/accounts/password/``; a new password ends a person's other sessions."""

    template_name = "accounts/password.html"
    form_class = PasswordForm
    http_method_names = ("get", "head", "post", "options")
    success_url = reverse_lazy("tokens")

    def get_form_kwargs(self) -> dict[str, Any]:
        """Tell the form where the request comes from."""
        return super().get_form_kwargs() | {"request": self.request}


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def tokens(request: HttpRequest) -> HttpResponse:
    """A person's own tokens, and a form for another, whose secret is shown this once."""
    person, now = cast(User, request.user), timezone.now()
    form, secret = TokenForm(request.POST or None), ""
    if request.method == "POST" and form.is_valid():
        _, secret = make_token(person, **form.cleaned_data, now=now)
        form = TokenForm()
    rows = [(token, token.holds(now)) for token in person.tokens.all()]
    context = {"rows": rows, "form": form, "secret": secret}
    return render(request, "accounts/tokens.html", context, status=422 if form.errors else 200)


@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """End one of a person's own tokens."""
    if revoke_token(cast(User, request.user), pk, timezone.now()):
        messages.success(request, "The token is revoked; nothing signs in with it any more.")
    return redirect("tokens")


class HomeView(RedirectView):
    """The first place of a person's work: the bench for who works there, else the pieces."""

    def get_redirect_url(self, *args: Any, **kwargs: Any) -> str:
        """The address of that place."""
        return "/bench/" if getattr(self.request.user, "role", "") == Role.BENCH else "/pieces/"
