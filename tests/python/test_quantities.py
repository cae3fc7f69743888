"""Texts and pint quantities in, pint quantities out, bare numbers refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

OWN = pint.UnitRegistry()


def test_a_text_and_a_quantity_of_any_registry_are_the_same(cylinder: swept.Cylinder) -> None:
    given = swept.Cylinder(
        bore=OWN.Quantity(8.6, "cm"),
        stroke=pint.get_application_registry().Quantity(86, "mm"),
        rod_length="143 mm",
        pin_offset=OWN.Quantity(500, "micrometer"),
    )
    assert given.swept_volume.m_as("cm**3") == pytest.approx(cylinder.swept_volume.m_as("cm**3"), rel=1e-15)


def test_what_comes_back_is_of_the_registry_that_the_user_set(cylinder: swept.Cylinder) -> None:
    before = pint.get_application_registry().get()
    own = pint.UnitRegistry()
    pint.set_application_registry(own)
    try:
        assert cylinder.bore + own.Quantity(1, "mm") == own.Quantity(87, "mm")
    finally:
        pint.set_application_registry(before)


def test_arrays_keep_their_shape_and_units_and_agree_with_scalars(cylinder: swept.Cylinder) -> None:
    degrees = np.arange(12.0).reshape(3, 4) * 30
    for angles in (OWN.Quantity(degrees, "deg"), OWN.Quantity(np.radians(degrees).T.copy().T, "rad")):
        found = cylinder.piston_position(angles)
        assert found.magnitude.shape == (3, 4)
        one = cylinder.piston_position("150 deg").m_as("mm")
        assert found[1, 1].m_as("mm") == pytest.approx(one, rel=1e-12)
    speeds = cylinder.piston_velocity(OWN.Quantity([0.0, 90.0], "deg"), speed="6000 rpm")
    assert speeds.check("[velocity]") and speeds.magnitude.shape == (2,)
    assert cylinder.rod_angle(OWN.Quantity([], "deg")).magnitude.shape == (0,)
    assert cylinder.rod_angle(OWN.Quantity(np.array(0.0), "deg")).check("")


@pytest.mark.parametrize("bare", [86, 86.0, np.float64(86)])
def test_a_bare_number_is_told_what_to_write(bare: Any) -> None:
    with pytest.raises(TypeError, match=r'bore needs a unit.*bore="86') as caught:
        swept.Cylinder(bore=bare, stroke="86 mm", rod_length="143 mm")
    assert isinstance(caught.value, errors.MissingUnit)
    assert caught.value.field == "bore"


@pytest.mark.parametrize("wrong", [None, True, ["86 mm"], b"86 mm"])
def test_what_is_no_quantity_is_a_type_error(wrong: Any) -> None:
    with pytest.raises(TypeError, match="bore must be a text"):
        swept.Cylinder(bore=wrong, stroke="86 mm", rod_length="143 mm")


def test_positional_dimensions_are_refused() -> None:
    with pytest.raises(TypeError):
        swept.Cylinder("86 mm", "86 mm", "143 mm")  # type: ignore[call-arg]


@pytest.mark.parametrize(
    "frequency", ["100 Hz", OWN.Quantity(100, "Hz"), OWN.Quantity(0.1, "kHz"), OWN.Quantity(1, "1/s")]
)
def test_a_frequency_is_no_shaft_speed(cylinder: swept.Cylinder, frequency: Any) -> None:
    with pytest.raises(errors.SweptError, match="rpm"):
        cylinder.mean_piston_speed(frequency)


@pytest.mark.parametrize(
    "speed", ["6000 rpm", OWN.Quantity(6000, "rpm"), OWN.Quantity(200 * math.pi, "rad/s"), OWN.Quantity(100, "turn/s")]
)
def test_shaft_speeds_are_read_alike(cylinder: swept.Cylinder, speed: Any) -> None:
    expected = 2 * cylinder.travel.m_as("m") * 100
    assert cylinder.mean_piston_speed(speed).m_as("m/s") == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    "energy", ["95 J", OWN.Quantity(95, "J"), OWN.Quantity(1, "kilowatt_hour"), OWN.Quantity(1, "Btu")]
)
def test_an_energy_is_no_torque(energy: Any) -> None:
    with pytest.raises(errors.SweptError):
        swept.quantity(energy, "torque")
    assert swept.quantity(OWN.Quantity(95, "N*m"), "torque").m_as("N*m") == 95.0


def test_neither_a_mass_nor_a_plain_number_is_a_length_or_an_angle(cylinder: swept.Cylinder) -> None:
    for wrong in ("3 kg", OWN.Quantity(3, "kg")):
        with pytest.raises(errors.WrongDimension, match="length"):
            swept.piston_to_wall(bore="86 mm", piston_diameter=wrong)
    with pytest.raises(errors.WrongDimension, match="angle"):
        cylinder.rod_angle(OWN.Quantity(1.0, ""))


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_not_a_number_is_refused(cylinder: swept.Cylinder, bad: float) -> None:
    with pytest.raises(errors.NotFinite):
        swept.piston_to_wall(bore=OWN.Quantity(bad, "mm"), piston_diameter="86 mm")
    with pytest.raises(errors.NotFinite):
        cylinder.piston_position(OWN.Quantity([0.0, bad], "deg"))


def test_a_scalar_is_not_an_array() -> None:
    with pytest.raises(TypeError, match="not an array"):
        swept.piston_to_wall(bore=OWN.Quantity([86.0, 87.0], "mm"), piston_diameter="86 mm")


def test_a_temperature_is_no_difference() -> None:
    with pytest.raises(errors.WrongDimension):
        swept.quantity(OWN.Quantity(20, "degC"), "temperature difference")
    assert swept.quantity("20 degC", "temperature").m_as("kelvin") == pytest.approx(293.15)
    difference = swept.quantity(OWN.Quantity(20, "delta_degC"), "temperature difference")
    assert difference.m_as("kelvin") == pytest.approx(20)


def test_the_display_system_is_chosen_and_given_back(cylinder: swept.Cylinder) -> None:
    assert f"{cylinder.bore.units}" == "millimeter"
    with swept.display("inch"):
        assert f"{cylinder.bore.units}" == "inch"
        assert 'bore="3.38' in repr(cylinder)
        assert cylinder.bore.m_as("mm") == pytest.approx(86.0, rel=1e-15)
    assert f"{cylinder.bore.units}" == "millimeter"
    swept.display("inch")
    assert f"{cylinder.mean_piston_speed('6000 rpm').units}" == "foot / minute"
    with pytest.raises(ValueError, match="metric"):
        swept.display("imperial")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "dimension",
    [
        "length",
        "area",
        "volume",
        "mass",
        "angle",
        "rotational speed",
        "velocity",
        "acceleration",
        "pressure",
        "force",
        "torque",
        "unbalance",
        "temperature",
        "temperature difference",
        "dynamic viscosity",
        "kinematic viscosity",
        "time",
    ],
)
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_every_dimension_comes_out_and_goes_in_again(dimension: Any, system: Any) -> None:
    units = {
        "length": "3 mm", "area": "3 cm2", "volume": "3 cm3", "mass": "3 g", "angle": "3 deg",
        "rotational speed": "3 rpm", "velocity": "3 m/s", "acceleration": "3 m/s2", "pressure": "3 bar",
        "force": "3 N", "torque": "3 N m", "unbalance": "3 g mm", "temperature": "3 degC",
        "temperature difference": "3 K", "dynamic viscosity": "3 Pa s", "kinematic viscosity": "3 mm2/s",
        "time": "3 s",
    }  # fmt: skip
    swept.display(system)
    once = swept.quantity(units[dimension], dimension)
    twice = swept.quantity(once, dimension)
    assert once.units == twice.units
    assert twice.magnitude == pytest.approx(once.magnitude, rel=1e-12)


def test_units_convert_as_in_the_core() -> None:
    assert swept.convert(2.5, "thou", "um") == 63.5
    with pytest.raises(errors.WrongDimension):
        swept.convert(1.0, "mm", "kg")
    with pytest.raises(errors.UnknownUnit, match="did you mean"):
        swept.convert(1.0, "inchs", "mm")
