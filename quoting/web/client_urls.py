"""Addresses whose secret is the address, and papers made when asked for."""

from django.urls import URLPattern, URLResolver, path

from quoting.web import client_link, papers

app_name = "client"
urlpatterns: list[URLPattern | URLResolver] = [
    path("q/<str:token>/", client_link.client_page, name="quote"),
    path("q/<str:token>/quote.pdf", client_link.client_paper, name="paper"),
    path("calendar/<str:secret>.ics", papers.calendar, name="calendar"),
    path("quotes/<int:pk>/traveller.pdf", papers.traveller_paper, name="traveller"),
    path("quotes/<int:pk>/buying-list.pdf", papers.buying_list_paper, name="buying-list"),
]
