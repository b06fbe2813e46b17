from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.drawing.labels import Candidate, FromTip, LabelField, around, at_point, spread
from quoting.engine.drawing.values import Box

PLACES = st.lists(st.tuples(st.floats(0, 60), st.floats(0, 40)), min_size=1, max_size=40)


@settings(max_examples=25, deadline=None)
@given(PLACES)
def test_labels_never_overlap_and_all_are_placed(points: list[tuple[float, float]]) -> None:
    field = LabelField()
    boxes = []
    for point in points:
        target = Box(*point, *point)
        found = field.place(9.0, 3.6, around(target, (9.0, 3.6), at_point(point)), must=True)
        assert found is not None
        boxes.append(found[0])
    assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))


def test_a_label_keeps_off_lines_it_can_avoid() -> None:
    field = LabelField()
    field.ink(((-20, 0), (20, 0)))
    found = field.place(4, 2, [Candidate((0, 0), 0.0), Candidate((0, 5), 1.0)])
    assert found is not None
    assert found[1].centre == (0, 5)


def test_a_label_covers_a_line_rather_than_go_very_far() -> None:
    field = LabelField()
    field.ink(((-20, 0), (20, 0)))
    found = field.place(4, 2, [Candidate((0, 0), 0.0), Candidate((0, 50), 50.0)])
    assert found is not None
    assert found[1].centre == (0, 0)


def test_a_leader_runs_under_no_text_unless_the_label_must_be_placed() -> None:
    field = LabelField()
    field.block(Box(-1, -1, 1, 1))
    through = [Candidate((5, 0), 0.0, ((-5, 0), (3, 0)))]
    assert field.place(4, 2, through) is None
    assert field.place(4, 2, through, must=True) is not None


def test_no_place_is_tried_round_a_tip_under_a_text_unless_the_label_must_be_placed() -> None:
    field, tried = LabelField(), []

    def places() -> Iterator[Candidate]:
        tried.append("round the tip")
        yield Candidate((9, 9), 0.0, ((0, 0), (8, 8)))

    field.block(Box(-1, -1, 1, 1))
    assert field.place(2, 2, [FromTip((0, 0), places)]) is None
    assert tried == []
    assert field.place(2, 2, [FromTip((0, 0), places)], must=True) is not None
    clear = FromTip((20, 0), lambda: iter([Candidate((25, 0), 0.0, ((20, 0), (24, 0)))]))
    assert field.place(2, 2, [clear]) is not None


def test_a_label_stands_on_no_leader() -> None:
    field = LabelField()
    field.place(2, 2, [Candidate((10, 0), 0.0, ((0, 0), (9, 0)))])
    assert not field.is_free(Box(4, -1, 6, 1))


def test_forbidden_ground_is_left_free() -> None:
    field = LabelField()
    field.limit(lambda box: box.y1 < 0)
    found = field.place(2, 2, [Candidate((0, 5), 0.0), Candidate((0, -5), 3.0)])
    assert found is not None
    assert found[0].y1 < 0


@given(st.lists(st.floats(0, 500), min_size=1, max_size=30).map(sorted))
def test_spread_keeps_the_pitch_the_order_and_the_floor(values: list[float]) -> None:
    places = spread(values, 4.0, -1.0)
    assert all(b - a >= 4.0 - 1e-6 for a, b in pairwise(places))
    assert places[0] >= -1.0 - 1e-9


def test_spread_leaves_alone_what_has_room() -> None:
    assert spread((0.0, 10.0, 20.0), 4.0, -1.0) == (0.0, 10.0, 20.0)


def test_a_leader_starts_at_its_tip_and_ends_at_the_label() -> None:
    for candidate in list(around(Box(0, 0, 2, 2), (8.0, 3.0), at_point((1.0, 1.0))))[:40]:
        x, y = candidate.centre
        label = shapely.box(x - 4, y - 1.5, x + 4, y + 1.5)
        assert candidate.leader[0] == (1.0, 1.0)
        assert 0 < label.distance(shapely.Point(candidate.leader[-1])) < 0.31
