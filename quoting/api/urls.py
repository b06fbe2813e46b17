"""The quoting API, below ``/api/v1/``."""

from django.urls import include, path
from rest_framework.routers import SimpleRouter

from quoting.api.clients import ClientViewSet
from quoting.api.pieces import PieceViewSet
from quoting.api.quotes import QuoteViewSet
from quoting.api.takeoff import CutListView, TakeoffView

router = SimpleRouter(trailing_slash=False)
router.register("clients", ClientViewSet, basename="client")
router.register("pieces", PieceViewSet, basename="piece")
router.register("quotes", QuoteViewSet, basename="quote")

urlpatterns = [
    path("takeoff", TakeoffView.as_view(), name="takeoff"),
    path("cutlist", CutListView.as_view(), name="cutlist"),
    path("", include(router.urls)),
]
