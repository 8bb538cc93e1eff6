"""Agreement with statsmodels, where it has the same method; it is a test dependency only."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.discrete.discrete_model import NegativeBinomial
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint
from statsmodels.stats.rates import confint_poisson, test_poisson_2indep

from counter.statistics.negative_binomial import fit
from counter.statistics.poisson import garwood, mid_p
from counter.statistics.proportion import clopper_pearson, newcombe_difference, wilson
from counter.statistics.ratio import minimum_likelihood_p

compare_rates = test_poisson_2indep
del test_poisson_2indep  # it is no test of ours
LEVELS = pytest.mark.parametrize("level", [0.8, 0.95, 0.99])


@LEVELS
@pytest.mark.parametrize("count", [1, 12, 313])
def test_limits_of_a_count_agree(count: int, level: float) -> None:
    """Garwood's are its "exact-c", mid-P's its "midp-c"."""
    for computed, method in ((garwood, "exact-c"), (mid_p, "midp-c")):
        expected = confint_poisson(count, 1.0, method=method, alpha=1 - level)
        assert computed(count, level) == pytest.approx([float(e) for e in expected], rel=1e-6)


@LEVELS
@pytest.mark.parametrize(("successes", "total"), [(0, 20), (1, 29), (81, 263), (29, 29)])
def test_limits_of_a_share_agree(successes: int, total: int, level: float) -> None:
    """Wilson's, and Clopper and Pearson's, which it calls "beta"."""
    for computed, method in ((wilson, "wilson"), (clopper_pearson, "beta")):
        limits = computed(successes, total, level)
        expected = proportion_confint(successes, total, alpha=1 - level, method=method)
        assert (limits.low, limits.high) == pytest.approx([float(e) for e in expected], abs=1e-9)


@LEVELS
@pytest.mark.parametrize(
    ("first", "second"), [((56, 70), (48, 80)), ((5, 56), (0, 29)), ((187, 200), (171, 190))]
)
def test_limits_of_a_difference_agree(
    first: tuple[int, int], second: tuple[int, int], level: float
) -> None:
    """Newcombe's hybrid score, method 10."""
    limits = newcombe_difference(first, second, level)
    expected = confint_proportions_2indep(
        *first, *second, method="newcomb", compare="diff", alpha=1 - level
    )
    assert (limits.low, limits.high) == pytest.approx([float(e) for e in expected], abs=1e-9)


@pytest.mark.parametrize(
    ("first", "volume", "second", "other"),
    [(2, 17877.0, 9, 16660.0), (41, 28010.0, 15, 19017.0), (200, 1.0, 180, 1.0)],
)
def test_the_conditional_p_value_of_a_ratio_agrees(
    first: int, volume: float, second: int, other: float
) -> None:
    """Its "exact-cond" sums the outcomes of minimum likelihood."""
    expected = compare_rates(first, volume, second, other, method="exact-cond").pvalue
    assert minimum_likelihood_p(first, volume, second, other) == pytest.approx(float(expected))


@pytest.mark.parametrize(
    "squares",
    [(70, 38, 17, 10, 9, 3, 2, 1), (213, 128, 37, 18, 3, 1)],
    ids=["mites on apple leaves", "yeast, set I"],
)
def test_the_negative_binomial_agrees(squares: tuple[int, ...]) -> None:
    """Its "nb2" has alpha = 1/k; mean, k and likelihood by maximum likelihood."""
    counts = [count for count, times in enumerate(squares) for _ in range(times)]
    computed = fit(counts)
    assert computed is not None
    model = NegativeBinomial(np.array(counts), np.ones(len(counts)), loglike_method="nb2")
    expected = model.fit(method="bfgs", disp=False, gtol=1e-9, maxiter=500)
    constant, alpha = (float(value) for value in expected.params)
    assert computed.mean == pytest.approx(np.exp(constant), rel=1e-5)
    assert computed.k == pytest.approx(1 / alpha, rel=1e-4)
    assert computed.log_likelihood == pytest.approx(float(expected.llf), rel=1e-9)
