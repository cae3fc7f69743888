"""Fits, heat, press fits, bolts and shells: the figures of published sources, and what is refused."""

from __future__ import annotations

import copy
import itertools
import math
import pickle
from typing import Any

import numpy as np
import pint
import pytest

import swept
from swept import errors

OWN = pint.UnitRegistry()


def mm(quantity: Any) -> float:
    return float(quantity.m_as("mm"))


def um(quantity: Any) -> float:
    return round(float(quantity.m_as("micrometer")), 6)


def mpa(quantity: Any) -> float:
    return float(quantity.m_as("MPa"))


def press_fit(
    inner: tuple[float, float], outer: tuple[float, float], interference: str, **given: Any
) -> swept.PressFit:
    """Bore and outside of each part in mm; steel unless said otherwise."""
    named: dict[str, Any] = {
        f"{which}_{name}": value
        for which, part in (("inner", inner), ("outer", outer))
        for name, value in (
            ("bore", f"{part[0]} mm"),
            ("outside", f"{part[1]} mm"),
            ("young", "200 GPa"),
            ("poisson", 0.3),
        )
    }
    return swept.PressFit(**(named | {"interference": interference} | given))


SHRUNK = press_fit((300, 400), (400, 500), "0.2 mm")
JOINT = swept.BoltedJoint(preload="25000 lbf", bolt_stiffness=6.5, parts_stiffness=13.8)
GRADES = ["1.998 mm", "2.000 mm", "2.002 mm"]
SHELLS = swept.select_shells(
    housing_bores=["59.000 mm"] * 3,
    journals=["54.960 mm", "54.956 mm", "54.954 mm"],
    upper_grades=GRADES,
    lower_grades=GRADES,
    target="42 um",
)
ROWS = [["59.010 mm", "59.002 mm", "59.006 mm"], ["59.013 mm", "59.004 mm", "59.008 mm"]]
SURVEY = swept.DiameterSurvey(angles=["0 deg", "60 deg", "120 deg"], stations=["5 mm", "20 mm"], diameters=ROWS)


def test_gaps_that_are_one_size_less_another() -> None:
    assert mm(swept.pin_clearance(bore="22.005 mm", pin_diameter="21.998 mm")) == pytest.approx(0.007)
    assert mm(swept.pin_clearance(bore="21.970 mm", pin_diameter="21.998 mm")) == pytest.approx(-0.028)
    back = swept.back_clearance(bore="86 mm", groove_root_diameter="78.4 mm", radial_thickness="3.3 mm")
    assert mm(back) == pytest.approx(0.5)


def test_a_ring_presses_on_the_wall_as_a_half_hoop_in_equilibrium() -> None:
    pressure = swept.ring_wall_pressure(tangential_force="9 N", bore="86 mm", width="1.2 mm")
    assert mpa(pressure) * 86 * 1.2 == pytest.approx(2 * 9)


def test_limits_by_iso_286() -> None:
    """ISO 286-1:2010, tables 1 to 5, and holes of handbook tables (from memory)."""
    grades = range(5, 12)
    assert [um(swept.standard_tolerance(nominal="40 mm", grade=g)) for g in grades] == [11, 16, 25, 39, 62, 100, 160]
    cells = {"H7": (0, 21), "K7": (-15, 6), "N7": (-28, -7), "P7": (-35, -14), "S7": (-48, -27), "JS7": (-10.5, 10.5)}
    for name, expected in cells.items():
        lower, upper = swept.deviations(tolerance_class=name, nominal="25 mm")
        assert (um(lower), um(upper)) == expected, name
    assert tuple(map(um, swept.fit_clearance("25 H7/g6"))) == (7, 41)
    assert tuple(map(um, swept.fit_clearance("40 H7/p6"))) == (-42, -1)


