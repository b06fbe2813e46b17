"""Every address of the site."""

from django.contrib import admin
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import include, path
from django.views.generic import RedirectView

from shop.accounts.views import HomeView, PasswordView, SignInView, revoke, tokens
from shop.health import healthz
from shop.outbox import again, give_up, outbox, outbox_table

urlpatterns = [
    path("", HomeView.as_view(), name="home"),
    path("healthz", healthz, name="healthz"),
    path("accounts/login/", SignInView.as_view(), name="login"),
    path("accounts/logout/", LogoutView.as_view(), name="logout"),
    path("accounts/password/", PasswordView.as_view(), name="password"),
    path("accounts/tokens/", tokens, name="tokens"),
    path("accounts/tokens/<int:pk>/revoke/", revoke, name="token-revoke"),
    path("outbox/", outbox, name="outbox"),
    path("outbox/list.csv", outbox_table, name="outbox-table"),
    path("outbox/<int:pk>/again", again, name="outbox-again"),
    path("outbox/<int:pk>/drop", give_up, name="outbox-drop"),
    path("api/v1/", include("shop.api_urls")),
    # One door for passwords, the one that counts failures.
    path("admin/login/", login_not_required(RedirectView.as_view(pattern_name="login", query_string=True))),
    path("admin/", admin.site.urls),
    path("", include("quoting.web.client_urls")),
    path("", include("quoting.web.urls")),
    path("", include("catalog.web.urls")),
    path("", include("shop.jobs.web.urls")),
]

handler400 = "shop.error_pages.bad_request"
handler403 = "shop.error_pages.permission_denied"
handler404 = "shop.error_pages.not_found"
handler500 = "shop.storage_faults.server_error"
