"""Addresses that nobody signs in for: the secret is the address."""

from django.urls import URLPattern, URLResolver, path

from quoting.web import client_link

app_name = "client"
urlpatterns: list[URLPattern | URLResolver] = [
    path("q/<str:token>/", client_link.client_page, name="quote"),
    path("q/<str:token>/quote.pdf", client_link.client_paper, name="paper"),
]
