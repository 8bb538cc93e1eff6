"""Mixing networks, where torch is installed (the extra ``[train]``)."""

from __future__ import annotations

from typing import Any

import pytest

torch = pytest.importorskip("torch", reason="torch is not installed: the extra [train] brings it")
mean = pytest.importorskip("counter.imaging.learn.mean", exc_type=ImportError)
network = pytest.importorskip("counter.imaging.learn.network", exc_type=ImportError)


def _two() -> list[Any]:
    torch.manual_seed(5)
    return [network.Finder().eval() for _ in range(2)]


def test_the_mean_lies_between_by_the_shares() -> None:
    """Three parts of one and one part of another."""
    one, two = _two()
    pictures = torch.rand(4, 3, 64, 96) * 2 - 1
    made = mean.mixed([one, two], [3, 1], pictures)
    first = made.stem[0].weight
    assert torch.allclose(first, 0.75 * one.stem[0].weight + 0.25 * two.stem[0].weight, atol=1e-6)


def test_normalisations_hold_what_the_mixed_network_sees() -> None:
    """On the pictures it was settled with, the first normalised layer has mean 0 and spread 1."""
    pictures = torch.rand(6, 3, 64, 96) * 2 - 1
    made = mean.mixed(_two(), [1, 1], pictures)
    with torch.no_grad():
        seen = made.stem[0](pictures)
    assert torch.allclose(made.stem[1].running_mean, seen.mean((0, 2, 3)), atol=1e-5)


def test_as_many_shares_as_networks() -> None:
    """A share too few is an error, not a network left out."""
    with pytest.raises(ValueError, match="zip"):
        mean.mixed(_two(), [1.0], torch.zeros(1, 3, 64, 64))
