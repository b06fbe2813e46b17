"""Who may do what with quotes, by the role that the site gave a person."""

from __future__ import annotations

from typing import Any

Person = Any
"""A user of the site, or None. The site names its model; quoting knows it by its role alone."""

OWNER, ESTIMATOR = "owner", "estimator"


def may_quote(user: object) -> bool:
    """Owners and estimators work with pieces, clients, quotes and prices of pieces."""
    return bool(getattr(user, "is_active", False)) and getattr(user, "role", "") in {OWNER, ESTIMATOR}


def may_see_pay(user: object) -> bool:
    """Only owners see what an hour costs."""
    return bool(getattr(user, "is_active", False)) and getattr(user, "role", "") == OWNER
