"""Who may use the quoting API. Roles are the site's; the least is allowed by default."""

from __future__ import annotations

from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from quoting.access import may_quote


class Quoting(BasePermission):
    """Owners and estimators; the bench sees no money."""

    message = "Quotes and prices are for owners and estimators."

    def has_permission(self, request: Request, view: APIView) -> bool:
        """Whether this person may quote."""
        return may_quote(request.user)
