"""The quoting API, below ``/api/v1/``."""

from django.urls import include, path
from rest_framework.routers import SimpleRouter

from quoting.api.buying import BuyingView
from quoting.api.clients import ClientViewSet
from quoting.api.piece_drawings import PieceDrawingView, PieceTemplatesView
from quoting.api.pieces import PieceViewSet
from quoting.api.pour_days import PourDayView
from quoting.api.quotes import QuoteViewSet
from quoting.api.repeats import AgainView, CopyView, DifferencesView, PieceBridgeView, QuoteBridgeView
from quoting.api.takeoff import CutListView, TakeoffView, WhatIfView

router = SimpleRouter(trailing_slash=False)
router.register("clients", ClientViewSet, basename="client")
router.register("pieces", PieceViewSet, basename="piece")
router.register("quotes", QuoteViewSet, basename="quote")

urlpatterns = [
    path("takeoff", TakeoffView.as_view(), name="takeoff"),
    path("takeoff/what-if", WhatIfView.as_view(), name="what-if"),
    path("buying-list", BuyingView.as_view(), name="buying"),
    path("cutlist", CutListView.as_view(), name="cutlist"),
    path("pieces/<int:pk>/drawings/<str:kind>.svg", PieceDrawingView.as_view(), name="piece-drawing"),
    path("pieces/<int:pk>/templates.pdf", PieceTemplatesView.as_view(), name="piece-templates"),
    path("pieces/<int:pk>/pour-day", PourDayView.as_view(), name="piece-pour-day"),
    path("pieces/<int:pk>/copy", CopyView.as_view(), name="piece-copy"),
    path("pieces/<int:pk>/differences", DifferencesView.as_view(), name="piece-differences"),
    path("pieces/<int:pk>/bridge", PieceBridgeView.as_view(), name="piece-bridge"),
    path("quotes/<int:pk>/again", AgainView.as_view(), name="quote-again"),
    path("quotes/<int:pk>/bridge", QuoteBridgeView.as_view(), name="quote-bridge"),
    path("", include(router.urls)),
]
