"""Matching of parts and tolerance stacks on plain numbers."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

import swept
from swept import errors


def by_counting(values: Any) -> float:
    """The least spread over every order of one type of parts."""
    n = len(values)
    orders = itertools.permutations(range(n))
    return min(float(np.ptp([values[place][part] for place, part in enumerate(order)])) for order in orders)


def test_one_type_is_the_best_of_all_orders() -> None:
    rng = np.random.default_rng(7)
    for _ in range(20):
        values = rng.integers(-20, 20, (5, 5)) * 1e-3
        found = swept.match_parts(places=5, types=1, figures=[{"depends": [0], "values": values}])
        assert found.proved and found.spreads == found.bounds
        assert found.spreads[0] == pytest.approx(by_counting(values), abs=1e-12)
        matched = [values[place][parts[0]] for place, parts in enumerate(found.assignment)]
        assert np.ptp(matched) == pytest.approx(found.spreads[0], abs=1e-12)
        assert found.delivered[0] == pytest.approx(np.ptp(np.diagonal(values)), abs=1e-12)


def test_two_types_and_limits() -> None:
    place, rod, piston = np.array([5.0, 6, 7]), np.array([1.0, 2, 3]), np.array([0.0, 0, 0])
    values = place[:, None, None] - rod[None, :, None] - piston[None, None, :]
    found = swept.match_parts(places=3, types=2, figures=[{"depends": [0, 1], "values": values, "lower": 3.5}])
    assert [parts[0] for parts in found.assignment] == [0, 1, 2] and found.spreads == [0.0]
    with pytest.raises(errors.OutOfRange, match="proved"):
        swept.match_parts(places=3, types=2, figures=[{"depends": [0, 1], "values": values, "lower": 4.5}])


@pytest.mark.parametrize(
    ("figure", "error"),
    [
        ({"depends": [0]}, TypeError),
        ({"depends": [0], "values": [[1.0]]}, ValueError),
        ({"depends": [0], "values": [[1.0, 2.0], [3.0, float("nan")]]}, errors.NotFinite),
        ({"depends": [3], "values": [[1.0, 2.0], [3.0, 4.0]]}, errors.OutOfRange),
        ({"depends": [0], "values": [[1.0, 2.0], [3.0, 4.0]], "uper": 1.0}, TypeError),
        ({"depends": [0], "values": [[1.0, 2.0], [3.0, 4.0]], "lower": 2.0, "upper": 1.0}, errors.OutOfRange),
        ({"depends": [0], "values": "cheese"}, ValueError),
    ],
)
def test_what_cannot_be_matched_is_refused(figure: dict[str, Any], error: type[Exception]) -> None:
    with pytest.raises(error):
        swept.match_parts(places=2, types=1, figures=[figure])


def test_counts_are_refused() -> None:
    for places, types in ((0, 1), (17, 1), (2, 0), (2, 5)):
        with pytest.raises(errors.OutOfRange):
            swept.match_parts(places=places, types=types, figures=[])


def test_a_linear_stack_is_three_standard_uncertainties() -> None:
    zones = [(-0.05, 0.05), (0.0, 0.04), (-0.02, 0.0)]
    found = swept.tolerance_stack(lambda x: x[0] - 0.5 * x[1] - x[2], [225.0, 86.0, 148.0], zones)
    budget = swept.propagate(lambda x: x[0] - 0.5 * x[1] - x[2], [225.0, 86.0, 148.0], [0.05 / 3, 0.02 / 3, 0.01 / 3])
    low, high = found.root_sum_square
    assert (high - low) / 2 == pytest.approx(3 * budget.standard_uncertainty)
    assert found.worst_case == pytest.approx((225 - 0.05 - 43.02 - 148, 225.05 - 43 - 147.98))
    assert found.shares == pytest.approx(budget.shares)
    sampled = swept.sample_tolerances(lambda x: x[0] - x[1], [2.0, 1.0], [(-0.3, 0.3), (-0.4, 0.4)], upper=1.1)
    assert sampled.standard_deviation == pytest.approx(0.5 / 3, rel=0.02)
    assert sampled.outside == pytest.approx(0.2743, abs=0.01)  # 1 - Phi(0.6)
    assert sampled.trials == 100_000


def test_what_is_no_tolerance_is_refused() -> None:
    def total(x: list[float]) -> float:
        return sum(x)

    with pytest.raises(errors.OutOfRange):
        swept.tolerance_stack(total, [1.0], [(0.1, -0.1)])
    with pytest.raises(errors.WrongLength):
        swept.tolerance_stack(total, [1.0, 2.0], [(0.0, 0.1)])
    with pytest.raises(errors.NotFinite):
        swept.tolerance_stack(lambda x: float("nan"), [1.0], [(0.0, 0.1)])
    with pytest.raises(ZeroDivisionError):
        swept.tolerance_stack(lambda x: 1 / 0, [1.0], [(0.0, 0.1)])
    with pytest.raises(errors.OutOfRange):
        swept.sample_tolerances(total, [1.0], [(0.0, 0.1)], trials=3)
    with pytest.raises(ValueError, match="rectangular"):
        swept.sample_tolerances(total, [1.0], [(0.0, 0.1)], distribution="triangular")
