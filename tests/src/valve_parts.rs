//! The vectors of rockers, springs, breathing, and clearances of valves.

use crate::Vector;
use swept::Result;
use swept::units::{Angle, Dimensioned, Length, Mass};
use swept::valvetrain::breathing::{
    curtain_area, mach_index, mean_gas_speed, runner_volume, speed_of_sound_in_air, trapped_volume,
};
use swept::valvetrain::pocket::{
    ClearanceSearch, CrankGrid, CrownPocket, MeasuredAlong, PistonAllowances, PistonToValve, ValveHead,
    ValveMotion, ValvePair,
};
use swept::valvetrain::spring::{harmonic_frequency_ratio, rate_from_readings, surge_frequency};
use swept::valvetrain::{
    HelicalSpring, InstalledSpring, LifterSeat, PoppetValve, Rocker, RockerArm, SpringControl, SpringSet,
    TrainGrowths, TrainMasses, ValveSpring, hot_lash,
};

impl Vector {
    fn rocker(&self) -> Result<Rocker> {
        let (tip, cup) = (self.q("tip_arm")?, self.q("cup_arm")?);
        let arm = RockerArm::new(tip, self.q("tip_radius")?, cup, self.q("included")?)?;
        let seat = LifterSeat::new(self.q("lifter_x")?, self.q("lifter_y")?, self.q("lifter_lean")?)?;
        Rocker::new(arm, self.q("stem")?, self.q("height")?, seat)
    }

    fn springs(&self) -> Result<SpringSet> {
        let list = |name: &str| self.lists.get(name).into_iter().flatten().copied();
        let readings = list("rate").zip(list("height")).zip(list("load"));
        let heights = list("solid_height").zip(list("installed_height"));
        let springs = readings.zip(heights).map(|(((rate, height), load), (solid, installed))| {
            let (height, solid) = (Length::from_si(height), Length::from_si(solid));
            let spring =
                ValveSpring::new(Dimensioned::from_si(rate), height, Dimensioned::from_si(load), solid)?;
            InstalledSpring::new(spring, Length::from_si(installed))
        });
        SpringSet::of(&springs.collect::<Result<Vec<_>>>()?)
    }

    fn spring(&self) -> Result<ValveSpring> {
        ValveSpring::new(self.q("rate")?, self.q("height")?, self.q("load")?, self.q("solid_height")?)
    }

    fn helical(&self) -> Result<HelicalSpring> {
        let (wire, mean) = (self.q("wire")?, self.q("mean_diameter")?);
        HelicalSpring::new(wire, mean, self.q("active_coils")?, self.q("total_coils")?)
    }

    fn effective_mass(&self) -> Result<Mass> {
        let (valve, retainer) = (self.q("valve")?, self.q("retainer_and_locks")?);
        let (springs, rocker) = (self.q("springs")?, self.q("rocker")?);
        let lifter = self.q("lifter_and_pushrod")?;
        Ok(TrainMasses::new(valve, retainer, springs, rocker, lifter, self.q("ratio")?)?.effective())
    }

    fn control(&self) -> Result<SpringControl> {
        SpringControl::new(self.springs()?, self.q("effective_mass")?)
    }

    fn float_speed(&self) -> Result<f64> {
        let (curve, train, lash) = (self.curve()?, self.train()?, self.q("lash")?);
        let found = self.control()?.float_speed(|angle| train.valve_with_lash(curve.at(angle), lash))?;
        Ok(self.pick(&[("crank", found.crank.si()), ("angle", found.angle.on_cam().si())]))
    }

    fn poppet(&self) -> Result<PoppetValve> {
        let (head, width) = (self.q("head_diameter")?, self.q("seat_width")?);
        let (port, stem) = (self.q("port_diameter")?, self.q("stem_diameter")?);
        PoppetValve::new(head, width, self.q("seat_angle")?, port, stem)
    }

