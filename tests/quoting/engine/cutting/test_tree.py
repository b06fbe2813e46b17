"""Trees of cuts: placing, taking off, and putting everything back as it was."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from quoting.engine.cutting import tree
from quoting.engine.cutting.tree import Node

Shape = tuple[int, int, bool, int, int, tuple[object, ...]]


def shape(node: Node) -> Shape:
    """All there is to a tree."""
    kids = tuple(shape(kid) for kid in node.kids)
    return (
        node.w,
        node.h,
        node.along if node.kids else True,
        node.slack if node.kids else 0,
        node.item,
        kids,
    )


def check(node: Node) -> int:
    """Areas of the parts on a tree whose children fill it exactly; axes alternate."""
    if node.item >= 0:
        return node.w * node.h
    extent = sum(kid.w if node.along else kid.h for kid in node.kids) + node.slack
    assert extent == (node.w if node.along else node.h)
    area = 0
    for kid in node.kids:
        assert kid.up is node
        assert (kid.h == node.h) if node.along else (kid.w == node.w)
        assert kid.item >= 0 or kid.along != node.along
        area += check(kid)
    return area


@pytest.mark.parametrize("upright", [True, False])
def test_a_part_leaves_two_rests(upright: bool) -> None:
    root = tree.new_sheet(100, 60)
    tree.place(root, 0, 30, 20, upright)
    sizes = sorted(rest[:2] for rest in tree.rests_below(root, 1))
    assert sizes == (sorted([(70, 60), (30, 40)]) if upright else sorted([(70, 20), (100, 40)]))


def test_both_ways_to_cut_work_in_every_rest() -> None:
    for upright in (True, False):
        for inner in (True, False):
            root = tree.new_sheet(100, 60)
            tree.place(root, 0, 30, 60, upright)
            rest = max(tree.rests_below(root, 1), key=lambda r: r[0])
            tree.place(rest[3], 1, 20, 10, inner)
            assert check(root) == 30 * 60 + 20 * 10
            sizes = sorted(r[:2] for r in tree.rests_below(root, 1))
            assert sizes == (sorted([(50, 60), (20, 50)]) if inner else sorted([(50, 10), (70, 50)]))


def test_a_part_that_fills_the_sheet_leaves_nothing() -> None:
    root = tree.new_sheet(100, 60)
    tree.place(root, 0, 100, 60, True)
    assert tree.rests_below(root, 1) == []
    assert tree.items_below(root) == [0]


def test_rests_narrower_than_any_part_are_left_out() -> None:
    root = tree.new_sheet(100, 60)
    tree.place(root, 0, 95, 60, True)
    assert tree.rests_below(root, 5) != []
    assert tree.rests_below(root, 6) == []


def test_taking_the_last_part_off_a_strip_takes_the_strip() -> None:
    root = tree.new_sheet(100, 60)
    _, leaf = tree.place(root, 0, 30, 20, True)
    tree.take(leaf)
    assert [rest[:2] for rest in tree.rests_below(root, 1)] == [(100, 60)]


def test_a_strip_is_drawn_in_to_what_it_still_holds() -> None:
    root = tree.new_sheet(100, 60)
    _, tall = tree.place(root, 0, 30, 40, False)
    rest = next(r for r in tree.rests_below(root, 1) if r[:2] == (70, 40))
    tree.place(rest[3], 1, 20, 25, True)
    up = tree.take(tall)[0]
    before = shape(root)
    undo = tree.tighten(up)
    assert check(root) == 20 * 25
    assert sorted(r[:2] for r in tree.rests_below(root, 1)) == [(80, 25), (100, 35)]
    for step in reversed(undo):
        tree.widen(step)
    assert shape(root) == before


def test_a_sheet_cannot_be_taken_off_itself() -> None:
    with pytest.raises(ValueError, match="sheet"):
        tree.take(tree.new_sheet(10, 10))


def test_gathered_room_is_worth_more_than_scattered() -> None:
    assert tree.worth(200) > 2 * tree.worth(100)


@pytest.mark.parametrize("seed", range(20))
def test_everything_can_be_undone(seed: int) -> None:
    random = Random(seed)
    root = tree.new_sheet(200, 120)
    undo: list[tuple[Shape | None, Any]] = []
    for number in range(60):
        before = shape(root)
        rests = tree.rests_below(root, 1)
        if rests and random.random() < 0.7:
            wide, high, _, node = rests[random.randrange(len(rests))]
            w, h = random.randint(1, wide), random.randint(1, high)
            undo.append((before, tree.place(node, number, w, h, random.random() < 0.5)[0]))
        elif root.kids:
            node = root
            while node.kids and (node is root or random.random() < 0.5):
                node = random.choice(node.kids)
            undo.append((before, tree.take(node)))
            if undo[-1][1][0].kids:
                undo += [(None, step) for step in tree.tighten(undo[-1][1][0])]
        free = sum(rest[0] * rest[1] for rest in tree.rests_below(root, 1))
        assert check(root) + free == 200 * 120
        twin = tree.copy(root)
        assert shape(twin) == shape(root)
        check(twin)
    for before, step in reversed(undo):
        back: Any = {2: tree.widen, 3: tree.unplace, 4: tree.untake}[len(step)]
        back(step)
        assert before is None or shape(root) == before