def test_expansion_of_the_tables() -> None:
    """Callister, Materials Science and Engineering, table B.6; a secondary source for the piston alloy."""
    for name, expected in {
        "steel 1020": 11.7,
        "steel 1040": 11.3,
        "aluminium 7075": 23.4,
        "titanium Ti-6Al-4V": 8.6,
    }.items():
        material = swept.Material(name)
        assert material.mean_expansion("60 degC").m_as("1/kelvin") == pytest.approx(expected * 1e-6)
        assert "Callister" in material.source and material.name == name
    piston = swept.Material("aluminium AlSi12CuNiMg")
    range_ = piston.mean_expansion_range(temperature="200 degC")
    assert [a.m_as("micrometer/meter/kelvin") for a in range_] == pytest.approx([20.5, 21.5])
    assert piston.thermal_strain(OWN.Quantity(150, "degC")) == pytest.approx(20.5e-6 * 130)
    forged = swept.Material("aluminium 4032")
    hot = forged.at_temperature(length="86.44 mm", from_temperature="20 degC", to_temperature="200 degC")
    assert mm(hot) == pytest.approx(86.44 * (1 + 20.2e-6 * 180), rel=1e-12)
    cold = forged.at_temperature(length=hot, from_temperature="200 degC", to_temperature="20 degC")
    assert mm(cold) == pytest.approx(86.44, rel=1e-14)
    assert (mpa(swept.Material("grey iron").young), swept.Material("grey iron").poisson) == (110e3, 0.26)


def test_materials_are_values() -> None:
    assert len(swept.MATERIALS) == len(set(swept.MATERIALS)) == len({swept.Material(name) for name in swept.MATERIALS})
    assert swept.Material(" Grey Iron ") == swept.Material("grey iron") != swept.Material("steel 1020")
    with pytest.raises(errors.OutOfRange, match="grey iron") as caught:
        swept.Material("cheese")
    assert caught.value.field == "material"
    for temperature in ("101 degC", "-1 degC"):
        with pytest.raises(errors.OutOfRange, match="aluminium 7075"):
            swept.Material("aluminium 7075").mean_expansion(temperature)


def test_heat_closes_gaps_and_opens_bores() -> None:
    """Wentzell, Machine Design, example 6.3, as worked in an open textbook companion; pi D alpha dT in a rigid bore."""
    for expansion in ("6.5e-6 in/in/degF", OWN.Quantity(6.5e-6, "1/delta_degF")):
        rise = swept.heating_for(growth="0.01204 in", length="5 in", expansion=expansion)
        assert rise.m_as("delta_degF") == pytest.approx(370.46, rel=1e-4)
    gap = swept.hot_end_gap(gap="0.4 mm", bore="101.6 mm", ring_strain=1.14e-5 * 150, bore_strain=0)
    assert 0.4 - mm(gap) == pytest.approx(0.5458077412640763, rel=1e-12)
    for steel in (swept.Material("steel 1020").mean_expansion("60 degC"), "11.7 um/m/K"):
        assert swept.heating_for(growth="11.7 um", length="10 mm", expansion=steel).m_as("kelvin") == pytest.approx(100)


def test_a_compound_cylinder() -> None:
    """Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3, as worked in a textbook companion."""
    assert mpa(SHRUNK.pressure) == pytest.approx(12.3047, rel=1e-5)
    assert {name: mpa(stress) for name, stress in SHRUNK.stresses().items()} == pytest.approx(
        {"inner_at_bore": -56.25, "inner_at_contact": -43.9453, "outer_at_contact": 56.0547, "outer_at_outside": 43.75},
        rel=1e-5,
    )
    assert [mpa(stress) for stress in SHRUNK.equivalent_stresses()] == pytest.approx([56.25, 68.3594], rel=1e-5)
    assert mm(SHRUNK.diameter) == pytest.approx(400) and mm(SHRUNK.interference) == pytest.approx(0.2)


def test_a_shrink_fit_of_free_radii() -> None:
    """Boresi and Schmidt, Advanced Mechanics of Materials, example 11.3: 189.1 MPa with equal radii at the contact."""
    same = {"inner_poisson": 0.29, "outer_poisson": "0.29"}
    free = press_fit((20, 50.144), (50, 100), "0.144 mm", **same)
    assert mpa(free.pressure) == pytest.approx(188.967, rel=1e-5)
    assert mpa(free.stresses()["inner_at_bore"]) == pytest.approx(-449.921, rel=1e-5)
    assert mpa(press_fit((20, 50), (50, 100), "0.144 mm", **same).pressure) == pytest.approx(189.1, rel=1e-3)


