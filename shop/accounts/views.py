"""Signing in."""

from django.contrib.auth.views import LoginView

from shop.accounts.forms import SignInForm


class SignInView(LoginView):
    """The page at ``/accounts/login/``; ``/admin/`` sends its visitors here too."""

    template_name = "accounts/login.html"
    form_class = SignInForm
    # An estimator sent here from /admin/ sees this form; sending him back would go round for ever.
    redirect_authenticated_user = False
