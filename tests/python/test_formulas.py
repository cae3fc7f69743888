"""Every native function once, against figures worked out by hand."""

from __future__ import annotations

import math
import pickle
from typing import Any

import pytest

import swept
from swept import errors


def mm(quantity: Any) -> float:
    return float(quantity.m_as("mm"))


def cm3(quantity: Any) -> float:
    return float(quantity.m_as("cm**3"))


def test_the_cylinder() -> None:
    c = swept.Cylinder(bore="100 mm", stroke="80 mm", rod_length="160 mm")
    assert cm3(c.swept_volume) == pytest.approx(math.pi / 4 * 100 * 100 * 80 / 1000)
    assert (c.rod_ratio, c.bore_stroke_ratio) == (2.0, 1.25)
    assert mm(c.travel) == pytest.approx(80) and mm(c.crank_radius) == pytest.approx(40)
    assert mm(c.pin_height_at_tdc) == pytest.approx(200) and mm(c.pin_height_at_bdc) == pytest.approx(120)
    assert c.peak_rod_angle.m_as("deg") == pytest.approx(math.degrees(math.asin(0.25)))
    w = 6000 * math.pi / 30
    assert c.peak_acceleration("6000 rpm").m_as("m/s**2") == pytest.approx(0.04 * w * w * 1.25)
    assert c.piston_acceleration("0 deg", speed="6000 rpm").m_as("m/s**2") == pytest.approx(0.04 * w * w * 1.25)
    assert c.piston_velocity("90 deg", speed="6000 rpm").m_as("m/s") == pytest.approx(0.04 * w)
    assert cm3(c.cylinder_volume("180 deg", clearance_volume="50 cm3")) == pytest.approx(50 + cm3(c.swept_volume))
    assert c.top_dead_centre.m_as("deg") == 0.0 and c.bottom_dead_centre.m_as("deg") == pytest.approx(180)
    assert c.area.m_as("cm**2") == pytest.approx(math.pi * 25)


def test_equal_cylinders_hash_alike_and_pickle_to_the_bit() -> None:
    make = swept.Cylinder
    one = make(bore="4.125 in", stroke="3.76 in", rod_length="6.123 in", pin_offset="0 in")
    two = make(bore="4125 thou", stroke="3.76 in", rod_length="6.123 in", pin_offset="-0 mm")
    assert one == two and hash(one) == hash(two)
    assert one != make(bore="4.126 in", stroke="3.76 in", rod_length="6.123 in") and one != "4.125 in"
    assert pickle.loads(pickle.dumps(one)) == one
    assert repr(one).startswith('Cylinder(bore="104.775 mm", stroke="95.504 mm"')
    with pytest.raises(AttributeError):
        one.bore = "1 in"  # type: ignore[misc, assignment]


@pytest.mark.parametrize(
    "thing",
    [
        swept.ClearanceVolume(chamber="40 cm3", gasket="6 cm3", deck="1.5 cm3", crown="-2 cm3", crevice="0.5 cm3"),
        swept.WallReading("45 deg", "5.1 mm"),
        swept.ThickCylinder(inner_radius="43 mm", outer_radius="48 mm"),
        swept.Layout.vee(bank_angle="90 deg", pin_angles=["0 deg", "90 deg"], cycle="two-stroke"),
        swept.Reading("86.01 +/- 0.002 mm"),
        swept.parse_build(
            "schema = 1\nengine.cylinders = 1\nblock.bore = '86 mm'\ncrank.stroke = '86 mm'\nrods.length = '143 mm'"
        ),
    ],
)
def test_everything_pickles_and_has_a_repr(thing: Any) -> None:
    back = pickle.loads(pickle.dumps(thing))
    assert back == thing and repr(back) == repr(thing)
    assert type(thing).__name__ in repr(thing)


def test_the_deck_stack(cylinder: swept.Cylinder) -> None:
    pin = mm(cylinder.pin_height_at_tdc)
    clearance = swept.deck_clearance(cylinder=cylinder, deck_height="220.25 mm", compression_height="34 mm")
    assert mm(clearance) == pytest.approx(220.25 - pin - 34)
    assert mm(swept.piston_to_head(deck_clearance=clearance, gasket_thickness="1 mm")) == pytest.approx(
        mm(clearance) + 1
    )
    height = swept.deck_height_for(cylinder=cylinder, compression_height="34 mm", deck_clearance=clearance)
    assert mm(height) == pytest.approx(220.25, rel=1e-12)


