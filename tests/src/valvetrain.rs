//! The vectors of timing, degree wheel, lift and followers.

use crate::Vector;
use swept::Result;
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::{
    CamAngle, CamTiming, ChainDrive, Extreme, Flank, FlatFollower, Lift, LiftCurve, MidpointAgainst,
    OffsetPart, Programme, Ramp, RollerFollower, Train, ValveEvents, ValveKind, ValveTiming, WheelReadings,
    WheelUncertainty, WheelZero, timing::sprocket_pitch_radius,
};

impl Vector {
    pub(crate) fn cam(&self, name: &str) -> Result<CamAngle> {
        self.q(name).map(CamAngle::of_cam)
    }

    fn events(&self) -> Result<ValveEvents> {
        let kind = if self.text("kind") == "intake" { ValveKind::Intake } else { ValveKind::Exhaust };
        Ok(ValveEvents { kind, opening: self.q("opening")?, closing: self.q("closing")? })
    }

    /// The lobe of one valve; its names begin with the prefix.
    fn timing(&self, prefix: &str) -> Result<ValveTiming> {
        let angle = |name: &str| self.q::<Angle>(&format!("{prefix}{name}"));
        let (opening, closing) = (angle("opening_flank")?, angle("closing_flank")?);
        ValveTiming::asymmetrical(angle("centreline")?, opening, closing, self.q("lift")?)
    }

    fn cam_timing(&self) -> Result<CamTiming> {
        CamTiming::new(self.timing("intake_")?, self.timing("exhaust_")?)
    }

    fn part(&self) -> OffsetPart {
        match self.text("part") {
            "cam key" => OffsetPart::CamKey,
            "cam bush" => OffsetPart::CamBush,
            _ => OffsetPart::CrankKey,
        }
    }

    fn drive(&self) -> Result<ChainDrive> {
        ChainDrive::new(self.q("crank_radius")?, self.q("cam_radius")?, self.q("centre_distance")?)
    }

    fn wheel(&self) -> Result<f64> {
        let uncertainty = WheelUncertainty::Common(self.q("uncertainty")?);
        let (openings, closings) = (self.list("openings"), self.list("closings"));
        let zero = WheelZero::new(self.q("zero_offset")?, self.q("zero_standard_uncertainty")?)?;
        let against = match self.text("against") {
            "lift" => MidpointAgainst::Lift,
            "lift to nose" => MidpointAgainst::LiftToNose(self.q("nose_lift")?),
            _ => MidpointAgainst::HalfDuration,
        };
        let readings = WheelReadings::new(&self.list("lifts"), &openings, &closings, &uncertainty)?;
        let found = readings.with_zero(zero).fit(against)?;
        Ok(self.pick(&[
            ("centreline", found.centreline.si()),
            ("centreline_uncertainty", found.centreline_standard.si()),
            ("asymmetry", found.asymmetry.map_or(f64::NAN, |a| a.slope)),
        ]))
    }

    fn flank(&self, length: &str) -> Result<Flank> {
        let programme = match self.text("programme") {
            "3-4-5" => Programme::Polynomial345,
            "4-5-6-7" => Programme::Polynomial4567,
            "cycloidal" => Programme::Cycloidal,
            _ => Programme::Harmonic,
        };
        let flank = Flank::new(programme, self.cam(length)?)?;
        if !self.inputs.contains_key("ramp_height") {
            return Ok(flank);
        }
        Ok(flank.with_ramp(Ramp::new(self.q("ramp_height")?, self.cam("ramp_length")?)?))
    }

    /// Of exponents, of a table, or else of a programme.
    pub(crate) fn curve(&self) -> Result<LiftCurve> {
        if self.lists.contains_key("exponents") {
            let exponents: Vec<u8> =
                self.lists.get("exponents").into_iter().flatten().map(|e| *e as u8).collect();
            return LiftCurve::polynomial(&exponents, self.q("lobe_lift")?, self.cam("half_length")?);
        }
        if self.lists.contains_key("angles") {
            return Ok(LiftCurve::interpolated(&self.table_angles(), &self.list("lifts"))?.curve);
        }
        let (opening, closing) = (self.flank("opening_length")?, self.flank("closing_length")?);
        LiftCurve::of_flanks(self.q("lobe_lift")?, opening, closing, self.cam("dwell")?)
    }

    fn table_angles(&self) -> Vec<CamAngle> {
        self.list::<Angle>("angles").into_iter().map(CamAngle::of_cam).collect()
    }

    /// A lift with its derivatives, given one by one.
    pub(crate) fn given_lift(&self) -> Result<Lift> {
        let (lift, velocity) = (self.q("lift")?, self.q("velocity")?);
        Ok(Lift { lift, velocity, acceleration: self.q("acceleration")?, jerk: self.q("jerk")? })
    }

    pub(crate) fn of_lift(&self, found: &Lift) -> f64 {
        self.pick(&[
            ("lift", found.lift.si()),
            ("velocity", found.velocity.si()),
            ("acceleration", found.acceleration.si()),
            ("jerk", found.jerk.si()),
        ])
    }

    pub(crate) fn train(&self) -> Result<Train> {
        Train::ratio(self.q("ratio")?)
    }

    /// The lift of the valve at a crank angle, of the lobe over a fixed ratio with lash.
    pub(crate) fn valve_lift(&self, centreline: Angle) -> Result<impl Fn(Angle) -> Length> {
        let (curve, train, lash) = (self.curve()?, self.train()?, self.q("lash")?);
        Ok(move |crank: Angle| {
            let lifter = curve.at(CamAngle::of_crank(crank - centreline));
            train.valve_with_lash(lifter, lash).map_or(Length::from_si(f64::NAN), |valve| valve.lift)
        })
    }

