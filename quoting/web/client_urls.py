"""Addresses whose secret is the address, where one makes them, and papers made when asked for."""

from django.urls import URLPattern, URLResolver, path

from quoting.web import client_link, own_calendar, papers

app_name = "client"
urlpatterns: list[URLPattern | URLResolver] = [
    path("q/<str:token>/", client_link.client_page, name="quote"),
    path("q/<str:token>/logo", client_link.client_logo, name="logo"),
    path("q/<str:token>/quote.pdf", client_link.client_paper, name="paper"),
    path("calendar/", own_calendar.own_calendar, name="own-calendar"),
    path("calendar/new", own_calendar.new_address, name="calendar-new"),
    path("calendar/revoke", own_calendar.revoke_address, name="calendar-revoke"),
    path("calendar/<str:secret>.ics", papers.calendar, name="calendar"),
    path("quotes/<int:pk>/traveller.pdf", papers.traveller_paper, name="traveller"),
    path("quotes/<int:pk>/buying-list.pdf", papers.buying_list_paper, name="buying-list"),
]
