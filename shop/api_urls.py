"""Every address below ``/api/v1/``."""

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from shop.api.docs import docs
from shop.api.outbox import Outbox

urlpatterns = [
    path("schema", SpectacularAPIView.as_view(), name="api-schema"),
    path("docs", docs, name="api-docs"),
    path("outbox", Outbox.as_view({"get": "list"}), name="api-outbox"),
    path("outbox/<int:pk>", Outbox.as_view({"get": "retrieve"}), name="api-outbox-mail"),
    path("outbox/<int:pk>/again", Outbox.as_view({"post": "again"}), name="api-outbox-again"),
    path("outbox/<int:pk>/drop", Outbox.as_view({"post": "drop"}), name="api-outbox-drop"),
    path("", include("catalog.api.urls")),
    path("", include("quoting.api.urls")),
    path("", include("shop.jobs.api.urls")),
]
