"""The floor: the framework's barest answers, through the same middleware and sign-in as every page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView


def bare_page(request: HttpRequest) -> HttpResponse:
    """Answer nothing much."""
    return HttpResponse("ok")


class BareView(APIView):
    """Answers nothing much as JSON."""

    throttle_classes = ()

    def get(self, request: Request) -> Response:
        """Answer."""
        return Response({"ok": True})


urlpatterns = [
    path("floor/page", bare_page),
    path("api/v1/floor", BareView.as_view()),
    path("", include("shop.urls")),
]