def test_what_a_press_fit_holds_and_when_it_lets_go() -> None:
    """Closed form: a solid shaft in a ring of the same material."""
    shaft = press_fit((0, 40), (40, 80), "0.04 mm")
    assert mpa(shaft.pressure) == pytest.approx(200e3 * 0.04 / 40 / 2 * 0.75)
    force = shaft.holding_force(length="50 mm", friction=0.1).m_as("N")
    assert force == pytest.approx(0.1 * mpa(shaft.pressure) * math.pi * 40 * 50)
    assert shaft.holding_torque(length="50 mm", friction="0.1").m_as("N*m") == pytest.approx(force * 0.02)
    heat = shaft.assembly_temperature(gap="0.02 mm", expansion="12 um/m/K")
    assert heat.m_as("kelvin") == pytest.approx(0.06 / (40 * 12e-6))
    rises: dict[str, Any] = {"outer_expansion": "21 um/m/K", "inner_expansion": "11 um/m/K", "inner_rise": "20 K"}
    warm = shaft.warmed(outer_rise=OWN.Quantity(40, "delta_degC"), **rises)
    assert mm(warm.interference) == pytest.approx(0.04 - 40 * (21e-6 * 40 - 11e-6 * 20))
    assert pickle.loads(pickle.dumps(warm)) == warm != shaft
    with pytest.raises(errors.OutOfRange, match="loose"):
        shaft.warmed(outer_rise="80 K", **rises)
    with pytest.raises(errors.WrongDimension, match="difference"):
        shaft.warmed(outer_rise=OWN.Quantity(40, "degC"), **rises)


@pytest.mark.parametrize(
    ("given", "kind", "named"),
    [
        ({"inner_bore": 300}, errors.MissingUnit, "inner_bore"),
        ({"inner_bore": "500 mm"}, errors.OutOfRange, "inner part"),
        ({"outer_outside": "399 mm"}, errors.OutOfRange, "outer part"),
        ({"outer_young": "200 mm"}, errors.WrongDimension, "outer_young"),
        ({"outer_poisson": 0.5}, errors.OutOfRange, "outer part"),
        ({"inner_poisson": math.nan}, errors.NotFinite, "inner_poisson"),
        ({"interference": "-1 um"}, errors.OutOfRange, "interference"),
        ({"interference": OWN.Quantity(math.nan, "mm")}, errors.NotFinite, "interference"),
        ({"interference": "60 mm"}, errors.OutOfRange, "interference"),
    ],
)
def test_parts_that_cannot_be_are_refused_by_name(given: Any, kind: type[Exception], named: str) -> None:
    with pytest.raises(kind, match=named):
        press_fit((300, 400), (400, 500), **({"interference": "0.2 mm"} | given))


@pytest.mark.parametrize(
    ("thread", "area", "unit"),
    [
        ("M8", 36.6, "mm**2"),
        ("M10x1.25", 61.2, "mm**2"),
        ("M14x1.5", 125, "mm**2"),
        ("3/8-16", 0.0775, "in**2"),
        ("7/16-20", 0.1187, "in**2"),
    ],
)
def test_stress_areas(thread: str, area: float, unit: str) -> None:
    """ISO 898-1:2013, tables 4 and 6; ASME B1.1 (from memory), to three digits."""
    assert swept.Thread(thread).stress_area.m_as(unit) == pytest.approx(area, rel=4e-3)


def test_proof_loads() -> None:
    """ISO 898-1:2013, tables 5 and 7, to three digits."""
    for text, name, newton in (("M10", "8.8", 33640), ("M10", "12.9", 56260), ("M16", "10.9", 130310)):
        thread = swept.Thread(text)
        stress = swept.proof_stress(property_class=name, diameter=thread.diameter)
        assert thread.proof_load(stress).m_as("N") == pytest.approx(newton, rel=4e-3)
    assert mpa(swept.proof_stress(property_class="8.8", diameter="20 mm")) == pytest.approx(600)


