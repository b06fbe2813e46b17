from __future__ import annotations

import pytest

from quoting.engine.drawing.text import advance, length_text, shortened, unit_note, wrapped


@pytest.mark.parametrize(
    ("mm", "metric", "us"),
    [
        (0.0, "0", "0"),
        (2100.0, "2100", "82 11/16"),  # 82.677 in = 82 + 10.83/16
        (12.54, "12.5", "1/2"),
        (25.4, "25.4", "1"),
        (-0.01, "0", "0"),
        (38.1, "38.1", "1 1/2"),
        (-38.1, "-38.1", "-1 1/2"),
    ],
)
def test_a_length_is_lettered_bare(mm: float, metric: str, us: str) -> None:
    assert length_text(mm, "metric") == metric
    assert length_text(mm, "us").replace("\u00a0", " ") == us


def test_the_unit_is_stated_once_for_the_sheet() -> None:
    assert unit_note("metric") == "Dimensions in millimetres"
    assert unit_note("us") == "Dimensions in inches, to the nearest 1/16"


def test_figures_are_as_wide_as_the_widest_typeface_draws_them() -> None:
    assert advance("0123456789", 1.0) == pytest.approx(10 * 0.636)  # DejaVu Sans: 1303/2048 of the size each


def test_an_unknown_character_is_taken_for_a_wide_one() -> None:
    assert advance("件", 10.0) > 10.0
    assert advance("e\u0301", 10.0) == advance("e", 10.0)


def test_wrapping_keeps_every_word_and_the_width() -> None:
    text = "one trough of six hundred, incomprehensibilities notwithstanding, and two sleeves"
    lines = wrapped(text, 3.4, 30.0)
    assert all(advance(line, 3.4) <= 30.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_a_pair_of_coordinates_is_not_broken() -> None:
    assert wrapped("at (1506,\u00a0257)", 3.4, 22.0) == ("at", "(1506,\u00a0257)")


def test_shortening_ends_with_an_ellipsis_within_the_width() -> None:
    short = shortened("a very long title of a very long table", 3.4, 40.0)
    assert short.endswith("…")
    assert advance(short, 3.4) <= 40.0
    assert shortened("table", 3.4, 40.0) == "table"
