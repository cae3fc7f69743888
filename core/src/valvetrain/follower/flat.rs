//! The follower with a flat face square to its travel.

use super::{ProfilePoint, curvature_refused, curvature_suffices};
use crate::error::{Result, finite_positive, non_negative};
use crate::units::{Dimensioned, Length};
use crate::valvetrain::scan::{checked, greatest, least};
use crate::valvetrain::{CamAngle, Extreme, Lift};

/// A follower with a flat face square to its travel, on a cam of a base circle.
///
/// # Example
/// ```
/// use swept::units::{Dimensioned, Length};
/// use swept::valvetrain::{CamAngle, Lift, follower::FlatFollower};
///
/// // A circle of 20 mm turning 4 mm off its centre: the radius of curvature is 20 mm all around.
/// let mm = |x: f64| Length::from_si(x / 1000.0);
/// let circle = |angle: CamAngle| {
///     let (sin, cos) = angle.on_cam().si().sin_cos();
///     Lift { lift: mm(4.0 + 4.0 * cos), velocity: mm(-4.0 * sin), acceleration: mm(-4.0 * cos), jerk: mm(4.0 * sin) }
/// };
/// let follower = FlatFollower::new(mm(16.0))?;
/// let rho = follower.least_radius_of_curvature(circle)?;
/// assert!((rho.value - mm(20.0)).abs() < mm(1e-9));
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatFollower {
    base_radius: Length,
}

/// How far the contact wanders over the face, from the follower's axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatFollowerFace {
    /// Farthest to the side whose surface rises: on the opening flank.
    pub opening: Extreme,
    /// Farthest to the other side (negative): on the closing flank.
    pub closing: Extreme,
}

impl FlatFollowerFace {
    /// Least width of a face that does not turn: the range of the contact and an allowance for both edges together.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an allowance below zero.
    pub fn width(&self, allowance: Length) -> Result<Length> {
        Ok(self.opening.value - self.closing.value + non_negative("allowance", allowance)?)
    }

    /// Least diameter of a round face, centred on the follower's axis: twice the farther side and an allowance for both edges together.
    ///
    /// # Errors
    /// As [`FlatFollowerFace::width`].
    pub fn diameter(&self, allowance: Length) -> Result<Length> {
        let farther = self.opening.value.si().max(-self.closing.value.si());
        Ok(Length::from_si(2.0 * farther) + non_negative("allowance", allowance)?)
    }
}

impl FlatFollower {
    /// On a cam of this base circle radius.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a radius not above zero.
    pub fn new(base_radius: Length) -> Result<Self> {
        Ok(Self { base_radius: finite_positive("base circle radius", base_radius)? })
    }

    /// Radius of the base circle.
    pub fn base_radius(&self) -> Length {
        self.base_radius
    }

    /// Radius of curvature of the cam's surface at the contact: rho = R_b + s + s''.
    ///
    /// R_b: base circle radius; s, s'': lift and its second derivative by the cam angle. Below zero the surface cannot be made.
    ///
    /// # Source
    /// Norton, Cam Design and Manufacturing Handbook, chapter on cam size determination; Uicker, Pennock and Shigley, Theory of
    /// Machines and Mechanisms, chapter on cam design (both from memory).
    pub fn radius_of_curvature(&self, lift: Lift) -> Length {
        self.base_radius + lift.lift + lift.acceleration
    }

    /// Distance of the contact from the follower's axis: s', positive on the side whose surface rises.
    ///
    /// # Source
    /// As [`FlatFollower::radius_of_curvature`].
    pub fn contact(&self, lift: Lift) -> Length {
        lift.velocity
    }

    /// The point of the cam's surface that touches the face at a cam angle.
    ///
    /// The face stands R_b + s from the axis of the cam, the contact s' beside the follower's axis.
    pub fn profile(&self, angle: CamAngle, lift: Lift) -> ProfilePoint {
        let along = (self.base_radius + lift.lift).si();
        ProfilePoint::turned(angle.on_cam().si(), lift.velocity.si(), along)
    }

    /// The least radius of curvature over a turn, and where.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`] for a curve that is.
    pub fn least_radius_of_curvature(&self, curve: impl Fn(CamAngle) -> Lift) -> Result<Extreme> {
        let (angle, value) = least(|a| Ok(self.radius_of_curvature(checked(curve(a))?).si()))?;
        Ok(Extreme { angle, value: Length::from_si(value) })
    }

    /// The base circle radius that gives a least radius of curvature: the radius less the least of s + s''; zero where any would do.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a radius below zero.
    pub fn base_radius_for(curve: impl Fn(CamAngle) -> Lift, radius: Length) -> Result<Length> {
        let radius = non_negative("least radius of curvature", radius)?;
        let (_, value) = least(|a| {
            let lift = checked(curve(a))?;
            Ok((lift.lift + lift.acceleration).si())
        })?;
        Ok(Length::from_si((radius.si() - value).max(0.0)))
    }

    /// The least radius of curvature, held against what is allowed: above zero (else the cam is undercut) and at least `allowed`.
    ///
    /// # Errors
    /// As [`FlatFollower::base_radius_for`]; [`crate::Error::OutOfRange`] for a cam undercut or curved too sharply, with the radius,
    /// its angle and the base circle radius that would do.
    pub fn check_curvature(&self, curve: impl Fn(CamAngle) -> Lift, allowed: Length) -> Result<Extreme> {
        let needed = Self::base_radius_for(&curve, allowed)?;
        let found = self.least_radius_of_curvature(curve)?;
        if curvature_suffices(found, allowed) {
            return Ok(found);
        }
        Err(curvature_refused(found, allowed, needed))
    }

    /// How far the contact wanders over the face in a turn.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`] for a curve that is.
    pub fn face(&self, curve: impl Fn(CamAngle) -> Lift) -> Result<FlatFollowerFace> {
        let contact = |a| Ok(self.contact(checked(curve(a))?).si());
        let extreme = |(angle, value): (CamAngle, f64)| Extreme { angle, value: Length::from_si(value) };
        Ok(FlatFollowerFace { opening: extreme(greatest(contact)?), closing: extreme(least(contact)?) })
    }
}
