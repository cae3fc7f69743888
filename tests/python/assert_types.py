"""Checked by mypy and pyright, not run: what a user's editor is told."""

from typing import Any, Literal, assert_type

import pint

import swept

own: pint.UnitRegistry[Any] = pint.UnitRegistry()
cylinder = swept.Cylinder(bore="86 mm", stroke=own.Quantity(86, "mm"), rod_length="143 mm")
assert_type(cylinder, swept.Cylinder)
assert_type(cylinder.bore, pint.Quantity[Any])
assert_type(cylinder.rod_ratio, float)
assert_type(cylinder.piston_velocity("30 deg", speed="6000 rpm"), pint.Quantity[Any])
assert_type(swept.compression_ratio(swept_volume="500 cm3", clearance_volume="50 cm3"), float)
assert_type(swept.convert(1.0, "in", "mm"), float)
assert_type(swept.verdict("86 mm", lower="85 mm"), Literal["pass", "fail", "cannot_tell"])
assert_type(swept.MATERIALS, tuple[str, ...])
iron = swept.Material("grey iron")
assert_type(iron.young, pint.Quantity[Any])
assert_type(iron.thermal_strain("90 degC"), float)
assert_type(iron.mean_expansion_range("90 degC"), tuple[pint.Quantity[Any], pint.Quantity[Any]])
assert_type(swept.fit_clearance("40 H7/p6"), tuple[pint.Quantity[Any], pint.Quantity[Any]])
assert_type(swept.Thread("M10x1.25"), swept.Thread)
assert_type(swept.Thread.metric(diameter="10 mm", pitch="1.25 mm").stress_area, pint.Quantity[Any])
shank = swept.shank_stiffness(
    lengths=["20 mm", own.Quantity(5, "mm")], areas=own.Quantity([58, 61], "mm**2"), young=iron.young
)
assert_type(shank, float)
joint = swept.BoltedJoint(preload="40 kN", bolt_stiffness=shank, parts_stiffness=5 * shank)
assert_type(joint.load_share, float)
assert_type(joint.bolt_load("10 kN"), pint.Quantity[Any])
fit = swept.PressFit(
    inner_bore="0 mm",
    inner_outside="40 mm",
    inner_young=iron.young,
    inner_poisson=iron.poisson,
    outer_bore="40 mm",
    outer_outside="80 mm",
    outer_young="207 GPa",
    outer_poisson="0.3",
    interference="0.04 mm",
)
assert_type(fit.stresses(), dict[str, pint.Quantity[Any]])
assert_type(fit.equivalent_stresses(), tuple[pint.Quantity[Any], pint.Quantity[Any]])
rises = {"outer_rise": "40 K", "inner_rise": "20 K"}
assert_type(fit.warmed(outer_expansion="21 um/m/K", inner_expansion="11 um/m/K", **rises), swept.PressFit)
walls = ["1.998 mm", "2.000 mm"]
shells = swept.select_shells(
    housing_bores=["59 mm"], journals=["54.96 mm"], upper_grades=walls, lower_grades=walls, target="42 um"
)
assert_type(shells, swept.ShellSelection)
assert_type(shells.upper, tuple[int, ...])
assert_type(shells.clearances, pint.Quantity[Any])
survey = swept.DiameterSurvey(angles=["0 deg"], stations=["5 mm"], diameters=[["59.002 mm"]])
assert_type(survey.out_of_round, pint.Quantity[Any])
rod = swept.RodMass(big_end="430 g", small_end=own.Quantity(170, "g"))
assert_type(swept.rotating_mass(rod=rod, shells="45 g", oil="4 g"), pint.Quantity[Any])
assert_type(swept.to_lightest(own.Quantity([402, 400], "g"), most="2 g"), pint.Quantity[Any])
assert_type(swept.best_share([("45 deg", "0 deg", "600 g"), ("-45 deg", "0 deg", "600 g")]), float)
assert_type(swept.acceleration_harmonics(cylinder), list[complex])
engine = swept.ShakingEngine(
    cylinders=[
        {
            "cylinder": cylinder,
            "bank_angle": "0 deg",
            "throw_angle": "0 deg",
            "position": "0 mm",
            "reciprocating": "500 g",
        }
    ]
)
first_order = engine.force(1, speed="6000 rpm")
assert_type(first_order, swept.Harmonic)
assert_type(first_order.forward, tuple[pint.Quantity[Any], pint.Quantity[Any]])
assert_type(first_order.direction, pint.Quantity[Any] | None)
assert_type(engine.with_masses(engine.counterweights(first="-40 mm", second="40 mm")), swept.ShakingEngine)
bolt = swept.UnbalanceVector.from_mass(mass="12 g", radius="80 mm", angle="30 deg")
assert_type(bolt + bolt.opposite(), swept.UnbalanceVector)
assert_type(
    swept.to_planes([(bolt, "0 mm")], first="10 mm", second=own.Quantity(90, "mm")),
    tuple[swept.UnbalanceVector, swept.UnbalanceVector],
)
assert_type(swept.BalanceGrade.met_by(residual="5 g mm", mass="2 kg", speed="3000 rpm"), swept.BalanceGrade | None)
trials = swept.correct_by_trials(
    baseline=[(4.0, "0 deg")], runs=[{"weights": [bolt], "readings": [(2.0, "0 deg")]}], phase="lead"
)
assert_type(trials, swept.Correction)
assert_type(trials.predicted, list[tuple[float, pint.Quantity[Any]]])
holes = swept.plan_drilling(planes=[], sites=[])
assert_type(holes.removed, pint.Quantity[Any] | None)
assert_type(holes.shortfall, str | None)
assert_type(swept.DRILL_CAUTIONS, tuple[str, ...])
flank = swept.Flank("3-4-5", cam_length="60 deg")
curve = swept.LiftCurve.of_flanks(lift="9 mm", opening=flank, cam_dwell=own.Quantity(2, "deg"))
assert_type(curve.at(cam_angle="10 deg"), swept.Lift)
assert_type(curve.at(cam_angle="10 deg").velocity, pint.Quantity[Any])
assert_type(curve.extremes.greatest_velocity.cam_angle, pint.Quantity[Any])
assert_type(swept.LiftCurve.interpolated(cam_angles=["1 deg"], lifts=["1 mm"]), swept.MeasuredLift)
motion = swept.ValveMotion(curve, crank_centreline="106 deg", train=swept.Train.ratio(1.5))
assert_type(motion.advanced(crank_angle="4 deg"), swept.ValveMotion)
assert_type(swept.FlatFollower(base_radius="16 mm").check_curvature(curve), swept.Extreme)
events = swept.ValveEvents("intake", crank_opening_before="12 deg", crank_closing_after="40 deg")
assert_type(events.kind, Literal["intake", "exhaust"])
assert_type(swept.ValveTiming.from_events(events, lift="1 mm"), swept.ValveTiming)
head = swept.ValveHead(diameter="35 mm", margin="1.2 mm", tilt="14 deg", offset="-18 mm", height="4 mm")
gap = swept.PistonToValve(cylinder=cylinder, valve=head, piston_to_head="1.1 mm")
assert_type(gap.least(motion, along="stem").clearance, pint.Quantity[Any])
assert_type(gap.least_bore_wall(motion), swept.LeastWall | None)
assert_type(gap.clearances(crank_angle="0 deg", motion=motion), tuple[pint.Quantity[Any], pint.Quantity[Any]])
spring = swept.ValveSpring(rate="40 N/mm", height="40 mm", load="300 N", solid_height="24 mm")
springs = swept.SpringSet([swept.InstalledSpring(spring, height="40 mm")])
assert_type(swept.SpringControl(springs, effective_mass="240 g").float_speed(curve), swept.FloatSpeed)
assert_type(swept.mach_index(mean_gas_speed="60 m/s", flow_coefficient=0.36, speed_of_sound="340 m/s"), float)
assert_type(swept.read_build("build.toml"), swept.Build)
sheet = swept.read_build("build.toml").sheet()
assert_type(sheet, swept.Sheet)
assert_type(sheet.findings, list[swept.Finding])
assert_type(sheet.to_json(), str)
assert_type(sheet.findings[0].value, Any)
assert_type(sheet.table(), swept.tables.Table)
assert_type(sheet.valves, dict[str, Any] | None)
assert_type(swept.plots.walls(sheet, 1), swept.plots.Plot)
assert_type(swept.plots.valve_timing(sheet), swept.plots.Plot)
assert_type(swept.report.html(sheet), str)
study = swept.Study(vary={"bore": swept.span("80 mm", "90 mm", count=3), "stroke": ["86 mm"]})
assert_type(study.designs, int)
assert_type(study.count().share, float)
assert_type(study.feasible(["bore"]), swept.tables.Table)
assert_type(study.best(1, "swept_volume"), swept.tables.Table)
assert_type([block.rows for block in study.blocks(["bore"])], list[int])
sampling = swept.Sampling(readings={"bore": swept.normal("86 mm", "0.01 mm")}, fixed={"stroke": "86 mm"})
assert_type(sampling.sample(10, ["displacement"])["displacement"].used, int)
assert_type(sampling.sensitivity("displacement", 10), swept.tables.Table)
assert_type(sampling.linear("displacement").rows, int)
scatter = swept.Scatter(ranges={"bore": ("80 mm", "90 mm"), "stroke": ("70 mm", "95 mm")}, designs=100)
assert_type(scatter.count().refused, int)
assert_type(scatter.filter(best=(3, "swept_volume")).best, swept.tables.Table)
assert_type(scatter.outputs(["swept_volume"]).table, swept.tables.Table)
assert_type(swept.valve_clearances(columns={"stroke": ([86.0], "mm")}), swept.tables.Table)

