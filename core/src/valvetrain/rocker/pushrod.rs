//! The length of the pushrod, by way of the pivot's height: a length asked for, the least sweep, a sweep about the stem's axis.

use super::Rocker;
use crate::error::{Error, Result, finite_positive, out_of_range};
use crate::solve::bracketed;
use crate::units::{Dimensioned, Length, written};

/// How far the tip's arm may lie from the square to the valve's axis with the valve seated, rad: 60 deg, far beyond what is built.
const MOST_TIP_ANGLE: f64 = core::f64::consts::FRAC_PI_3;

/// Steps of the tip's angle in which a change of sign is looked for, rad: half a degree.
const STEP: f64 = core::f64::consts::PI / 360.0;

impl Rocker {
    /// The same with a pushrod of another length, its pivot set along its stud until the lash is gone.
    ///
    /// A longer pushrod raises the pivot, so that the tip starts lower against it; lift and ratio change with it.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a length not above zero; [`Error::NoSolution`] where no height of the pivot
    /// takes it; as [`Rocker::new`].
    pub fn with_pushrod(&self, length: Length) -> Result<Self> {
        let length = finite_positive("length of the pushrod", length)?;
        let missing = |angle: f64| Ok((self.at_tip_angle(angle)?.pushrod_length() - length).si());
        let found = nearest(self.tip_angle, STEP, missing);
        let found = found.or_else(|| nearest(self.tip_angle, -STEP, missing));
        let (low, high) = found.ok_or_else(|| no_tip_angle("angle of the tip's arm for this pushrod"))?;
        self.at_tip_angle(bracketed("angle of the tip's arm", low, high, missing)?)
    }

    /// The same with the pivot at the height, and the pushrod of the length, at which the contact wanders least over the stem tip while the
    /// lifter rises by `lifter`.
    ///
    /// The tip's arm then lies square to the valve's axis at half the lift of the valve, and the width is a - sqrt(a^2 - v^2 / 4),
    /// with a the arm of the tip, v the lift.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a lift not above zero or one that the rocker cannot follow;
    /// [`Error::NoSolution`] where no height of the pivot lays the arm square at half lift.
    ///
    /// # Source
    /// Closed form of the contact right below the tip's centre; that the arm lies square at half lift is common practice, no source.
    pub fn least_sweep(&self, lifter: Length) -> Result<Self> {
        let lifter = finite_positive("lift of the lifter", lifter)?;
        let arm = self.arm.tip_arm.si();
        let above_half =
            |angle: f64| Ok(arm * angle.sin() - self.at_tip_angle(angle)?.valve_lift(lifter)?.si() / 2.0);
        // With the arm square on the seat, all the lift lies below: the change of sign is at a larger angle.
        above_half(0.0)?;
        let (low, high) = nearest(0.0, STEP, above_half)
            .ok_or_else(|| no_tip_angle("angle of the tip's arm for least sweep"))?;
        self.at_tip_angle(bracketed("angle of the tip's arm", low, high, above_half)?)
    }

    /// The same with the pivot at the height, and the pushrod of the length, at which the middle of the sweep is on the stem's axis
    /// while the lifter rises by `lifter`. There may be two, on either side of the least sweep; it is the one whose pushrod is nearer
    /// to the present length.
    ///
    /// # Errors
    /// As [`Rocker::least_sweep`]; [`Error::OutOfRange`] where the arm is too short to bring the middle to the stem's axis at any
    /// length, with how far it stays off at least ([`Rocker::least_sweep`] is the nearest), or so long that only angles beyond 60 deg
    /// would.
    pub fn centred(&self, lifter: Length) -> Result<Self> {
        let best = self.least_sweep(lifter)?;
        let middle = |angle: f64| Ok(self.at_tip_angle(angle)?.swept_by(lifter)?.middle().si());
        let nearest_middle = Length::from_si(middle(best.tip_angle)?);
        if nearest_middle.si() < 0.0 {
            return Err(self.never_centred(nearest_middle));
        }
        let mut found: Option<Self> = None;
        for step in [STEP, -STEP] {
            let Some((low, high)) = nearest(best.tip_angle, step, middle) else { continue };
            let one = self.at_tip_angle(bracketed("angle of the tip's arm", low, high, middle)?)?;
            let change = |to: &Self| (to.pushrod - self.pushrod).abs();
            if found.as_ref().is_none_or(|other| change(&one) < change(other)) {
                found = Some(one);
            }
        }
        found.ok_or_else(|| self.never_centred(nearest_middle))
    }

    fn swept_by(&self, lifter: Length) -> Result<super::Sweep> {
        self.sweep(self.valve_lift(lifter)?)
    }

    fn never_centred(&self, middle: Length) -> Error {
        let allowed = format!(
            "one that the middle of the sweep reaches; at its least sweep it lies {} from the stem's axis (positive: away from the pivot)",
            written(middle)
        );
        out_of_range("distance of the stem's axis from the pivot", self.stem, allowed)
    }

    /// The same with the pivot at the height that gives the tip's arm an angle, valve seated.
    fn at_tip_angle(&self, angle: f64) -> Result<Self> {
        self.with_height(self.arm.tip_radius - self.arm.tip_arm * angle.sin())
    }
}

/// The first step away from an angle over which the figure changes sign; none up to 60 deg, or up to where it is refused.
fn nearest(from: f64, step: f64, figure: impl Fn(f64) -> Result<f64>) -> Option<(f64, f64)> {
    let (mut low, mut before) = (from, figure(from).ok()?);
    while (low + step).abs() <= MOST_TIP_ANGLE {
        let high = low + step;
        let after = figure(high).ok()?;
        if before == 0.0 || after == 0.0 || (before < 0.0) != (after < 0.0) {
            return Some((low, high));
        }
        (low, before) = (high, after);
    }
    None
}

fn no_tip_angle(what: &str) -> Error {
    Error::NoSolution { what: what.into(), low: -MOST_TIP_ANGLE, high: MOST_TIP_ANGLE }
}