    fn pocket(&self) -> Result<Option<CrownPocket>> {
        if !self.inputs.contains_key("pocket_depth") {
            return Ok(None);
        }
        let (offset, sideways) = (self.q("pocket_offset")?, self.q("pocket_sideways")?);
        let (diameter, depth) = (self.q("pocket_diameter")?, self.q("pocket_depth")?);
        CrownPocket::new(offset, sideways, diameter, depth, self.q("floor_angle")?).map(Some)
    }

    fn piston_to_valve(&self) -> Result<PistonToValve> {
        let (diameter, margin, tilt) = (self.q("head_diameter")?, self.q("margin")?, self.q("tilt")?);
        let (offset, sideways) = (self.q("head_offset")?, self.q("head_sideways")?);
        let head = ValveHead::new(diameter, margin, tilt, offset, sideways, self.q("head_height")?)?;
        let (stretch, rock) = (self.q("rod_stretch")?, self.q("bearing_and_rock")?);
        let allowances = PistonAllowances::new(stretch, rock, self.q("thermal")?)?;
        PistonToValve::new(self.cylinder()?, head, self.q("piston_to_head")?, self.pocket()?, allowances)
    }

    fn along(&self) -> MeasuredAlong {
        if self.text("along") == "stem" { MeasuredAlong::Stem } else { MeasuredAlong::CylinderAxis }
    }

    fn search(&self) -> Result<f64> {
        let (gap, centreline) = (&self.piston_to_valve()?, self.q::<Angle>("centreline")?);
        let motion = ValveMotion::new(self.valve_lift(centreline)?, centreline)?;
        let (grid, along) = (CrankGrid::new(self.si("per_turn") as u32)?, self.along());
        let search = ClearanceSearch { gap, grid, along, motion };
        Ok(match self.function.as_str() {
            "least_clearance" => {
                let found = search.bounded()?;
                self.pick(&[
                    ("clearance", found.clearance.si()),
                    ("crank", found.crank.si()),
                    ("lift", found.lift.si()),
                ])
            }
            "advance_limits" => {
                let found = search.advance_limits(self.q("needed")?, self.q("low")?, self.q("high")?)?;
                self.pick(&[("least", found.least.si()), ("greatest", found.greatest.si())])
            }
            _ => search.pocket_depth(self.q("needed")?)?.si(),
        })
    }

    fn head(&self, prefix: &str) -> Result<ValveHead> {
        let length = |name: &str| self.q::<Length>(&format!("{prefix}_{name}"));
        let (diameter, margin, height) = (length("diameter")?, length("margin")?, length("height")?);
        let tilt = self.q(&format!("{prefix}_tilt"))?;
        ValveHead::new(diameter, margin, tilt, length("offset")?, length("sideways")?, height)
    }

