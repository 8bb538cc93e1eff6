"""Bodies seen on several blocks are kept once: never twice, never not at all."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.domain.mark import Mark
from counter.imaging.blocks import Block, blocks_of
from counter.imaging.settle import Seen, settled

WIDTH, HEIGHT, MARGIN = 900, 700, 60
BLOCKS = blocks_of(WIDTH, HEIGHT, (320, 300), MARGIN)
TURNS = [math.tau * step / 24 for step in range(24)]


def body(x: float, y: float, long: float = 40.0, wide: float = 30.0, name: int = 0) -> Mark:
    """An ellipse's mark."""
    outline = [(x + long / 2 * math.cos(t), y + wide / 2 * math.sin(t)) for t in TURNS]
    return Mark(name, x, y, tuple(outline), long, wide, long * wide, "d-hinge")


def sees(block: Block, mark: Mark) -> bool:
    """Whether a block sees all of a mark, as the search keeps it."""
    xs, ys = zip(*mark.outline_px, strict=True)
    across: bool = block.left < min(xs) and max(xs) < block.right - 1
    down: bool = block.top < min(ys) and max(ys) < block.bottom - 1
    return across and down


places = st.tuples(st.floats(30, WIDTH - 30), st.floats(30, HEIGHT - 30))


@given(st.lists(places, min_size=1, max_size=12), st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None)
def test_each_body_is_owned_by_exactly_one_block(
    wanted: list[tuple[float, float]], random: object
) -> None:
    """Wherever it lies and however each block's own measure of it differs by a few pixels."""
    rng = np.random.default_rng(abs(hash(str(random))) % 1000)
    far = [p for i, p in enumerate(wanted) if all(math.dist(p, q) > 60 for q in wanted[:i])]
    seen = []
    for name, (x, y) in enumerate(far):
        for number, block in enumerate(BLOCKS):
            dx, dy, grown = rng.uniform(-3, 3), rng.uniform(-3, 3), rng.uniform(0.93, 1.07)
            mark = body(x + dx, y + dy, 40 * grown, 30 * grown, name)
            if sees(block, mark):
                seen.append(Seen(number, mark))
    kept = [mark.mark_id for mark in settled(seen, BLOCKS)]
    assert sorted(kept) == list(range(len(far)))


def on_seam() -> tuple[int, int, float, float]:
    """Two neighbouring blocks, and a place on their seam."""
    left = next(n for n, block in enumerate(BLOCKS) if block.left == 0 and block.top == 0)
    right = next(n for n, b in enumerate(BLOCKS) if b.own_left == BLOCKS[left].own_right)
    return left, right, BLOCKS[left].own_right, 100.0


def test_a_body_whose_two_centres_lie_crosswise_is_kept_once() -> None:
    """Each block sees it a little on the other's side: by centres alone nobody would own it."""
    left, right, x, y = on_seam()
    for off in (-2.0, -0.5, 0.0, 0.5, 2.0):
        seen = [Seen(left, body(x + off, y)), Seen(right, body(x - off, y))]
        assert len(settled(seen, BLOCKS)) == 1


def test_a_group_is_told_by_one_block() -> None:
    """Where one block parts two bodies and the other does not, neither sum of both is taken."""
    left, right, x, y = on_seam()
    parted = [Seen(left, body(x - 15, y, 30, 30, 1)), Seen(left, body(x + 15, y, 30, 30, 2))]
    merged = Seen(right, body(x, y, 60, 30, 3))
    kept = {mark.mark_id for mark in settled([*parted, merged], BLOCKS)}
    assert kept in ({1, 2}, {3})


def test_touching_and_overlapping_bodies_stay_apart() -> None:
    """Bodies of one block that overlap by a quarter are two, on a seam as elsewhere."""
    left, right, x, y = on_seam()
    ones = [body(x - 14, y, 40, 40, 1), body(x + 14, y, 40, 40, 2)]
    seen = [Seen(block, mark) for block in (left, right) for mark in ones]
    assert sorted(mark.mark_id for mark in settled(seen, BLOCKS)) == [1, 2]


def test_what_its_owner_does_not_see_is_not_there() -> None:
    """A neighbour's word does not count far inside another block's own area."""
    left, _, x, y = on_seam()
    assert settled([Seen(left, body(x + 25, y))], BLOCKS) == []
    assert len(settled([Seen(left, body(x - 25, y))], BLOCKS)) == 1


@given(st.permutations(range(8)))
def test_the_order_does_not_matter(order: list[int]) -> None:
    """The same bodies are kept, in whatever order blocks are searched."""
    left, right, x, y = on_seam()
    seen = []
    for number in range(4):
        mark = body(x + 3 * number - 5, y + 40 * number - 40, name=number)
        seen += [Seen(left, mark), Seen(right, replace(mark, x_px=mark.x_px + 1))]
    kept = settled([seen[index] for index in order], BLOCKS)
    assert sorted(mark.mark_id for mark in kept) == [0, 1, 2, 3]


def test_nothing_seen_is_nothing_kept() -> None:
    """An empty slide has no bodies."""
    assert settled([], BLOCKS) == []
