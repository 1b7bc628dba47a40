"""Student's t against scipy (test-only)."""

import pytest
from scipy import stats

from trainer.coaching.quantiles import student_t_quantile


@pytest.mark.parametrize("freedom", [4, 5, 7, 10, 25, 100])
@pytest.mark.parametrize("share", [0.9, 0.95, 0.975])
def test_quantiles_agree_with_scipy(share: float, freedom: float) -> None:
    assert student_t_quantile(share, freedom) == pytest.approx(stats.t.ppf(share, freedom), rel=0.001)
