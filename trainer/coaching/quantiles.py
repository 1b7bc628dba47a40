"""Quantiles of Student's t distribution, without a library of statistics.

Cornish-Fisher expansion about the normal quantile: Abramowitz and Stegun 1964, formula 26.7.5 (from memory; the tests
hold it against scipy: within 0.1 % from 4 degrees of freedom on at 95 %).
"""

from statistics import NormalDist


def student_t_quantile(share: float, freedom: float) -> float:
    """The value below which a `share` of the distribution with `freedom` degrees of freedom lies.

    >>> round(student_t_quantile(0.975, 4), 2)
    2.78
    """
    z = NormalDist().inv_cdf(share)
    terms = (
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return z + sum(term / freedom**power for power, term in enumerate(terms, start=1))
