"""What `manage.py check --deploy` looks at beyond Django's own checks."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.hashers import check_password
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import DatabaseError

from shop.accounts.models import User
from shop.scenario import DEMO_PASSWORD, scenario


@register(Tags.security, deploy=True)
def no_demo_accounts(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """Refuse a site where somebody can sign in with the demo's published password."""
    names = [person["username"] for person in scenario()["people"]]
    try:
        known = list(User.objects.filter(username__in=names, is_active=True))
    except DatabaseError:  # no tables yet: nobody can sign in at all
        return []
    open_doors = [user.username for user in known if check_password(DEMO_PASSWORD, user.password)]
    if not open_doors:
        return []
    return [
        Error(
            f"The demo's password, which anyone can read, signs in as: {', '.join(open_doors)}.",
            hint="Delete these people or give them passwords of their own before anybody can reach the site.",
            id="site.E001",
        )
    ]