swept.Cylinder(bore=86.0, stroke="86 mm", rod_length="143 mm")  # type: ignore[arg-type]
swept.Cylinder("86 mm", "86 mm", "143 mm")  # type: ignore[call-arg]
swept.Thread(10)  # type: ignore[arg-type]
swept.pin_clearance(bore=22.005, pin_diameter="21.998 mm")  # type: ignore[arg-type]
swept.standard_tolerance(nominal="40 mm", grade="H7")  # type: ignore[arg-type]
shells.upper = (1,)  # type: ignore[misc]
swept.UnbalanceVector(amount=150.0, heavy_at="0 deg")  # type: ignore[arg-type]
swept.correct_by_trials(baseline=[], runs=[], phase="behind")  # type: ignore[arg-type]
bolt + "150 g mm"  # type: ignore[operator]
curve.at(crank_angle="10 deg")  # type: ignore[call-arg]
curve.at("10 deg")  # type: ignore[call-arg]
motion.at(cam_angle="10 deg")  # type: ignore[call-arg]
swept.Flank("cubic", cam_length="60 deg")  # type: ignore[arg-type]
swept.ValveTiming.symmetrical(crank_centreline=106, crank_duration="240 deg", lift="1 mm")  # type: ignore[arg-type]
swept.Study({"bore": ["86 mm"]})  # type: ignore[call-arg]
swept.Sampling(readings={"bore": "86 mm"})  # type: ignore[dict-item]
study.feasible("bore", progress=3)  # type: ignore[call-overload]
