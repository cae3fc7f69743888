"""Masses, shares of the reciprocating mass, and shaking forces of any layout, against tables and closed forms."""

from __future__ import annotations

import cmath
import math
from typing import Any

import numpy as np
import pint
import pytest
from shaking_layouts import SLIDER, V8, shaking, vee

import swept
from swept import errors

# --- masses and share


def test_masses_add_up_to_the_bob_weight() -> None:
    rod = swept.RodMass.checked(big_end="430.2 g", small_end="170.1 g", total="600 g", slack="0.5 g")
    assert rod.total.m_as("g") == pytest.approx(600.3) and rod.big_end.m_as("g") == pytest.approx(430.2)
    rod = swept.RodMass(big_end="430 g", small_end="170 g")
    up = swept.reciprocating_mass(piston="400 g", pin="110 g", locks="2 g", rings="30 g", rod=rod)
    assert up.m_as("g") == pytest.approx(712)
    assert swept.rotating_mass(rod=rod, shells="45 g", oil="4 g").m_as("g") == pytest.approx(479)
    bob = swept.bob_weight(rotating=["500 g"] * 2, reciprocating=["700 g"] * 2, share=0.5)
    assert bob.m_as("g") == pytest.approx(1700)
    off = swept.to_lightest(pint.UnitRegistry().Quantity([402.0, 400.5, 401.0], "g"), most="2 g")
    assert off.m_as("g") == pytest.approx([1.5, 0, 0.5])


def test_the_share_that_is_best() -> None:
    def twin(angle: float) -> list[tuple[str, str, str]]:
        return [(f"{side * angle / 2} deg", "0 deg", "600 g") for side in (1, -1)]

    right = swept.residual_of_share(twin(90), share="50 %")
    assert [m.m_as("g") for m in right] == pytest.approx([0, 0], abs=1e-9)
    assert [m.m_as("g") for m in swept.residual_of_share(twin(60), share=0.5)] == pytest.approx([0, 300], abs=1e-9)
    assert sum(m.m_as("g") for m in swept.residual_of_share(twin(60), share=0)) == pytest.approx(900)  # 1.5 m
    assert swept.best_share(twin(60)) == pytest.approx(0.5)
    single = [("0 deg", "0 deg", "500 g")]
    assert swept.best_share_along(single, direction="0 deg") == pytest.approx(1)
    assert swept.best_share_along(single, direction="90 deg") == pytest.approx(0, abs=1e-12)


def test_a_sector_is_the_sum_of_its_pieces() -> None:
    cheek = swept.CounterweightSector(
        inner_radius="30 mm", outer_radius="80 mm", included_angle="120 deg", thickness="22 mm", density=7850
    )
    n, angle = 1000, math.radians(120)
    r = 0.03 + 0.05 * (np.arange(n) + 0.5) / n
    phi = angle * ((np.arange(n) + 0.5) / n - 0.5)
    ring = 7850 * 0.022 * r * (0.05 / n)
    assert cheek.mass.m_as("kg") == pytest.approx(ring.sum() * angle, rel=1e-5)
    assert cheek.unbalance.m_as("kg m") == pytest.approx((ring * r).sum() * np.cos(phi).mean() * angle, rel=1e-5)


# --- shaking forces


def test_layouts_of_the_tables() -> None:
    """Tables of free forces and moments, in units of m r w^2, times the spacing for moments."""
    unit: Any = {"speed": "1 rad/s"}
    v8 = swept.ShakingEngine(cylinders=vee(90, V8))
    moment = v8.moment(1, about="0 mm", **unit)
    assert moment.greatest.m_as("N m") == pytest.approx(math.sqrt(10) * 0.1)
    assert moment.forward[0].m_as("N m") == pytest.approx(math.sqrt(10) * 0.1)
    assert moment.backward[0].m_as("N m") == pytest.approx(0, abs=1e-12) and moment.direction is None
    assert v8.force(1, **unit).greatest.m_as("N") == pytest.approx(0, abs=1e-12)
    assert v8.force(2, **unit).greatest.m_as("N") == pytest.approx(0, abs=1e-12)
    # A force goes with the square of the speed.
    assert v8.moment(1, speed="3 rad/s", about="1 m").greatest.m_as("N m") == pytest.approx(9 * math.sqrt(10) * 0.1)

    second = swept.acceleration_harmonics(SLIDER)[1].real
    twin = swept.ShakingEngine(cylinders=vee(90, (0,)))
    assert twin.force(1, **unit).greatest.m_as("N") == pytest.approx(1)
    f2 = twin.force(2, **unit)
    assert f2.along("90 deg").m_as("N") == pytest.approx(math.sqrt(2) * second)
    assert f2.along("0 deg").m_as("N") == pytest.approx(0, abs=1e-12)
    assert f2.direction is not None and f2.direction.m_as("deg") == pytest.approx(90)
    narrow = swept.ShakingEngine(cylinders=vee(60, (0,))).force(1, **unit)
    assert (narrow.greatest.m_as("N"), narrow.least.m_as("N")) == pytest.approx((1.5, 0.5))
    assert narrow.order == 1