def test_torque_and_joint_of_a_textbook_bolt() -> None:
    """Shigley, Mechanical Engineering Design, example 8-3 (from memory): 25 000 lbf, friction 0.15."""
    thread = swept.Thread("3/4-16")
    assert thread.pitch_diameter.m_as("in") == pytest.approx(0.7094, rel=2e-4)
    friction: dict[str, Any] = {
        "thread_friction": 0.15,
        "head_friction": "0.15",
        "head_diameter": thread.diameter * 1.25,
    }
    torque = thread.torque_for(preload="25000 lbf", **friction)
    assert torque.m_as("lbf*in") == pytest.approx(3551, rel=1e-3)
    assert thread.preload_from_torque(torque=torque, **friction).m_as("lbf") == pytest.approx(25000, rel=1e-12)
    assert JOINT.load_share == pytest.approx(0.32, rel=2e-3)
    assert JOINT.bolt_load("6000 lbf").m_as("kip") / thread.stress_area.m_as("in**2") == pytest.approx(72.17, rel=3e-3)
    opens = JOINT.separation_load
    assert JOINT.clamp_load(opens / 2).m_as("lbf") == pytest.approx(12500)
    assert JOINT.clamp_load(opens * 2).m_as("lbf") == 0
    assert JOINT.bolt_load(outer=opens * 2).m_as("N") == pytest.approx(opens.m_as("N") * 2)


def test_stretch_and_turn_of_a_textbook_bolt() -> None:
    """Wentzell, Machine Design, examples 6.1 and 6.2, as worked in an open textbook companion."""
    shank: dict[str, Any] = {"lengths": ["5 in"], "areas": OWN.Quantity([0.334], "in**2"), "young": "30000 ksi"}
    stretch = swept.stretch_for(preload="24131.5 lbf", **shank)
    assert stretch.m_as("in") == pytest.approx(0.0120417, rel=1e-5)
    assert swept.preload_from_stretch(stretch=stretch, **shank).m_as("lbf") == pytest.approx(24131.5, rel=1e-12)
    turn = swept.turn_for(stretch=stretch, compression="0 mm", pitch="0.1 in")
    assert turn.m_as("deg") == pytest.approx(43.35, rel=1e-4)
    bolt = swept.shank_stiffness(**shank)
    assert bolt == pytest.approx(30e6 * 0.334 / 5 * 4.4482216152605 / 0.0254)
    preload = swept.preload_from_turn(angle=turn, pitch="0.1 in", bolt_stiffness=bolt)
    assert preload.m_as("lbf") == pytest.approx(24131.5)
    softer = swept.preload_from_turn(angle=turn, pitch="0.1 in", bolt_stiffness=bolt, parts_stiffness=bolt)
    assert softer.m_as("lbf") == pytest.approx(24131.5 / 2)


def test_clamped_parts_agree_with_finite_elements() -> None:
    """Wileman, Choudhury, Green (1991): k = E d 0.78715 exp(0.62873 d / l) for steel (from memory)."""
    for grip in (15, 20, 30):
        found = swept.parts_stiffness(grip=f"{grip} mm", diameter="10 mm", young="207 GPa")
        assert found == pytest.approx(207e9 * 0.010 * 0.78715 * math.exp(0.62873 * 10 / grip), rel=0.08)


def test_an_angled_bolt_clamps_less_and_pulls_sideways() -> None:
    clamping, sideways = swept.angled_clamp(preload="50 kN", angle="30 deg")
    assert (clamping.m_as("kN"), sideways.m_as("kN")) == pytest.approx((50 * math.sqrt(0.75), 25))
    with pytest.raises(errors.OutOfRange):
        swept.angled_clamp(preload="50 kN", angle="90 deg")


def test_threads_are_what_they_are_made_of() -> None:
    assert swept.Thread("M10x1.25") == swept.Thread.metric(diameter="10 mm", pitch="1.25 mm")
    assert swept.Thread("M10") == swept.Thread("M10x1.5") != swept.Thread("M10x1.25")
    inch = swept.Thread("7/16-20")
    assert repr(inch) == repr(swept.Thread.unified(diameter="0.4375 in", pitch="0.05 in"))
    assert inch != swept.Thread.metric(diameter="0.4375 in", pitch="0.05 in")
    assert repr(inch) == 'Thread.unified(diameter="11.1125 mm", pitch="1.27 mm")'
    with swept.display("inch"):
        assert repr(inch) == 'Thread.unified(diameter="0.4375 in", pitch="0.05 in")'