    fn overlap_area(&self) -> Result<f64> {
        let timing = self.cam_timing()?;
        let intake = self.valve_lift(timing.intake().centreline())?;
        let exhaust = self.valve_lift(timing.exhaust().centreline())?;
        Ok(timing.overlap_area(intake, exhaust)?.si())
    }

    fn of_extreme(&self, found: Extreme) -> f64 {
        self.pick(&[("angle", found.angle.on_cam().si()), ("value", found.value.si())])
    }

    pub(crate) fn run_valvetrain(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "valve_timing_from_events" => {
                let found = ValveTiming::from_events(v.events()?, v.q("lift")?)?;
                v.pick(&[("centreline", found.centreline().si())])
            }
            "valve_events_duration" => v.events()?.duration()?.si(),
            "valve_timing_events" => {
                let found = v.timing("")?.events();
                v.pick(&[("opening", found.opening.si()), ("closing", found.closing.si())])
            }
            "cam_timing_from_separation" => {
                let (intake, exhaust) = (v.q("intake_duration")?, v.q("exhaust_duration")?);
                let (separation, advance) = (v.cam("separation")?, v.q("advance")?);
                let found = CamTiming::from_separation(separation, advance, intake, exhaust, v.q("lift")?)?;
                v.pick(&[
                    ("intake_centreline", found.intake().centreline().si()),
                    ("exhaust_centreline", found.exhaust().centreline().si()),
                ])
            }
            "cam_timing_figures" => {
                let found = v.cam_timing()?;
                v.pick(&[
                    ("separation", found.lobe_separation().on_cam().si()),
                    ("advance", found.advance().si()),
                    ("overlap", found.overlap().si()),
                ])
            }
            "overlap_area" => v.overlap_area()?,
            "offset_part_advance" => v.part().advance(v.q("offset")?, v.q("radius")?)?.si(),
            "sprocket_pitch_radius" => sprocket_pitch_radius(v.q("pitch")?, v.si("teeth") as u32)?.si(),
            "chain_drive_advance_from_stretch" => v.drive()?.advance_from_stretch(v.q("elongation")?)?.si(),
            "chain_drive_advance_from_centre_distance" => {
                v.drive()?.advance_from_centre_distance(v.q("change")?)?.si()
            }
            "wheel_zero_from_positive_stop" => {
                let standard = v.q("standard_uncertainty")?;
                let found = WheelZero::from_positive_stop(v.q("before")?, v.q("after")?, standard)?;
                v.pick(&[("offset", found.offset().si()), ("standard_uncertainty", found.standard().si())])
            }
            "fit_wheel" => v.wheel()?,
            _ => return v.run_lift(),
        }))
    }

    fn run_lift(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "lift_curve_at" => v.of_lift(&v.curve()?.at(v.cam("angle")?)),
            "lift_curve_area" => v.curve()?.area().si(),
            "lift_curve_duration_at" => v.curve()?.duration_at(v.q("lift")?)?.on_cam().si(),
            "lift_curve_extremes" => {
                let found = v.curve()?.extremes();
                v.pick(&[
                    ("greatest_velocity", found.greatest_velocity.value.si()),
                    ("least_acceleration", found.least_acceleration.value.si()),
                ])
            }
            "lift_curve_interpolated" => {
                let found = LiftCurve::interpolated(&v.table_angles(), &v.list("lifts"))?.fit;
                v.pick(&[("nose", found.nose.on_cam().si()), ("peak_lost", found.peak_lost.si())])
            }
            _ => return v.run_followers(),
        }))
    }

    fn run_followers(&self) -> Result<Option<f64>> {
        let v = self;
        let flat = || FlatFollower::new(v.q("base_radius")?);
        let roller = || RollerFollower::new(v.q("base_radius")?, v.q("roller_radius")?, v.q("offset")?);
        Ok(Some(match v.function.as_str() {
            "flat_follower_at" => {
                let (follower, lift) = (flat()?, v.given_lift()?);
                let point = follower.profile(v.cam("angle")?, lift);
                v.pick(&[
                    ("radius_of_curvature", follower.radius_of_curvature(lift).si()),
                    ("contact", follower.contact(lift).si()),
                    ("x", point.x.si()),
                    ("y", point.y.si()),
                ])
            }
            "roller_follower_at" => {
                let (follower, lift) = (roller()?, v.given_lift()?);
                v.pick(&[
                    ("pressure_angle", follower.pressure_angle(lift).si()),
                    ("pitch_radius_of_curvature", follower.pitch_radius_of_curvature(lift).si()),
                    ("radius_of_curvature", follower.radius_of_curvature(lift).si()),
                ])
            }
            "flat_least_radius_of_curvature" => {
                let curve = v.curve()?;
                v.of_extreme(flat()?.least_radius_of_curvature(|angle| curve.at(angle))?)
            }
            "flat_face" => {
                let curve = v.curve()?;
                let found = flat()?.face(|angle| curve.at(angle))?;
                v.pick(&[("opening", found.opening.value.si()), ("closing", found.closing.value.si())])
            }
            "roller_greatest_pressure_angle" => {
                let curve = v.curve()?;
                let found = roller()?.greatest_pressure_angle(|angle| curve.at(angle))?;
                v.pick(&[("angle", found.angle.on_cam().si()), ("value", found.value.si())])
            }
            "roller_least_radius_of_curvature" => {
                let curve = v.curve()?;
                v.of_extreme(roller()?.least_radius_of_curvature(|angle| curve.at(angle))?)
            }
            _ => return v.run_valve_parts(),
        }))
    }
}