    pub(crate) fn run_valve_parts(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "rocker_pushrod_length" => v.rocker()?.pushrod_length().si(),
            "rocker_valve_lift" => v.rocker()?.valve_lift(v.q("lifter")?)?.si(),
            "rocker_derivatives" => {
                let found = v.rocker()?.derivatives(v.q("lifter")?)?;
                v.pick(&[("first", found.first), ("second", found.second), ("third", found.third)])
            }
            "rocker_sweep" => {
                let found = v.rocker()?.sweep(v.q("valve")?)?;
                v.pick(&[("open", found.open.si()), ("outer", found.outer.si())])
            }
            "train_valve_with_lash" => v.of_lift(&v.train()?.valve_with_lash(v.given_lift()?, v.q("lash")?)?),
            "hot_lash" => {
                let (engine, pushrod) = (v.q("engine")?, v.q("pushrod")?);
                let growths = TrainGrowths { engine, pushrod, head: v.q("head")?, valve: v.q("valve")? };
                hot_lash(v.q("cold")?, v.q("ratio")?, growths)?.si()
            }
            _ => return v.run_springs(),
        }))
    }

    fn run_springs(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "spring_rate_from_readings" => {
                let first = (v.q("first_height")?, v.q("first_load")?);
                rate_from_readings(first, (v.q("second_height")?, v.q("second_load")?))?.si()
            }
            "spring_free_height" => v.spring()?.free_height().si(),
            "spring_load_at" => v.spring()?.load_at(v.q("at_height")?)?.si(),
            "springs_together" => {
                let found = v.springs()?;
                v.pick(&[
                    ("rate", found.rate().si()),
                    ("seat_load", found.seat_load().si()),
                    ("lift_to_bind", found.lift_to_bind().si()),
                ])
            }
            "springs_load" => v.springs()?.load(v.q("lift")?)?.si(),
            "springs_coil_bind_margin" => v.springs()?.coil_bind_margin(v.q("lift")?)?.si(),
            "helical_spring_rate" => v.helical()?.rate(v.q("shear_modulus")?)?.si(),
            "helical_spring_figures" => {
                let found = v.helical()?;
                v.pick(&[
                    ("wahl_factor", found.wahl_factor().si()),
                    ("bergstraesser_factor", found.bergstraesser_factor().si()),
                    ("solid_height", found.solid_height().si()),
                ])
            }
            "helical_spring_active_mass" => v.helical()?.active_mass(v.si("density"))?.si(),
            "surge_frequency" => surge_frequency(v.q("rate")?, v.q("active_mass")?)?.si(),
            "harmonic_frequency_ratio" => {
                harmonic_frequency_ratio(v.q("frequency")?, v.q("crank")?, v.si("harmonic") as u32)?.si()
            }
            "train_effective_mass" => v.effective_mass()?.si(),
            "float_speed" => v.float_speed()?,
            "spring_forces_at" => {
                let found = v.control()?.forces(v.given_lift()?, v.q("crank")?)?;
                v.pick(&[
                    ("available", found.available.si()),
                    ("needed", found.needed.si()),
                    ("margin", found.margin().si()),
                ])
            }
            _ => return v.run_breathing(),
        }))
    }

    fn run_breathing(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "curtain_area" => curtain_area(v.q("diameter")?, v.q("lift")?)?.si(),
            "poppet_minimum_area" => v.poppet()?.minimum_area(v.q("lift")?)?.si(),
            "poppet_valve_figures" => {
                let found = v.poppet()?;
                v.pick(&[
                    ("lift_for_curtain", found.lift_for_curtain().si()),
                    ("end_of_seat_stage", found.end_of_seat_stage().map_or(f64::NAN, Dimensioned::si)),
                    ("lift_for_throat", found.lift_for_throat()?.si()),
                ])
            }
            "mean_gas_speed" => {
                mean_gas_speed(v.q("mean_piston_speed")?, v.q("piston_area")?, v.q("valve_area")?)?.si()
            }
            "mach_index" => {
                mach_index(v.q("mean_gas_speed")?, v.q("flow_coefficient")?, v.q("speed_of_sound")?)?.si()
            }
            "speed_of_sound_in_air" => speed_of_sound_in_air(v.q("temperature")?)?.si(),
            "runner_volume" => runner_volume(v.q("length")?, v.q("entry")?, v.q("exit")?)?.si(),
            "trapped_volume" => {
                trapped_volume(&v.cylinder()?, v.q("clearance")?, v.q("intake_closing")?)?.si()
            }
            "valve_clearances_at" => {
                let found = v.piston_to_valve()?.at(v.q("crank")?, v.q("lift")?)?;
                v.pick(&[
                    ("axial", found.axial.si()),
                    ("along_stem", found.along_stem.si()),
                    ("bore_wall", found.bore_wall.si()),
                ])
            }
            "least_clearance" | "advance_limits" | "pocket_depth" => v.search()?,
            "head_distance" => {
                let pair = ValvePair::new(v.head("first")?, v.head("second")?, v.q("turned")?)?;
                let found = pair.distance(v.q("first_lift")?, v.q("second_lift")?)?;
                v.pick(&[("distance", found.distance.si()), ("at_least", found.at_least.si())])
            }
            _ => return Ok(None),
        }))
    }
}
