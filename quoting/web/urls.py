"""Addresses of the pages."""

from django.urls import URLPattern, URLResolver, path

from quoting.web import (
    bridge,
    clients,
    drawing_board,
    lists,
    pieces,
    quote_links,
    quote_moves,
    quotes,
    to_buy,
    what_ifs,
)

app_name = "quoting"
urlpatterns: list[URLPattern | URLResolver] = [
    path("pieces/", lists.piece_list, name="pieces"),
    path("pieces/list.csv", lists.piece_table, name="piece-table"),
    path("pieces/new", drawing_board.new_piece, name="new-piece"),
    path("pieces/preview", drawing_board.preview, name="preview"),
    path("pieces/<int:pk>/", pieces.piece_page, name="piece"),
    path("pieces/<int:pk>/edit", drawing_board.edit_piece, name="edit-piece"),
    path("pieces/<int:pk>/mould", pieces.piece_mould, name="mould"),
    path("pieces/<int:pk>/outlook", pieces.piece_outlook, name="outlook"),
    path("pieces/<int:pk>/what-if", what_ifs.piece_what_if, name="what-if"),
    path("pieces/<int:pk>/document.json", pieces.piece_document, name="piece-document"),
    path("pieces/<int:pk>/details", pieces.piece_details, name="piece-details"),
    path("quotes/", quotes.quote_list, name="quotes"),
    path("quotes/list.csv", quotes.quote_table, name="quote-table"),
    path("quotes/new", quotes.new_quote, name="new-quote"),
    path("quotes/to-buy", to_buy.to_buy_page, name="to-buy"),
    path("quotes/to-buy.pdf", to_buy.to_buy_paper, name="to-buy-paper"),
    path("quotes/to-buy.csv", to_buy.to_buy_file, name="to-buy-file"),
    path("quotes/totals", quotes.totals, name="totals"),
    path("quotes/<int:pk>/", quotes.quote_page, name="quote"),
    path("quotes/<int:pk>/issue", quote_moves.issue, name="issue"),
    path("quotes/<int:pk>/withdraw", quote_moves.withdraw, name="withdraw"),
    path("quotes/<int:pk>/delete", quote_moves.delete, name="delete-quote"),
    path("quotes/<int:pk>/revise", quote_moves.revise, name="revise"),
    path("quotes/<int:pk>/answer", quote_moves.answer, name="answer"),
    path("quotes/<int:pk>/again", quote_moves.again, name="again"),
    path("quotes/<int:pk>/link", quote_links.make_link, name="link"),
    path("quotes/<int:pk>/link/revoke", quote_links.revoke, name="revoke-links"),
    path("quotes/<int:pk>/send", quote_links.send, name="send"),
    path("quotes/<int:pk>/bridge", bridge.bridge_page, name="bridge"),
    path("quotes/<int:pk>/paper.pdf", quotes.paper, name="paper"),
    path("clients/", lists.client_list, name="clients"),
    path("clients/list.csv", lists.client_table, name="client-table"),
    path("clients/new", clients.new_client, name="new-client"),
    path("clients/<int:pk>/", clients.edit_client, name="client"),
]
