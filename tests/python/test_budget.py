"""Uncertainty budgets of a user's own function, against JCGM 100:2008 (GUM), annex H.2, as transcribed."""

from __future__ import annotations

import math

import pytest

import swept
from swept import errors

V = [5.007, 4.994, 5.005, 4.990, 4.999]
I = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]  # noqa: E741
PHI = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]


def means(series: list[float]) -> tuple[float, float]:
    mean, standard, _ = swept.type_a([f"{x!r}" for x in series], dimension="ratio")
    return mean, standard


def test_gum_h2() -> None:
    (v, u_v), (i, u_i), (phi, u_phi) = means(V), means(I), means(PHI)
    vi, vp, ip = (swept.correlation_of_means(a, b) for a, b in ((V, I), (V, PHI), (I, PHI)))
    assert (vi, vp, ip) == pytest.approx((-0.36, 0.86, -0.65), abs=0.006)
    matrix = [[1.0, vi, vp], [vi, 1.0, ip], [vp, ip, 1.0]]
    budget = swept.propagate(lambda x: x[0] / x[1] * math.cos(x[2]), [v, i, phi], [u_v, u_i, u_phi], matrix)
    assert budget.value == pytest.approx(127.732, abs=1e-3)
    assert budget.standard_uncertainty == pytest.approx(0.071, abs=1e-3)
    assert budget.expanded_uncertainty() == 2.0 * budget.standard_uncertainty


def test_shares_and_degrees_of_freedom() -> None:
    budget = swept.propagate(lambda x: 3.0 * x[0] - 4.0 * x[1], [1.0, 2.0], [1.0, 1.0])
    assert budget.contributions == pytest.approx([3.0, -4.0])
    assert budget.shares == pytest.approx([9 / 25, 16 / 25])
    assert swept.effective_degrees_of_freedom(budget.contributions, [10.0, 10.0]) == pytest.approx(625 / 33.7)


def test_what_is_wrong_is_said() -> None:
    with pytest.raises(ZeroDivisionError):
        swept.propagate(lambda x: 1.0 / 0.0, [1.0], [0.1])
    with pytest.raises(errors.NotFinite):
        swept.propagate(lambda x: math.nan, [1.0], [0.1])
    with pytest.raises(errors.WrongLength):
        swept.propagate(lambda x: x[0], [1.0], [0.1, 0.2])
    with pytest.raises(errors.OutOfRange):
        swept.propagate(lambda x: x[0], [1.0], [0.1], [[2.0]])
    with pytest.raises(TypeError):
        swept.propagate(lambda x: "text", [1.0], [0.1])  # type: ignore[arg-type,return-value]
    with pytest.raises(errors.WrongLength):
        swept.correlation_of_means([1.0, 2.0], [1.0])