def test_volumes_and_what_gives_a_ratio(cylinder: swept.Cylinder) -> None:
    v = swept.ClearanceVolume(chamber="40 cm3", gasket="6 cm3", deck="1.5 cm3", crown="-2 cm3", crevice="0.5 cm3")
    assert cm3(v.total) == pytest.approx(46)
    assert [cm3(q) for q in (v.chamber, v.gasket, v.deck, v.crown, v.crevice)] == pytest.approx([40, 6, 1.5, -2, 0.5])
    swept_volume = cylinder.swept_volume
    ratio = swept.compression_ratio(swept_volume=swept_volume, clearance_volume=v.total)
    assert ratio == pytest.approx(cm3(swept_volume) / 46 + 1)
    trapped = swept.trapped_compression_ratio(cylinder=cylinder, clearance_volume=v.total, intake_closing="60 deg")
    assert 1 < trapped < ratio
    assert cm3(swept.clearance_volume_for(ratio=ratio, swept_volume=swept_volume)) == pytest.approx(46)
    given: dict[str, Any] = {"ratio": f"{ratio}:1", "volumes": v}
    assert cm3(swept.chamber_volume_for(swept_volume=swept_volume, **given)) == pytest.approx(40)
    assert cm3(swept.crown_volume_for(swept_volume=swept_volume, **given)) == pytest.approx(-2)
    thickness = swept.gasket_thickness_for(swept_volume=swept_volume, gasket_bore="88 mm", **given)
    assert cm3(swept.disc_volume(diameter="88 mm", height=thickness)) == pytest.approx(6)
    height = swept.deck_height_for_ratio(cylinder=cylinder, compression_height="34 mm", **given)
    deck = swept.deck_clearance(cylinder=cylinder, deck_height=height, compression_height="34 mm")
    assert cm3(swept.disc_volume(diameter="86 mm", height=deck)) == pytest.approx(1.5)
    crevice = swept.ring_land_crevice(bore="86 mm", land_diameter="85.4 mm", land_height="6 mm")
    assert cm3(crevice) == pytest.approx(math.pi / 4 * (86**2 - 85.4**2) * 6 / 1000)
    with pytest.raises(errors.NoSolution):
        swept.chamber_volume_for(ratio=200.0, swept_volume=swept_volume, volumes=v)
    with pytest.raises(errors.OutOfRange):
        _ = swept.ClearanceVolume(chamber="1 cm3", gasket="1 cm3", deck="1 cm3", crown="-9 cm3").total


def test_walls() -> None:
    readings = [swept.WallReading("0 deg", "5.5 mm"), swept.WallReading("90 deg", "5.2 mm")]
    assert swept.thinnest_wall(readings) == readings[1]
    assert mm(swept.bore_for_wall(readings, bore="86 mm", least="4.7 mm")) == pytest.approx(87)
    assert mm(swept.wall_between_bores(spacing="94 mm", bore="86 mm")) == pytest.approx(8)
    left = swept.wall_after_overbore(wall="5 mm", bore="86 mm", new_bore="87 mm", shift_towards="0.2 mm")
    assert mm(left) == pytest.approx(4.3)
    tube = swept.ThickCylinder(inner_radius="43 mm", outer_radius="48 mm")
    hoop = tube.hoop_stress(radius="43 mm", inner_pressure="9 MPa").m_as("MPa")
    assert hoop == pytest.approx(9 * (48**2 + 43**2) / (48**2 - 43**2))
    assert swept.wall_hoop_stress(bore="86 mm", wall="5 mm", pressure="90 bar").m_as("MPa") == pytest.approx(hoop)
    assert tube.radial_stress(radius="43 mm", inner_pressure="9 MPa", outer_pressure="1 MPa").m_as(
        "MPa"
    ) == pytest.approx(-9)
    assert tube.axial_stress_closed(inner_pressure="9 MPa").m_as("MPa") == pytest.approx(9 * 43**2 / (48**2 - 43**2))
    with pytest.raises(errors.WrongLength):
        swept.thinnest_wall([])


def test_layouts(cylinder: swept.Cylinder) -> None:
    four = swept.Layout.inline(throw_angles=["0 deg", "180 deg", "180 deg", "0 deg"])
    assert list(four.firing_intervals([1, 3, 4, 2]).m_as("deg")) == pytest.approx([180] * 4)
    assert len(four) == 4 and four.cycle == "four-stroke"
    assert cm3(four.displacement(cylinder)) == pytest.approx(4 * cm3(cylinder.swept_volume))
    vee = swept.Layout.vee(bank_angle="90 deg", pin_angles=["0 deg", "90 deg", "270 deg", "180 deg"])
    assert len(vee) == 8 and vee.top_dead_centre(2).m_as("deg") == pytest.approx(315)
    flat = swept.Layout.flat(throw_angles=["0 deg", "180 deg"])
    same = swept.Layout.explicit(bank_angles=["90 deg", "-90 deg"], throw_angles=flat.throw_angles)
    assert list(same.bank_angles.m_as("deg")) == pytest.approx(list(flat.bank_angles.m_as("deg")))
    for order in ([1, 2], [1, 1, 2, 3], [1, 2, 3, -4]):
        with pytest.raises(errors.SweptError):
            four.firing_intervals(order)
    with pytest.raises(errors.OutOfRange, match="-1"):
        four.top_dead_centre(-1)
    with pytest.raises(TypeError, match="list"):
        swept.Layout.inline(throw_angles="0 deg")
    with pytest.raises(errors.WrongLength):
        swept.Layout.explicit(bank_angles=["0 deg"], throw_angles=["0 deg", "1 deg"])
    with pytest.raises(ValueError, match="four-stroke"):
        swept.Layout.inline(throw_angles=["0 deg"], cycle="six-stroke")  # type: ignore[arg-type]


