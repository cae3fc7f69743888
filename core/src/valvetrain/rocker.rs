//! Rocker arms: the ratio that changes with the angle, the sweep over the stem tip, the length of the pushrod, lash.
//!
//! The plane of the rocker, with the valve seated and the lifter on the base circle:
//!
//! ```text
//!             y: along the valve's axis, away from the seat
//!             |
//!   cup       | pivot                 The pivot stands at x = 0, `height` above the tip plane of the seated stem
//!     o-------O-----------.           (below zero: below it), and is set along the valve's axis.
//!    /    cup_arm  tip_arm o  pad or roller, radius `tip_radius`, centre at its arm's end
//!   /         |          __v__        tip plane, y = 0, square to the valve's axis
//!  / pushrod  |            |          valve's axis, at x = `stem`, opening downwards
//! o           |            |
//! |  lower end of the pushrod at (x, y), moving along the lifter's axis, which leans by an angle towards the valve
//! ```
//!
//! The rocker turns clockwise to open. `included` is the angle of the rocker itself from the tip's arm over the top to the cup's arm:
//! 180 deg where pivot, cup and tip's centre lie in line. Friction, bending and the play of bearings are left out: every contact
//! touches.

mod lash;
mod motion;
mod pushrod;
#[cfg(test)]
mod tests;
mod train;

pub use lash::{TrainGrowths, hot_lash};
pub use motion::Sweep;
pub use train::{Train, TrainDerivatives};

use crate::error::{Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::TAU;

/// The part: two arms about a pivot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RockerArm {
    tip_arm: Length,
    tip_radius: Length,
    cup_arm: Length,
    included: Angle,
}

impl RockerArm {
    /// From the distance of the pivot to the centre of the pad's arc or of the roller, its radius, the distance of the pivot to the
    /// centre of the pushrod's cup, and the angle between the two arms.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an arm not above zero, a radius below zero, an angle not between
    /// 0 and 360 deg.
    pub fn new(tip_arm: Length, tip_radius: Length, cup_arm: Length, included: Angle) -> Result<Self> {
        let included = finite_positive("angle between the arms", included)?;
        if included.si() >= TAU {
            return Err(out_of_range("angle between the arms", included, "below 360 deg"));
        }
        Ok(Self {
            tip_arm: finite_positive("arm of the tip", tip_arm)?,
            tip_radius: non_negative("radius of the tip", tip_radius)?,
            cup_arm: finite_positive("arm of the cup", cup_arm)?,
            included,
        })
    }

    /// Distance of the pivot to the centre of the pad's arc or of the roller.
    pub fn tip_arm(&self) -> Length {
        self.tip_arm
    }

    /// Radius of the pad or of the roller.
    pub fn tip_radius(&self) -> Length {
        self.tip_radius
    }

    /// Distance of the pivot to the centre of the cup.
    pub fn cup_arm(&self) -> Length {
        self.cup_arm
    }

    /// Angle between the arms.
    pub fn included(&self) -> Angle {
        self.included
    }
}

/// The lower end of the pushrod with the lifter on the base circle, and the way it goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LifterSeat {
    x: Length,
    y: Length,
    lean: Angle,
}

impl LifterSeat {
    /// From its place beside the pivot (negative: away from the valve) and above the tip plane (negative: below it), and the angle
    /// by which the lifter's axis leans from the valve's towards the valve as it rises.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a lean of 90 deg or more either way.
    pub fn new(x: Length, y: Length, lean: Angle) -> Result<Self> {
        let lean = finite("lean of the lifter's axis", lean)?;
        if lean.si().abs() >= TAU / 4.0 {
            return Err(out_of_range("lean of the lifter's axis", lean, "within 90 deg"));
        }
        Ok(Self {
            x: finite("place of the pushrod's lower end beside the pivot", x)?,
            y: finite("place of the pushrod's lower end above the tip plane", y)?,
            lean,
        })
    }

    /// Place beside the pivot.
    pub fn x(&self) -> Length {
        self.x
    }

