"""Every address below ``/api/v1/``."""

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from shop.api.docs import docs

urlpatterns = [
    path("schema", SpectacularAPIView.as_view(), name="api-schema"),
    path("docs", docs, name="api-docs"),
    path("", include("catalog.api.urls")),
    path("", include("quoting.api.urls")),
    path("", include("shop.jobs.api.urls")),
]
