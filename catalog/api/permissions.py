"""Who may use the catalogue's API."""

from __future__ import annotations

from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from catalog.access import may_change_prices, may_read_prices, may_see_pay


class Catalogue(BasePermission):
    """Owners read and write, estimators read, the bench does neither."""

    message = "Prices are for owners and estimators; only owners change them."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may do this."""
        if request.method in SAFE_METHODS:
            return may_read_prices(request.user)
        return may_change_prices(request.user)


class Office(BasePermission):
    """Owners and estimators."""

    message = "The shelf is for owners and estimators."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may do this."""
        return may_read_prices(request.user)


class Owners(BasePermission):
    """Owners alone, for what tells who did what."""

    message = "What was changed is for owners."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may see it."""
        return may_change_prices(request.user)


class Pay(BasePermission):
    """Owners alone."""

    message = "Pay is for owners."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may see pay."""
        return may_see_pay(request.user)