@pytest.mark.parametrize(
    "text", ["", "M", "M11", "M10x", "M10x6", "Mx1", "10-", "1/0-20", "M10x-1", "Mnan", "7/16", "M\0"]
)
def test_what_is_no_thread_is_refused(text: str) -> None:
    with pytest.raises(errors.SweptError):
        swept.Thread(text)


def test_the_wall_of_an_eccentric_shell_is_that_of_two_circles() -> None:
    outside, crown, offset = 29.5, 2.0, 0.020
    bore = outside - crown + offset
    for angle in (30.0, 60.0, 90.0):
        a = math.radians(angle)
        exact = outside + offset * math.cos(a) - math.sqrt(bore**2 - (offset * math.sin(a)) ** 2)
        wall = swept.shell_wall(crown_wall="2 mm", offset="20 um", angle=f"{angle} deg")
        assert mm(wall) == pytest.approx(exact, abs=1e-5)
        assert mm(swept.shell_offset(crown_wall="2 mm", wall=wall, angle=f"{angle} deg")) == pytest.approx(0.020)
    crush = swept.crush_interference(upper_crush_height="40 um", lower_crush_height="50 um")
    assert mm(crush) == pytest.approx((math.pi * 59 + 0.090) / math.pi - 59)
    with pytest.raises(errors.OutOfRange):
        swept.shell_wall(crown_wall="2 mm", offset="20 um", angle="91 deg")


def test_no_other_choice_of_shells_is_better() -> None:
    assert [um(c) for c in SHELLS.clearances] == [42, 42, 42]
    assert um(SHELLS.deviation) == um(SHELLS.spread) == 0
    housings, journals, upper, lower = (
        [59_000, 59_003, 58_998],
        [54_957, 54_961, 54_950],
        [1_997, 2_001],
        [1_998, 2_003],
    )
    found = swept.select_shells(
        housing_bores=OWN.Quantity(housings, "micrometer"),
        journals=OWN.Quantity(journals, "micrometer"),
        upper_grades=[f"{u} um" for u in upper],
        lower_grades=[f"{x} um" for x in lower],
        target="43 um",
    )
    chosen = [
        h - upper[u] - lower[x] - j for h, j, u, x in zip(housings, journals, found.upper, found.lower, strict=True)
    ]
    assert [um(c) for c in found.clearances] == chosen
    pairs = [u + x for u in upper for x in lower]
    ways = (
        [h - j - p for h, j, p in zip(housings, journals, way, strict=True)]
        for way in itertools.product(pairs, repeat=3)
    )
    best = min((max(abs(c - 43) for c in way), max(way) - min(way)) for way in ways)
    assert (um(found.deviation), um(found.spread)) == best
    with pytest.raises(TypeError):
        swept.ShellSelection()


def test_a_survey_tells_oval_from_taper() -> None:
    assert [um(q) for q in (SURVEY.least, SURVEY.greatest)] == [59002, 59013]
    assert [um(q) for q in (SURVEY.out_of_round, SURVEY.taper)] == [9, 3]
    readings = np.array([[59.010, 59.002, 59.006], [59.013, 59.004, 59.008]])
    assert mm(SURVEY.mean) == pytest.approx(readings.mean())
    assert list(SURVEY.angles.m_as("deg")) == pytest.approx([0, 60, 120])
    assert list(SURVEY.stations.m_as("mm")) == pytest.approx([5, 20])
    places: dict[str, Any] = {"angles": OWN.Quantity([0.0, 60.0, 120.0], "deg"), "stations": ["5 mm", "20 mm"]}
    for given in (OWN.Quantity(readings, "mm"), [OWN.Quantity(row, "mm") for row in readings]):
        same = swept.DiameterSurvey(diameters=given, **places)
        assert [um(q) for q in (same.least, same.greatest, same.out_of_round, same.taper)] == [59002, 59013, 9, 3]
    # The rows are the stations, whatever the order of the array in memory.
    turned = swept.DiameterSurvey(diameters=OWN.Quantity(np.asfortranarray(readings), "mm"), **places)
    assert um(turned.taper) == 3


