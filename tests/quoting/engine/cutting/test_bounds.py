"""Bounds: never above what a layout reaches, and as tight as the published methods are."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.cutting import bounds
from quoting.engine.cutting.bounds import Sides


def test_area_is_a_bound() -> None:
    assert bounds.lower_bound(10, 10, [(5, 5, True)] * 9) == 3


def test_large_parts_need_a_sheet_each() -> None:
    assert bounds.lower_bound(10, 10, [(6, 6, True)] * 5) == 5
    assert bounds.clique_bound(10, 10, [(6, 6, True)] * 5 + [(4, 4, True)] * 5) == 5


def test_turning_is_allowed_for() -> None:
    """Two of 6 × 4 lie on a sheet 10 × 6 only turned."""
    assert bounds.lower_bound(10, 6, [(4, 6, True), (6, 4, True)]) == 1
    assert bounds.lower_bound(10, 6, [(6, 4, False), (6, 4, False)]) == 2


def test_no_parts_need_no_sheet() -> None:
    assert bounds.lower_bound(10, 10, []) == 0


def test_a_part_that_fits_one_way_only_counts_that_way() -> None:
    assert bounds.sides_as_they_may_lie(10, 4, [(4, 9, True), (9, 4, False)]) == [(9, 4, 9, 4), (9, 4, 9, 4)]


@given(st.integers(2, 60), st.lists(st.integers(1, 60), min_size=1, max_size=12))
@settings(max_examples=200, deadline=None)
def test_the_functions_are_dual_feasible(size: int, sides: list[int]) -> None:
    """Whatever fits in a length together keeps the sum of every function at 1 or below."""
    sides = [min(side, size) for side in sides]
    table = bounds.function_table(size, sides)
    for count in range(1, 5):
        for chosen in combinations(range(len(sides)), count):
            if sum(sides[n] for n in chosen) <= size:
                assert float(table[:, list(chosen)].sum(axis=1).max()) <= 1 + 1e-12


@st.composite
def sawn(draw: st.DrawFn) -> tuple[int, int, list[tuple[int, int, bool, int]]]:
    """A sheet sawn up edge to edge with nothing left: its length, its width, the parts."""
    length, width = draw(st.integers(2, 40)), draw(st.integers(2, 40))
    pieces = [(length, width)]
    for _ in range(draw(st.integers(0, 8))):
        w, h = pieces.pop(draw(st.integers(0, len(pieces) - 1)))
        upright = draw(st.booleans())
        at = draw(st.integers(1, max(1, (w if upright else h) - 1)))
        halves = [(at, h), (w - at, h)] if upright else [(w, at), (w, h - at)]
        pieces += [half for half in halves if min(half) > 0]
    turns = [draw(st.booleans()) for _ in pieces]
    return length, width, [(w, h, turn, 1) for (w, h), turn in zip(pieces, turns, strict=True)]


@given(sawn())
@settings(max_examples=200, deadline=None)
def test_no_sheet_that_holds_the_parts_is_shorter_than_the_least_length(
    case: tuple[int, int, list[tuple[int, int, bool, int]]],
) -> None:
    length, width, parts = case
    assert bounds.least_length(width, parts) == length


def test_the_least_length_knows_how_many_lie_side_by_side() -> None:
    assert bounds.least_length(100, [(40, 51, False, 5)]) == 200
    assert bounds.least_length(100, [(40, 34, False, 5)]) == 100
    assert bounds.least_length(100, [(90, 20, True, 1)]) == 20
    assert bounds.least_length(80, [(90, 20, True, 1)]) == 90
    assert bounds.least_length(80, []) == 0


@given(st.lists(st.tuples(st.integers(1, 12), st.integers(1, 12), st.booleans()), min_size=1, max_size=9))
@settings(max_examples=100, deadline=None)
def test_what_one_sheet_holds_is_bounded_by_one(parts: list[Sides]) -> None:
    """Parts in one row, by construction on one sheet, turned in the data wherever they may be."""
    row = [(h, w, turn) if turn and n % 2 else (w, h, turn) for n, (w, h, turn) in enumerate(parts)]
    wide, high = sum(part[0] for part in parts), max(part[1] for part in parts)
    assert bounds.lower_bound(wide, high, row) == 1


@pytest.mark.parametrize("seed", range(5))
def test_the_largest_clique_is_found_in_small_graphs(seed: int) -> None:
    random = np.random.default_rng(seed)
    edges = np.triu(random.random((9, 9)) < 0.6, 1)
    apart = [sum(1 << j for j in range(9) if edges[i, j] or edges[j, i]) for i in range(9)]
    exact = max(
        count
        for count in range(1, 10)
        for chosen in combinations(range(9), count)
        if all(edges[i, j] for i, j in combinations(chosen, 2))
    )
    assert bounds.largest_clique(apart) == exact
