"""Every address below ``/api/v1/``."""

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(), name="api-schema"),
    path("", include("catalog.api.urls")),
    path("", include("quoting.api.urls")),
    path("", include("shop.jobs.api.urls")),
]
