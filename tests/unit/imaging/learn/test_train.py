"""The steps of training, where torch is installed (the extra ``[train]``)."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="torch is not installed: the extra [train] brings it")
losses = pytest.importorskip("counter.imaging.learn.losses", exc_type=ImportError)
stores = pytest.importorskip("counter.imaging.learn.store", exc_type=ImportError)


def test_turning_a_patch_turns_its_radii() -> None:
    """After mirroring, the ray to the right says what the ray to the left said."""
    radius = torch.arange(32.0).reshape(1, 32, 1, 1).expand(1, 32, 2, 2)
    parts = (torch.zeros(1, 3, 8, 8), radius)
    across = losses.turned(parts, True, False, False)[1][0, :, 0, 0]
    down = losses.turned(parts, False, True, False)[1][0, :, 0, 0]
    swapped = losses.turned(parts, False, False, True)[1][0, :, 0, 0]
    assert (across[0], across[8], across[16]) == (16, 8, 0)
    assert (down[0], down[8], down[24]) == (0, 24, 8)
    assert (swapped[0], swapped[8]) == (8, 0)


def test_a_right_answer_costs_nothing() -> None:
    """Depth, radii and class as wanted give next to no loss, wrong ones more."""
    near = torch.tensor([[[0.0, 0.9], [0.5, 0.0]]])
    kind = torch.tensor([[[255, 1], [2, 255]]], dtype=torch.uint8)
    radius = torch.full((1, 32, 2, 2), 5.0)
    answer = torch.zeros(1, 37, 2, 2)
    answer[:, 0] = torch.logit(near, eps=1e-6)
    answer[0, 2, 0, 1], answer[0, 3, 1, 0] = 20.0, 20.0
    answer[:, 5:] = np.log(5.0)
    right = losses.loss_of(answer, near, torch.ones(1, 2, 2), kind, radius)
    assert float(right.sum()) < 1e-3
    wrong = losses.loss_of(-answer, near, torch.ones(1, 2, 2), kind, radius)
    assert (wrong > 0.1).all()


def test_roughening_keeps_a_picture_within_bounds() -> None:
    """Whatever is varied, values stay where the network expects them."""
    torch.manual_seed(0)
    seen = torch.randint(0, 256, (6, 3, 32, 32), dtype=torch.uint8)
    rough = losses.roughened(seen)
    assert rough.shape == seen.shape
    assert float(rough.min()) >= -1.0
    assert float(rough.max()) <= 1.4001


def test_hard_patches_are_taken_more_often_and_new_ones_count_as_hard() -> None:
    """Of ten patches the one that is wrong fills most of the hard half of a batch."""
    torch.manual_seed(1)
    store = stores.Store(10, 32, "cpu")
    store.add(tuple(torch.zeros_like(part).numpy() for part in store.parts))
    assert (store.wrong == 1).all()
    store.wrong[:] = 0.0
    store.wrong[7] = 1.3
    taken = store.some(1000, 0.5)
    assert len(taken) == 1000
    assert 250 < int((taken == 7).sum()) < 450
    assert int((store.some(1000, 0.0) == 7).sum()) < 200


def test_a_store_that_was_kept_goes_on_where_it_was(tmp_path: Path) -> None:
    """A run that goes on from another has its patches, and puts new ones after them."""
    store = stores.Store(6, 32, "cpu")
    rng = np.random.default_rng(3)

    def some(count: int) -> tuple[np.ndarray, ...]:
        like = [part[:1].numpy() for part in store.parts]
        return tuple(rng.integers(0, 200, (count, *a.shape[1:])).astype(a.dtype) for a in like)

    store.add(some(4))
    store.save(tmp_path / "kept.pt")
    other = stores.Store(6, 32, "cpu")
    other.load(tmp_path / "kept.pt")
    assert other.seen == 4
    for mine, its in zip(other.parts, store.parts, strict=True):
        assert torch.equal(mine[:4], its[:4])
    before = other.parts[0][1:4].clone()
    other.add(some(3))
    assert torch.equal(other.parts[0][1:4], before)


def test_a_false_depth_on_litter_is_wrong_and_a_miss_in_part() -> None:
    """A patch answered rightly is hardly wrong, a false body by 1, a missed one by 0.3."""
    near = torch.zeros(3, 4, 4)
    near[1:, 1, 1] = 1.0
    answer = torch.full((3, 37, 4, 4), -12.0)
    answer[0, 0, 2, 2] = 12.0
    answer[1, 0, 1, 1] = 12.0
    wrong = losses.wrongness(answer, near, torch.ones(3, 4, 4))
    assert wrong.tolist() == pytest.approx([1.0, 0.0, 0.3], abs=1e-3)
