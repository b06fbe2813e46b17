"""Who may use the API of jobs."""

from __future__ import annotations

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from shop.jobs.access import may_log, may_run_jobs, may_see_money, may_see_pay


class Logging(BasePermission):
    """Everybody of the shop."""

    message = "Jobs are for people of the shop."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may log."""
        return may_log(request.user)


class Running(BasePermission):
    """Everybody reads; owners and estimators open and close jobs."""

    message = "Jobs are opened and closed by owners and estimators."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may do this."""
        return may_log(request.user) if request.method in SAFE_METHODS else may_run_jobs(request.user)


class Money(BasePermission):
    """Owners and estimators."""

    message = "What jobs cost is for owners and estimators."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may see money."""
        return may_see_money(request.user)


class Owners(BasePermission):
    """Owners alone."""

    message = "This is for owners."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person is an owner."""
        return may_see_pay(request.user)
