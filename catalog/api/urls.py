"""Addresses of the catalogue's API, below `/api/v1/`."""

from django.urls import include, path
from rest_framework.routers import SimpleRouter

from catalog.api.changes import ChangeViewSet
from catalog.api.labour import OperationViewSet, RoleViewSet
from catalog.api.materials import MaterialViewSet
from catalog.api.pictures import LogoView
from catalog.api.shelf import ShelfViewSet
from catalog.api.shop import MixViewSet, TermsView

router = SimpleRouter(trailing_slash=False)
router.register("materials", MaterialViewSet, basename="material")
router.register("shelf", ShelfViewSet, basename="shelf")
router.register("mixes", MixViewSet, basename="mix")
router.register("roles", RoleViewSet, basename="role")
router.register("operations", OperationViewSet, basename="operation")
router.register("changes", ChangeViewSet, basename="change")

urlpatterns = [
    path("terms/logo", LogoView.as_view(), name="logo"),
    path("terms", TermsView.as_view(), name="terms"),
    path("", include(router.urls)),
]
