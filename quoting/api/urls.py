"""The quoting API, below ``/api/v1/``."""

from django.urls import include, path
from rest_framework.routers import SimpleRouter

from quoting.api.clients import ClientViewSet
from quoting.api.piece_drawings import PieceDrawingView, PieceTemplatesView
from quoting.api.pieces import PieceViewSet
from quoting.api.quotes import QuoteViewSet
from quoting.api.takeoff import CutListView, TakeoffView, WhatIfView

router = SimpleRouter(trailing_slash=False)
router.register("clients", ClientViewSet, basename="client")
router.register("pieces", PieceViewSet, basename="piece")
router.register("quotes", QuoteViewSet, basename="quote")

urlpatterns = [
    path("takeoff", TakeoffView.as_view(), name="takeoff"),
    path("takeoff/what-if", WhatIfView.as_view(), name="what-if"),
    path("cutlist", CutListView.as_view(), name="cutlist"),
    path("pieces/<int:pk>/drawings/<str:kind>.svg", PieceDrawingView.as_view(), name="piece-drawing"),
    path("pieces/<int:pk>/templates.pdf", PieceTemplatesView.as_view(), name="piece-templates"),
    path("", include(router.urls)),
]
