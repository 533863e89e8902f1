"""Relations of the trade that recipelint does not use, kept to compare with those it does.

Nothing is shown by these functions alone: a test sets the project's own result beside theirs.
"""

from __future__ import annotations


def weight_for_points(points: float, volume: float, per_weight: float) -> float:
    return points * volume / per_weight


def abw_cutaia(original: float, apparent: float) -> float:
    """Alcohol (% by mass) by the quadratic of Cutaia, Reid and Speers 2009; coefficients from memory."""
    fall = original - apparent
    return 0.38726 * fall + 0.00307 * fall * fall


def real_extract_cutaia(a: float, ae: float) -> float:
    """Real extract (°P) by the polynomial of Cutaia, Reid and Speers 2009; coefficients from memory."""
    return (
        0.496815689 * a
        + 1.001534136 * ae
        - 0.000591051 * a * ae
        - 0.000294307 * ae**2
        - 0.0084747 * a**2
        + 0.000183564 * a**3
        + 1.1151e-5 * ae**3
        + 2.452e-6 * a**2 * ae**2
    )


DUTY_BANDS = (
    (6.9, 0.125), (10.4, 0.126), (17.2, 0.127), (26.1, 0.128), (36.0, 0.129), (46.5, 0.130), (57.1, 0.131),
    (67.9, 0.132), (78.8, 0.133), (89.7, 0.134), (100.7, 0.135),
)  # fmt: skip


def duty_factor(points: float) -> float:
    """Factor of a tax notice from points attenuated to % vol; its table ends at 100.7 points."""
    return next(factor for edge, factor in DUTY_BANDS if points <= edge + 1e-9)


def abv_by_duty(original_sg: float, final_sg: float) -> float:
    fall = (original_sg - final_sg) * 1000.0
    return fall * duty_factor(fall)
