"""Every paper meets the machine-decidable conditions of PDF/UA-1; a plain PDF of the same page does not."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.template.loader import render_to_string
from pikepdf import Pdf
from weasyprint import HTML

from quoting.documents.client_quote import page, quote_pdf
from tests.quoting.documents.conditions import CONDITIONS, Faults, k70_tree, k75_figures, k85_content, opened
from tests.quoting.documents.papers import said

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def papers() -> dict[str, Pdf]:
    return {}


def _paper(kept: dict[str, Pdf], paper: str) -> Pdf:
    """One paper of each size for the whole file, since making it takes longer than reading it."""
    if paper not in kept:
        kept[paper] = opened(
            quote_pdf(said("reading-room-table", "round-table-top", options=("", "B"), paper=paper))
        )
    return kept[paper]


def test_there_is_a_check_for_each_of_the_eighteen() -> None:
    assert [name.partition("_")[0] for name in CONDITIONS] == [f"k{number}" for number in range(68, 86)]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("condition", CONDITIONS.values(), ids=CONDITIONS)
def test_the_clients_quote_meets(
    starter: None, papers: dict[str, Pdf], condition: Callable[[Pdf], Faults], paper: str
) -> None:
    assert condition(_paper(papers, paper)) == []


def test_the_same_page_without_the_variant_fails(starter: None) -> None:
    """The negative control of the check values: no marks, tree, preferences, metadata or tabs."""
    data = said("round-table-top")
    shown = page(data)
    words = render_to_string("quoting/papers/client_quote.html", shown | {"cells": (), "sums": shown})
    plain = opened(HTML(string=words).write_pdf())
    failed = {name.partition("_")[0] for name, check in CONDITIONS.items() if check(plain)}
    assert {"k69", "k70", "k71", "k73", "k80", "k85"} <= failed


def test_a_drawing_without_words_is_noticed() -> None:
    page_of = "<html lang=en><title>t</title><h1>h</h1><img src='data:image/svg+xml,<svg/>' alt=''>"
    assert k75_figures(opened(HTML(string=page_of).write_pdf(pdf_variant="pdf/ua-1")))


def test_tags_are_asked_of_content_not_of_the_catalogue_alone() -> None:
    page_of = "<html lang=en><title>t</title><h1>h</h1>"
    plain = opened(HTML(string=page_of).write_pdf())
    assert k70_tree(plain) and k85_content(plain)