@pytest.mark.parametrize(
    ("diameters", "kind", "named"),
    [
        (ROWS[:1], errors.WrongLength, "rows"),
        ([ROWS[0], ROWS[1][:2]], errors.WrongLength, "station"),
        (OWN.Quantity(np.zeros((2, 0)), "mm"), errors.WrongLength, "station"),
        (OWN.Quantity(np.full((3, 2), 59.0), "mm"), errors.WrongLength, "rows"),
        (OWN.Quantity(np.full(3, 59.0), "mm"), TypeError, "rows"),
        (OWN.Quantity(np.full((1, 2, 3), 59.0), "mm"), TypeError, "rows"),
        ([OWN.Quantity(np.full((1, 3), 59.0), "mm")] * 2, TypeError, "list"),
        (OWN.Quantity(np.full((2, 3), math.nan), "mm"), errors.NotFinite, "diameters"),
        (OWN.Quantity(np.full((2, 3), -1.0), "mm"), errors.OutOfRange, "diameter"),
        (OWN.Quantity(np.full((2, 3), 59.0), "kg"), errors.WrongDimension, "length"),
        ([[59.0] * 3] * 2, errors.MissingUnit, r"diameters\[0\]\[0\]"),
        ([59.0, 59.0], TypeError, "list"),
        (["59 mm", "59 mm"], TypeError, "list"),
        ("59 mm", TypeError, "rows"),
        (59.0, TypeError, "rows"),
        (OWN.Quantity(59.0, "mm"), TypeError, "rows"),
    ],
)
def test_a_survey_takes_rows_of_diameters_only(diameters: Any, kind: type[Exception], named: str) -> None:
    with pytest.raises(kind, match=named):
        swept.DiameterSurvey(angles=["0 deg", "60 deg", "120 deg"], stations=["5 mm", "20 mm"], diameters=diameters)