    /// Place above the tip plane of the seated stem.
    pub fn y(&self) -> Length {
        self.y
    }

    /// Lean of the lifter's axis towards the valve.
    pub fn lean(&self) -> Angle {
        self.lean
    }
}

/// A rocker arm in place, without lash: the tip touches the seated stem, and the pushrod fills the gap between cup and lifter.
///
/// # Example
/// ```
/// use swept::units::{Dimensioned, Length, parse};
/// use swept::valvetrain::rocker::{LifterSeat, Rocker, RockerArm};
///
/// let arm = RockerArm::new(parse("36 mm")?, parse("9 mm")?, parse("24 mm")?, parse("170 deg")?)?;
/// let lifter = LifterSeat::new(parse("-24 mm")?, parse("-190 mm")?, parse("4 deg")?)?;
/// let rocker = Rocker::new(arm, parse("35.5 mm")?, parse("4 mm")?, lifter)?;
/// let lift = rocker.valve_lift(parse("8 mm")?)?;
/// assert!(lift > parse("11.5 mm")? && lift < parse("12.5 mm")?);
/// // The length at which the contact wanders least over the stem tip, for this lift of the lifter.
/// let best = rocker.least_sweep(parse("8 mm")?)?;
/// assert!(best.sweep(best.valve_lift(parse("8 mm")?)?)?.width() < Length::from_si(0.6e-3));
/// assert!(best.pushrod_length() > parse("190 mm")?);
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rocker {
    arm: RockerArm,
    stem: Length,
    height: Length,
    lifter: LifterSeat,
    /// Angle of the tip's arm above the square to the valve's axis, valve seated, rad.
    tip_angle: f64,
    /// Length of the pushrod, m.
    pushrod: f64,
}

impl Rocker {
    /// From the part, the distance of the stem's axis from the pivot, the height of the pivot above the tip plane of the seated stem,
    /// and the lower end of the pushrod. The length of the pushrod follows.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a distance not above zero, a height at which the tip cannot meet
    /// the stem, an arm of the cup that the pushrod would not turn the opening way.
    pub fn new(arm: RockerArm, stem: Length, height: Length, lifter: LifterSeat) -> Result<Self> {
        let stem = finite_positive("distance of the stem's axis from the pivot", stem)?;
        let height = finite("height of the pivot", height)?;
        let sine = ((arm.tip_radius - height) / arm.tip_arm).si();
        if sine.abs() >= 1.0 {
            let (low, high) = (arm.tip_radius - arm.tip_arm, arm.tip_radius + arm.tip_arm);
            let allowed = format!("between {} and {}, to meet the stem", written(low), written(high));
            return Err(out_of_range("height of the pivot", height, allowed));
        }
        Self { arm, stem, height, lifter, tip_angle: sine.asin(), pushrod: 0.0 }.fitted()
    }

    /// The same with another height of the pivot: of a shaft shimmed, or of a pivot set along its stud.
    ///
    /// # Errors
    /// As [`Rocker::new`].
    pub fn with_height(&self, height: Length) -> Result<Self> {
        Self::new(self.arm, self.stem, height, self.lifter)
    }

    /// The part.
    pub fn arm(&self) -> &RockerArm {
        &self.arm
    }

    /// Distance of the stem's axis from the pivot.
    pub fn stem(&self) -> Length {
        self.stem
    }

    /// Height of the pivot above the tip plane of the seated stem.
    pub fn height(&self) -> Length {
        self.height
    }

    /// The lower end of the pushrod.
    pub fn lifter(&self) -> &LifterSeat {
        &self.lifter
    }

    /// Length of the pushrod between the centres of its ends, without lash.
    pub fn pushrod_length(&self) -> Length {
        Length::from_si(self.pushrod)
    }

    /// Angle of the tip's arm above the square to the valve's axis with the valve seated.
    pub fn tip_angle(&self) -> Angle {
        Angle::from_si(self.tip_angle)
    }
}
