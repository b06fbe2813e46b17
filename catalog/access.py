"""Who may see and change the catalogue, by the role that the site gave a person; nobody by default."""

from __future__ import annotations

OWNER, ESTIMATOR = "owner", "estimator"


def _role(user: object) -> str:
    return str(getattr(user, "role", "")) if getattr(user, "is_active", False) else ""


def may_read_prices(user: object) -> bool:
    """Owners and estimators work with prices; the bench sees no money."""
    return _role(user) in {OWNER, ESTIMATOR}


def may_change_prices(user: object) -> bool:
    """Only owners say what things cost and on what terms the shop sells."""
    return _role(user) == OWNER


def may_see_pay(user: object) -> bool:
    """Only owners see what people are paid."""
    return _role(user) == OWNER