SHANK: dict[str, Any] = {"lengths": ["10 mm"], "areas": ["50 mm2"], "young": "207 GPa"}
SEATS: dict[str, Any] = {
    "housing_bores": ["59 mm"],
    "journals": ["54.96 mm"],
    "upper_grades": ["2 mm"],
    "lower_grades": ["2 mm"],
    "target": "42 um",
}
HELD: dict[str, Any] = {"thread_friction": 0.1, "head_friction": 0.1, "head_diameter": "13 mm"}
# Every new function with arguments that it takes: each is spoilt in turn below.
CALLS: list[tuple[Any, dict[str, Any]]] = [
    (swept.pin_clearance, {"bore": "22 mm", "pin_diameter": "22 mm"}),
    (swept.back_clearance, {"bore": "86 mm", "groove_root_diameter": "78 mm", "radial_thickness": "3 mm"}),
    (swept.ring_wall_pressure, {"tangential_force": "9 N", "bore": "86 mm", "width": "1.2 mm"}),
    (swept.standard_tolerance, {"nominal": "40 mm", "grade": 7}),
    (swept.deviations, {"tolerance_class": "H7", "nominal": "40 mm"}),
    (swept.fit_clearance, {"fit": "40 H7/p6"}),
    (swept.hot_end_gap, {"gap": "0.4 mm", "bore": "86 mm", "ring_strain": 1e-3, "bore_strain": 0.0}),
    (swept.heating_for, {"growth": "10 um", "length": "40 mm", "expansion": "11 um/m/K"}),
    (swept.Material, {"name": "grey iron"}),
    (swept.Material("grey iron").mean_expansion, {"temperature": "90 degC"}),
    (swept.Material("grey iron").mean_expansion_range, {"temperature": "90 degC"}),
    (swept.Material("grey iron").thermal_strain, {"temperature": "90 degC"}),
    (
        swept.Material("grey iron").at_temperature,
        {"length": "86 mm", "from_temperature": "20 degC", "to_temperature": "90 degC"},
    ),
    (SHRUNK.holding_force, {"length": "50 mm", "friction": 0.1}),
    (SHRUNK.holding_torque, {"length": "50 mm", "friction": 0.1}),
    (SHRUNK.assembly_temperature, {"gap": "0.1 mm", "expansion": "12 um/m/K"}),
    (
        SHRUNK.warmed,
        {"outer_expansion": "12 um/m/K", "outer_rise": "9 K", "inner_expansion": "12 um/m/K", "inner_rise": "9 K"},
    ),
    (swept.Thread.metric, {"diameter": "10 mm", "pitch": "1 mm"}),
    (swept.Thread.unified, {"diameter": "10 mm", "pitch": "1 mm"}),
    (swept.Thread("M10").proof_load, {"proof_stress": "830 MPa"}),
    (swept.Thread("M10").torque_for, {"preload": "40 kN"} | HELD),
    (swept.Thread("M10").preload_from_torque, {"torque": "60 N m"} | HELD),
    (swept.proof_stress, {"property_class": "10.9", "diameter": "10 mm"}),
    (swept.shank_stiffness, SHANK),
    (swept.stretch_for, {"preload": "40 kN"} | SHANK),
    (swept.preload_from_stretch, {"stretch": "0.1 mm"} | SHANK),
    (swept.turn_for, {"stretch": "0.1 mm", "compression": "0.02 mm", "pitch": "1 mm"}),
    (
        swept.preload_from_turn,
        {"angle": "90 deg", "pitch": "1 mm", "bolt_stiffness": 2e8, "parts_stiffness": 9e8},
    ),
    (swept.parts_stiffness, {"grip": "20 mm", "diameter": "10 mm", "young": "207 GPa"}),
    (swept.BoltedJoint, {"preload": "40 kN", "bolt_stiffness": 2e8, "parts_stiffness": 9e8}),
    (JOINT.bolt_load, {"outer": "10 kN"}),
    (JOINT.clamp_load, {"outer": "10 kN"}),
    (swept.angled_clamp, {"preload": "40 kN", "angle": "30 deg"}),
    (swept.shell_wall, {"crown_wall": "2 mm", "offset": "20 um", "angle": "60 deg"}),
    (swept.shell_offset, {"crown_wall": "2 mm", "wall": "1.99 mm", "angle": "60 deg"}),
    (swept.crush_interference, {"upper_crush_height": "40 um", "lower_crush_height": "40 um"}),
    (swept.select_shells, SEATS),
]
EACH = [
    pytest.param(call, given, name, id=f"{i}-{call.__name__}-{name}")
    for i, (call, given) in enumerate(CALLS)
    for name in given
]


@pytest.mark.parametrize(("call", "given", "name"), EACH)
def test_every_argument_is_checked(call: Any, given: dict[str, Any], name: str) -> None:
    call(**given)
    good = given[name]
    many = isinstance(good, list)
    is_quantity = isinstance(good[0] if many else good, str) and name not in (
        "fit",
        "name",
        "tolerance_class",
        "property_class",
    )
    unit = str(good[0] if many else good).partition(" ")[2].replace("N m", "N*m").replace("2", "**2")
    unit = unit.replace("um", "micrometer").replace("/m/K", "/meter/kelvin").replace("degC", "kelvin")
    bad: list[Any] = [None, object()] if name != "parts_stiffness" or call is swept.BoltedJoint else [object()]
    if is_quantity:
        bad += [OWN.Quantity(x, unit) for x in (math.nan, math.inf)] + [
            86,
            86.0,
            "86",
            "86 smoots",
            OWN.Quantity(3, "A"),
        ]
        bad += ["3 s", "nan m", ""]
    elif isinstance(good, float):
        bad += [math.nan, math.inf, OWN.Quantity(3, "A")]
    elif isinstance(good, int):
        bad += [7.0, "7", 4, 12, -1, 300]
    else:
        bad += [86, 86.0, "86", "", "nan", "cheese"]
    for wrong in bad:
        with pytest.raises((errors.SweptError, TypeError)):
            call(**(given | {name: [wrong] if many else wrong}))
    if many:
        for wrong in (None, 86.0, "86 mm", [], [*good, *good]):
            if name in ("upper_grades", "lower_grades") and wrong == [*good, *good]:
                continue
            with pytest.raises((errors.SweptError, TypeError)):
                call(**(given | {name: wrong}))