def test_clearances() -> None:
    bearing = swept.bearing_clearance(housing_bore="59 mm", upper_shell="2 mm", lower_shell="2 mm", journal="54.95 mm")
    assert mm(bearing) == pytest.approx(0.05)
    assert mm(swept.piston_to_wall(bore="86 mm", piston_diameter="85.96 mm")) == pytest.approx(0.04)
    assert mm(swept.side_clearance(groove_width="1.23 mm", ring_width="1.19 mm")) == pytest.approx(0.04)
    assert mm(swept.end_float(thrust_journal_width="25 mm", thrust_bearing_width="24.9 mm")) == pytest.approx(0.1)
    assert mm(swept.rod_side_clearance(crankpin_width="48.4 mm", rod_widths=["24 mm", "24 mm"])) == pytest.approx(0.4)
    gap = swept.end_gap_in_bore(gap="0.30 mm", gauge_bore="86 mm", bore="86.1 mm")
    assert mm(gap) == pytest.approx(0.30 + math.pi * 0.1)
    least, greatest = swept.end_gap_rule(bore="4 in", position="top", duty="boosted")
    assert (least.m_as("in"), greatest.m_as("in")) == pytest.approx((0.020, 0.024))
    with pytest.raises(errors.OutOfRange):
        swept.end_gap_rule(bore="4 in", position="second", duty="nitrous")
    with pytest.raises(ValueError, match="second"):
        swept.end_gap_rule(bore="4 in", position="third", duty="boosted")  # type: ignore[arg-type]


def test_verdicts() -> None:
    limits: dict[str, Any] = {"lower": "86.000 mm", "upper": "86.022 mm"}
    reading = swept.Reading("86.0213 +/- 0.0016 mm")
    assert swept.verdict(reading, **limits) == "cannot_tell"
    assert swept.verdict("86.0213 mm +/- 1.6 um", **limits) == "cannot_tell"
    assert swept.verdict(reading.value, **limits) == "pass"
    assert swept.verdict(reading.value, expanded_uncertainty="1.6 um", **limits) == "cannot_tell"
    assert swept.verdict("86.03 mm", **limits) == "fail"
    probability = swept.conformance_probability(reading, **limits)
    assert probability == pytest.approx(0.5 * (1 + math.erf(0.7 / 0.8 / math.sqrt(2))), abs=1e-9)
    assert mm(swept.guard_band(expanded_uncertainty="2 um")) == pytest.approx(1.65e-3)
    assert swept.verdict("20 degC", lower="15 degC", dimension="temperature") == "pass"
    with pytest.raises(errors.MissingKey):
        swept.verdict("86 mm")
    with pytest.raises(errors.OutOfRange):
        swept.verdict("86 mm", lower="85 mm", expanded_uncertainty="-1 um")
    assert mm(reading.expanded_uncertainty) == pytest.approx(0.0016) and reading.dimension == "length"
    assert swept.Reading("86 mm").expanded_uncertainty is None
    assert swept.Reading("20 +/- 0.5 degC", "temperature").expanded_uncertainty.m_as("kelvin") == pytest.approx(0.5)


def test_repeated_readings() -> None:
    mean, standard, degrees = swept.type_a(["86.01 mm", "86.02 mm", "86.03 mm"])
    assert mm(mean) == pytest.approx(86.02) and mm(standard) == pytest.approx(0.01 / math.sqrt(3)) and degrees == 2
    assert swept.coverage_factor(probability=0.95, degrees_of_freedom=10) == pytest.approx(2.228, abs=1e-3)
    with pytest.raises(errors.WrongLength):
        swept.type_a(["86 mm"])


def test_motion_tables_carry_units_in_their_names(cylinder: swept.Cylinder) -> None:
    table = swept.motion_table(cylinder, speed="6000 rpm", steps=4)
    assert list(table) == [
        "angle_deg",
        "piston_position_mm",
        "piston_velocity_m_per_s",
        "piston_acceleration_m_per_s2",
        "rod_angle_deg",
    ]
    assert table.rows == 5
    with swept.display("inch"):
        assert "piston_acceleration_ft_per_s2" in swept.motion_table(cylinder, speed="6000 rpm", steps=1)
    with pytest.raises(ValueError, match="1 or more"):
        swept.motion_table(cylinder, speed="6000 rpm", steps=0)
