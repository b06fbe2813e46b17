"""Who may do what with jobs, by the role that the site gave a person; nobody by default."""

from __future__ import annotations

from typing import Any

OWNER, ESTIMATOR, BENCH = "owner", "estimator", "bench"
Person = Any
"""A user of the site."""


def _role(user: object) -> str:
    return str(getattr(user, "role", "")) if getattr(user, "is_active", False) else ""


def may_log(user: object) -> bool:
    """Everybody of the shop sees jobs and logs his own time, draws, mishaps and progress."""
    return _role(user) in {OWNER, ESTIMATOR, BENCH}


def may_see_money(user: object) -> bool:
    """Owners and estimators see what jobs cost; the bench sees no money."""
    return _role(user) in {OWNER, ESTIMATOR}


def may_run_jobs(user: object) -> bool:
    """Owners and estimators open and close jobs."""
    return may_see_money(user)


def may_see_pay(user: object) -> bool:
    """Only owners see what an hour of somebody costs, and every person's time."""
    return _role(user) == OWNER


def may_change_entry(user: object, person_id: int | None) -> bool:
    """One's own entries; owners everybody's."""
    return may_see_pay(user) or (may_log(user) and getattr(user, "pk", None) == person_id)