@pytest.mark.parametrize(("call", "given"), [c for c in CALLS if len(c[1]) > 1])
def test_arguments_are_named(call: Any, given: dict[str, Any]) -> None:
    with pytest.raises(TypeError):
        call(*given.values())


@pytest.mark.parametrize("grade", [4, 12, -1, 300])
def test_a_grade_that_is_none_is_refused_alike(grade: int) -> None:
    with pytest.raises(errors.OutOfRange, match="IT5 to IT11") as caught:
        swept.standard_tolerance(nominal="40 mm", grade=grade)
    assert caught.value.field == "tolerance grade"


def test_names_that_are_none_are_told_what_is() -> None:
    with pytest.raises(errors.Unreadable, match="H7 or p6"):
        swept.deviations(tolerance_class="I7", nominal="40 mm")
    for fit in ("40 H7", "40 H7/P6", "H7/p6", "-40 H7/p6", "400 H7/p6"):
        with pytest.raises(errors.SweptError, match="fit"):
            swept.fit_clearance(fit)
    with pytest.raises(errors.OutOfRange, match=r"8\.8, 9\.8, 10\.9, 12\.9"):
        swept.proof_stress(property_class="11.1", diameter="10 mm")


def test_lists_that_belong_together_are_of_one_length() -> None:
    with pytest.raises(errors.WrongLength, match="as many as lengths"):
        swept.shank_stiffness(lengths=["10 mm", "20 mm"], areas=["50 mm2"], young="207 GPa")
    with pytest.raises(errors.WrongLength, match="as many as housing_bores"):
        swept.select_shells(**(SEATS | {"journals": ["54.96 mm", "54.95 mm"]}))
    with pytest.raises(errors.WrongLength):
        swept.select_shells(**(SEATS | {"housing_bores": [], "journals": []}))


@pytest.mark.parametrize(
    "thing", [swept.Material("grey iron"), SHRUNK, swept.Thread("7/16-20"), swept.Thread("M10"), JOINT, SHELLS, SURVEY]
)
def test_values_pickle_copy_and_stay_as_they_are(thing: Any) -> None:
    for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
        back = pickle.loads(pickle.dumps(thing, protocol))
        assert back == thing and repr(back) == repr(thing) and type(back) is type(thing)
    assert copy.deepcopy(thing) == thing and copy.copy(thing) == thing
    assert thing != "a text" and thing != 1
    with pytest.raises(AttributeError):
        thing.pressure = 1


def test_reprs_carry_units() -> None:
    assert repr(swept.Material("grey iron")) == 'Material("grey iron")'
    assert repr(swept.Thread("M10")) == 'Thread.metric(diameter="10 mm", pitch="1.5 mm")'
    assert repr(JOINT) == 'BoltedJoint(preload="111205.540382 N", bolt_stiffness=6.5, parts_stiffness=13.8)'
    assert 'inner_bore="300 mm", inner_outside="400 mm", inner_young="200000 MPa", inner_poisson=0.3' in repr(SHRUNK)
    assert (
        repr(SHRUNK).endswith('interference="0.2 mm")') and eval(repr(SHRUNK), {"PressFit": swept.PressFit}) == SHRUNK
    )
    assert repr(SHELLS).endswith('clearances=["0.042 mm", "0.042 mm", "0.042 mm"])')
    assert repr(SURVEY) == 'DiameterSurvey(2 stations, 3 angles, "59.002 mm" to "59.013 mm")'
    with swept.display("inch"):
        assert 'preload="25000 lbf"' in repr(JOINT)
        assert f"{SHRUNK.pressure.units}" == "pound_force_per_square_inch"
        assert f"{swept.Material('grey iron').mean_expansion('90 degC').units}" == "1 / delta_degree_Fahrenheit"
