"""A sheet as a tree of edge-to-edge cuts, changed in place and put back again.

A node is a rectangle. A leaf is a part. Any other node lines its children up along one axis, each as wide
across it as the node, and keeps what is left along that axis as one merged rest (`slack`). Children may
change places, so removing one simply adds its extent to the rest. Sizes are whole numbers of the grid.
"""

from __future__ import annotations

from math import sqrt

Rest = tuple[int, int, float, "Node"]
"""A free rectangle: extent along x, extent along y, worth, the node whose rest it is."""
Placing = tuple["Node", int, bool]
"""How to undo a placing: the node, its slack and axis before."""
Tightening = tuple["Node", int]
"""How to undo a tightening: the strip, and the extent it gave up."""
Taking = tuple["Node", int, int, "Node"]
"""How to undo a taking: the parent, the child's position, the parent's slack before, the child."""


class Node:
    """A rectangle of a sheet; `item` is the part's number on a leaf, -1 on any other node."""

    __slots__ = ("along", "h", "item", "kids", "slack", "up", "w")

    def __init__(self, w: int, h: int, along: bool, slack: int, up: Node | None, item: int = -1) -> None:
        self.w = w
        self.h = h
        self.along = along
        """True when the children stand side by side along x."""
        self.slack = slack
        self.up = up
        self.item = item
        self.kids: list[Node] = []


def new_sheet(w: int, h: int) -> Node:
    """An empty sheet of `w` along x by `h` along y."""
    return Node(w, h, True, w, None)


def worth(area: int) -> float:
    """What a free rectangle is worth, area^1.25: one large rest is worth more than two halves.

    Two square roots rather than a power, because they round the same way on every machine.
    """
    return area * sqrt(sqrt(area))


def place(node: Node, item: int, w: int, h: int, upright: bool) -> tuple[Placing, Node]:
    """Put a part of `w` × `h` in the rest of `node`; the first cut is upright (at x = w) or level (at y = h).

    Returns what undoes it and the leaf.
    """
    undo = (node, node.slack, node.along)
    if not node.kids:
        node.along = upright
        node.slack = node.w if upright else node.h
    leaf = Node(w, h, True, 0, node, item)
    wide, high = (node.slack, node.h) if node.along else (node.w, node.slack)
    if node.along == upright or (w == wide and h == high):
        across_left = high - h if node.along else wide - w
        child = leaf
        if across_left:
            child = Node(
                w if node.along else wide, high if node.along else h, not node.along, across_left, node
            )
            leaf.up = child
            child.kids.append(leaf)
        node.slack -= w if node.along else h
    else:
        child = Node(wide, high, upright, wide - w if upright else high - h, node)
        across_left = high - h if upright else wide - w
        leaf.up = child
        if across_left:
            strip = Node(w if upright else wide, high if upright else h, not upright, across_left, child)
            leaf.up = strip
            strip.kids.append(leaf)
            child.kids.append(strip)
        else:
            child.kids.append(leaf)
        node.slack = 0
    node.kids.append(child)
    return undo, leaf


def unplace(undo: Placing) -> None:
    """Undo the latest `place` on its node."""
    node, slack, along = undo
    node.slack, node.along = slack, along
    node.kids.pop()


def take(node: Node) -> Taking:
    """Take a node (not the sheet itself) and all on it off the sheet, with every node that only held it."""
    up = node.up
    if up is None:
        raise ValueError("a sheet cannot be taken off itself")
    while up.up is not None and len(up.kids) == 1:
        node, up = up, up.up
    index = up.kids.index(node)
    undo = (up, index, up.slack, node)
    del up.kids[index]
    up.slack += node.w if up.along else node.h
    return undo


def untake(undo: Taking) -> None:
    """Undo the latest `take` on its parent."""
    up, index, slack, node = undo
    up.slack = slack
    up.kids.insert(index, node)


def tighten(node: Node | None) -> list[Tightening]:
    """Draw strips in to the parts they still hold, from `node` up, and give the room to what holds them."""
    undo: list[Tightening] = []
    while node is not None and node.up is not None:
        spare = min([kid.slack for kid in node.kids])
        if spare:
            widen((node, -spare))
            undo.append((node, spare))
        node = node.up
    return undo


def widen(undo: Tightening) -> None:
    """Make a strip and its children wider across by an extent that its parent's rest gives."""
    node, extent = undo
    for each in (node, *node.kids):
        if node.along:
            each.h += extent
        else:
            each.w += extent
    for kid in node.kids:
        kid.slack += extent
    if node.up is not None:
        node.up.slack -= extent


def items_below(node: Node) -> list[int]:
    """The numbers of the parts on `node`, in the order of the tree."""
    if node.item >= 0:
        return [node.item]
    found: list[int] = []
    stack = [node]
    while stack:
        top = stack.pop()
        if top.item >= 0:
            found.append(top.item)
        else:
            stack.extend(top.kids)
    return found


def rest_of(node: Node, shortest: int) -> Rest | None:
    """The free rectangle of a node, unless it is narrower than `shortest`, the shortest side of any part."""
    slack = node.slack
    if slack < shortest:
        return None
    wide, high = (slack, node.h) if node.along else (node.w, slack)
    if wide < shortest or high < shortest:
        return None
    return wide, high, worth(wide * high), node


def rests_below(root: Node, shortest: int) -> list[Rest]:
    """The free rectangles of a sheet that are at least `shortest` on both sides."""
    found: list[Rest] = []
    stack = [root]
    while stack:
        node = stack.pop()
        if node.slack >= shortest:
            rest = rest_of(node, shortest)
            if rest is not None:
                found.append(rest)
        for kid in node.kids:
            if kid.item < 0:
                stack.append(kid)
    return found


def copy(node: Node, up: Node | None = None) -> Node:
    """A tree of its own with the same cuts."""
    twin = Node(node.w, node.h, node.along, node.slack, up, node.item)
    twin.kids = [copy(kid, twin) for kid in node.kids]
    return twin