def test_harmonics_of_the_slider_crank() -> None:
    found = swept.acceleration_harmonics(SLIDER)
    assert found == pytest.approx([1, 0.29178, 0, -0.006211, 0, 0.000149], abs=1e-6)


def test_the_exact_force_is_the_pistons_and_that_of_the_orders() -> None:
    single = swept.ShakingEngine(cylinders=[shaking(0, 0, 3)])
    orders = [single.force(n, speed="6000 rpm") for n in range(1, 7)]
    for angle in (0, 40, 155, 300):
        along, across = single.force_at(f"{angle} deg", speed="6000 rpm")
        acceleration = SLIDER.piston_acceleration(f"{angle} deg", speed="6000 rpm")
        assert along.m_as("N") == pytest.approx(25 * acceleration.m_as("m/s^2"))
        assert across.m_as("N") == pytest.approx(0, abs=1e-6)
        moment, _ = single.moment_at(f"{angle} deg", speed="6000 rpm", about="100 mm")
        assert moment.m_as("N m") == pytest.approx(0.2 * along.m_as("N"))
        summed = 0j
        for h in orders:
            turned = cmath.exp(1j * h.order * math.radians(angle))
            for (amount, direction), turn in ((h.forward, turned), (h.backward, turned.conjugate())):
                summed += cmath.rect(amount.m_as("N"), direction.m_as("rad")) * turn
        assert summed.real == pytest.approx(along.m_as("N"), rel=1e-4)
    assert single.force_at("0 deg", speed="6000 rpm")[0].m_as("N") > 0  # towards the head


def test_two_counterweights_take_away_all_that_turns_with_the_crank() -> None:
    pins = [{"unbalance": "1 kg m", "angle": f"{throw} deg", "position": f"{100 * i} mm"} for i, throw in enumerate(V8)]
    v8 = swept.ShakingEngine(cylinders=vee(90, V8), rotating=pins)
    weights = v8.counterweights(first="-50 mm", second="350 mm")
    # Moment of the pins sqrt(10), with their pistons' first order 2 sqrt(10), over the planes' distance of 4 spacings.
    assert weights[0]["unbalance"].m_as("kg m") == pytest.approx(2 * math.sqrt(10) / 4)
    assert weights[1]["position"].m_as("mm") == pytest.approx(350)
    balanced = v8.with_masses(weights)
    for about in ("0 mm", "1 m"):
        assert balanced.moment(1, speed="1 rad/s", about=about).greatest.m_as("N m") == pytest.approx(0, abs=1e-12)
    assert v8 != balanced


def test_a_balance_shaft_turns_at_its_own_speed() -> None:
    shaft: Any = {"unbalance": "10 g m", "angle": "0 deg", "position": "0 mm", "turns": -2}
    engine = swept.ShakingEngine(cylinders=[], rotating=[{**shaft, "unbalance": "10000 g mm"}])
    force = engine.force(2, speed="100 rad/s")
    assert force.backward[0].m_as("N") == pytest.approx(0.01 * 200**2) and force.forward[0].m_as("N") == 0
    assert engine.force(1, speed="100 rad/s").greatest.m_as("N") == 0


def test_force_and_moment_over_an_array_of_angles() -> None:
    engine = swept.ShakingEngine(cylinders=vee(90, V8))
    angles = pint.UnitRegistry().Quantity(np.arange(0.0, 720.0, 90.0).reshape(2, 4), "deg")
    for call in (
        lambda a: engine.force_at(a, speed="6000 rpm"),
        lambda a: engine.moment_at(a, speed="6000 rpm", about="0 mm"),
    ):
        along, across = call(angles)
        assert along.shape == across.shape == (2, 4)
        one_by_one = [call(f"{a} deg") for a in angles.m_as("deg").ravel()]
        assert along.magnitude.ravel().tolist() == [o[0].magnitude for o in one_by_one]
        assert across.magnitude.ravel().tolist() == [o[1].magnitude for o in one_by_one]
    with pytest.raises(errors.NotFinite):
        engine.force_at(pint.UnitRegistry().Quantity([0.0, math.nan], "deg"), speed="6000 rpm")
