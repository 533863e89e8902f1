"""The enzyme scheme of recipelint.brewing.mash once more, as differential equations for an adaptive solver.

Written from the equations, not from the module, so that a slip in either shows.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp

R = 8.314462618
T0 = 338.15


def solve(stretches, share=1.0, kgel=0.0116, higher=0.0):
    def logistic(z):
        return 1.0 / (1.0 + np.exp(-z))

    state = np.array([0.92, 0.08, 0, 0, 0, 0, 1.0, 0.93, 0.07])
    for minutes, start, end, kept in stretches:
        if kept < 1.0:
            boiled = (1 - kept) * (state[0] + state[1])
            state[[0, 1, 6, 7, 8]] *= kept
            state[2] += boiled
        seconds = minutes * 60.0
        if seconds <= 0:
            continue

        def slope(t, y, start=start, end=end, seconds=seconds):
            c = start + (end - start) * t / seconds
            ga, gb, s, d, _, _, al, bl, bs = y
            x = 1.0 / (c + 273.15) - 1.0 / T0
            ra = kgel * max(ga - 0.92 * (1 - logistic((c - higher - 57.9) / 1.45)), 0.0)
            rb_ = kgel * max(gb - 0.08 * (1 - logistic((c - higher - 66.0) / 1.8)), 0.0)
            a = al * np.exp(-60e3 / R * x) * share
            b = (bl + bs) * max(c - 8.7, 0.0) / (65 - 8.7) * share
            r1, r2, rb = 0.0167 * a * s, 5.3e-4 * a * d, 0.0105 * b * d
            kd = 1.24e-3 * np.exp(-410.7e3 / R * x)
            return [
                -ra, -rb_, ra + rb_ - r1, 0.870 * r1 - r2 - rb, 0.683 * r2 + 0.249 * rb,
                0.130 * r1 + 0.317 * r2 + 0.751 * rb,
                -1.60e-4 * np.exp(-224.2e3 / R * x) * al, -kd * bl, -0.0209 * kd * bs,
            ]  # fmt: skip

        found = solve_ivp(slope, (0.0, seconds), state, method="LSODA", rtol=1e-8, atol=1e-11, max_step=20.0)
        assert found.success
        state = found.y[:, -1].copy()
    s, d, left, f = state[2:6]
    conv = s + d + left + f
    h = 1.055 * f + 1.01 * (d + left + s)
    x = 0.80 * h / 1.045 + 0.20
    rdf = (0.80 * 1.055 * f / 1.045 + 0.10) / x
    return {
        "dissolved": conv,
        "limit": rdf / 0.8192,
        "unconverted": s / conv if conv else 0.0,
        "alpha": state[6],
        "beta": state[7] + state[8],
    }
