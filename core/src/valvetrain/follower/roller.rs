//! The follower with a roller.

use super::{ProfilePoint, curvature_refused, curvature_suffices};
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, written};
use crate::valvetrain::scan::{checked, greatest, least, place};
use crate::valvetrain::{CamAngle, Extreme, Lift};
use core::f64::consts::PI;

/// How often the base circle is doubled in search of one that is large enough.
const MOST_DOUBLINGS: u32 = 40;

/// A pressure angle, and where on the cam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PressureAngle {
    /// Where.
    pub angle: CamAngle,
    /// The angle between the push of the cam and the follower's travel, positive where the follower rises.
    pub value: Angle,
}

/// A follower with a roller, on a cam of a base circle; its travel may be offset from the axis of the cam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RollerFollower {
    base_radius: Length,
    roller_radius: Length,
    offset: Length,
}

/// The pitch curve at one angle, in SI: how far the roller's centre stands along the travel, how fast the curve rises against it, and
/// the curvature, positive where convex.
struct Pitch {
    height: f64,
    rise: f64,
    curvature: f64,
}

impl RollerFollower {
    /// On a cam of this base circle radius, with a roller radius and an offset of the travel from the axis of the cam, positive on the side
    /// whose surface rises (it makes the pressure angle smaller while the valve opens).
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a radius not above zero, an offset not below the prime circle's radius.
    pub fn new(base_radius: Length, roller_radius: Length, offset: Length) -> Result<Self> {
        let base_radius = finite_positive("base circle radius", base_radius)?;
        let roller_radius = finite_positive("roller radius", roller_radius)?;
        let prime = base_radius + roller_radius;
        if finite("offset of the follower", offset)?.abs() >= prime {
            let allowed = format!("below the radius of the prime circle, {}, either way", written(prime));
            return Err(out_of_range("offset of the follower", offset, allowed));
        }
        Ok(Self { base_radius, roller_radius, offset })
    }

    /// Radius of the base circle.
    pub fn base_radius(&self) -> Length {
        self.base_radius
    }

    /// Radius of the roller.
    pub fn roller_radius(&self) -> Length {
        self.roller_radius
    }

    /// Offset of the travel from the axis of the cam.
    pub fn offset(&self) -> Length {
        self.offset
    }

    /// Radius of the prime circle: base circle and roller.
    pub fn prime_radius(&self) -> Length {
        self.base_radius + self.roller_radius
    }

    /// Pressure angle: tan(phi) = (s' - e) / (s + sqrt(R_p^2 - e^2)).
    ///
    /// s, s': lift and its derivative by the cam angle; e: offset; R_p: radius of the prime circle.
    ///
    /// # Source
    /// Norton, Cam Design and Manufacturing Handbook, chapter on cam size determination; Uicker, Pennock and Shigley, Theory of
    /// Machines and Mechanisms, chapter on cam design (both from memory).
    pub fn pressure_angle(&self, lift: Lift) -> Angle {
        let pitch = self.pitch(lift);
        Angle::from_si(pitch.rise.atan2(pitch.height))
    }

    /// Radius of curvature of the pitch curve, positive where convex, negative where hollow, infinite where straight.
    ///
    /// rho_p = (h^2 + a^2)^(3/2) / (h (h - s'') + a (2 s' - e)), with h = s + sqrt(R_p^2 - e^2) and a = s' - e. Without offset it is
    /// the form of the books, ((R_p + s)^2 + s'^2)^(3/2) / ((R_p + s)^2 + 2 s'^2 - (R_p + s) s'').
    ///
    /// # Source
    /// As [`RollerFollower::pressure_angle`] without offset; with it the curvature of a plane curve from its two derivatives.
    pub fn pitch_radius_of_curvature(&self, lift: Lift) -> Length {
        Length::from_si(1.0 / self.pitch(lift).curvature)
    }

    /// Radius of curvature of the cam's surface, positive where convex, negative where hollow: that of the pitch curve less the roller's.
    ///
    /// Where the pitch curve is convex and curved more sharply than the roller, the sum is between zero and minus the roller radius:
    /// undercut.
    pub fn radius_of_curvature(&self, lift: Lift) -> Length {
        self.pitch_radius_of_curvature(lift) - self.roller_radius
    }

    /// The point of the cam's surface that touches the roller at a cam angle.
    pub fn profile(&self, angle: CamAngle, lift: Lift) -> ProfilePoint {
        let pitch = self.pitch(lift);
        let reach = self.roller_radius.si() / pitch.height.hypot(pitch.rise);
        let across = self.offset.si() + reach * pitch.rise;
        ProfilePoint::turned(angle.on_cam().si(), across, pitch.height - reach * pitch.height)
    }

    /// The greatest pressure angle over a turn, whatever its sign.
    ///
    /// # Errors
    /// [`Error::NotFinite`] for a curve that is.
    pub fn greatest_pressure_angle(&self, curve: impl Fn(CamAngle) -> Lift) -> Result<PressureAngle> {
        let (angle, _) = greatest(|a| Ok(self.pressure_angle(checked(curve(a))?).si().abs()))?;
        Ok(PressureAngle { angle, value: self.pressure_angle(curve(angle)) })
    }

    /// The greatest pressure angle, held against a limit.
    ///
    /// # Errors
    /// As [`RollerFollower::base_radius_for_pressure_angle`]; [`Error::OutOfRange`] for an angle beyond the limit, with where it is
    /// and the base circle radius that would do.
    pub fn check_pressure_angle(
        &self,
        curve: impl Fn(CamAngle) -> Lift,
        most: Angle,
    ) -> Result<PressureAngle> {
        let needed = self.base_radius_for_pressure_angle(&curve, most)?;
        let found = self.greatest_pressure_angle(curve)?;
        if found.value.abs() <= most {
            return Ok(found);
        }
        let allowed = format!(
            "at most {} either way (it is {}; a base circle radius of {} would do)",
            written(most),
            place(found.angle),
            written(needed)
        );
        Err(out_of_range("greatest pressure angle", found.value, allowed))
    }

    /// The base circle radius that gives a greatest pressure angle, with the same roller and offset.
    ///
    /// The roller's centre must stand |s' - e| / tan(phi) - s above the axis of the cam, at the worst cam angle. Zero where any base
    /// circle would do.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a limit not between 0 and 90 deg.
    pub fn base_radius_for_pressure_angle(
        &self,
        curve: impl Fn(CamAngle) -> Lift,
        most: Angle,
    ) -> Result<Length> {
        let most = finite_positive("greatest pressure angle", most)?;
        if most.si() >= PI / 2.0 {
            return Err(out_of_range("greatest pressure angle", most, "below 90 deg"));
        }
        let (offset, slope) = (self.offset.si(), most.si().tan());
        let (_, height) = greatest(|a| {
            let lift = checked(curve(a))?;
            Ok((lift.velocity.si() - offset).abs() / slope - lift.lift.si())
        })?;
        Ok(Length::from_si((height.max(0.0).hypot(offset) - self.roller_radius.si()).max(0.0)))
    }

    /// The least convex radius of curvature of the cam's surface over a turn, and where: zero or below where the cam is undercut.
    ///
    /// # Errors
    /// [`Error::NotFinite`] for a curve that is.
    pub fn least_radius_of_curvature(&self, curve: impl Fn(CamAngle) -> Lift) -> Result<Extreme> {
        let (angle, sharpest) = greatest(|a| Ok(self.pitch(checked(curve(a))?).curvature))?;
        Ok(Extreme { angle, value: Length::from_si(1.0 / sharpest) - self.roller_radius })
    }

    /// The least hollow radius of the cam's surface over a turn (above zero), and where; none on a cam convex all around.
    ///
    /// It is the greatest radius of a wheel that can grind the flank. The roller always fits: the hollow of the surface is the pitch
    /// curve's radius and the roller's together.
    ///
    /// # Errors
    /// [`Error::NotFinite`] for a curve that is.
    pub fn greatest_wheel_radius(&self, curve: impl Fn(CamAngle) -> Lift) -> Result<Option<Extreme>> {
        let (angle, hollowest) = least(|a| Ok(self.pitch(checked(curve(a))?).curvature))?;
        let radius = self.roller_radius - Length::from_si(1.0 / hollowest);
        Ok((hollowest < 0.0).then_some(Extreme { angle, value: radius }))
    }

    /// The hollow of the flank, held against the radius of the grinding wheel.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a wheel radius not above zero, or one not below the least hollow radius, with
    /// where that is.
    pub fn check_wheel(
        &self,
        curve: impl Fn(CamAngle) -> Lift,
        wheel_radius: Length,
    ) -> Result<Option<Extreme>> {
        let wheel_radius = finite_positive("radius of the grinding wheel", wheel_radius)?;
        match self.greatest_wheel_radius(curve)? {
            Some(hollow) if hollow.value <= wheel_radius => {
                let allowed = format!(
                    "below the hollow of the flank, {}, {}",
                    written(hollow.value),
                    place(hollow.angle)
                );
                Err(out_of_range("radius of the grinding wheel", wheel_radius, allowed))
            }
            hollow => Ok(hollow),
        }
    }

    /// The least convex radius of curvature, held against what is allowed: above zero (else the cam is undercut) and at least `allowed`.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for an allowed radius below zero; for a cam undercut or curved too sharply, with
    /// the radius, its angle and the base circle radius that would do.
    pub fn check_curvature(&self, curve: impl Fn(CamAngle) -> Lift, allowed: Length) -> Result<Extreme> {
        let allowed = non_negative("least radius of curvature", allowed)?;
        let found = self.least_radius_of_curvature(&curve)?;
        if curvature_suffices(found, allowed) {
            return Ok(found);
        }
        let needed = self.base_radius_for_curvature(curve, allowed)?;
        Err(curvature_refused(found, allowed, needed))
    }

    /// The base circle radius that gives a least convex radius of curvature, with the same roller and offset.
    ///
    /// Zero (or what the offset asks for) where any base circle would do.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a radius below zero; [`Error::NoSolution`] where no base circle is large enough.
    pub fn base_radius_for_curvature(
        &self,
        curve: impl Fn(CamAngle) -> Lift,
        radius: Length,
    ) -> Result<Length> {
        let radius = non_negative("least radius of curvature", radius)?;
        let missing = |base: f64| {
            let follower = Self { base_radius: Length::from_si(base), ..*self };
            Ok((follower.least_radius_of_curvature(&curve)?.value - radius).si())
        };
        let low = (self.offset.abs() - self.roller_radius).si().max(0.0);
        let mut high = low + radius.si() + self.roller_radius.si();
        for _ in 0..MOST_DOUBLINGS {
            if missing(high)? > 0.0 {
                return if missing(low)? >= 0.0 {
                    Ok(Length::from_si(low))
                } else {
                    Ok(Length::from_si(bracketed("base circle radius", low, high, missing)?))
                };
            }
            high *= 2.0;
        }
        Err(Error::NoSolution { what: "base circle radius".into(), low, high })
    }

    fn pitch(&self, lift: Lift) -> Pitch {
        let (s, v, a) = (lift.lift.si(), lift.velocity.si(), lift.acceleration.si());
        let (prime, offset) = (self.prime_radius().si(), self.offset.si());
        // Below zero only where a base circle sought is the least that the offset allows.
        let height = s + (prime * prime - offset * offset).max(0.0).sqrt();
        let rise = v - offset;
        let bend = height * (height - a) + rise * (2.0 * v - offset);
        Pitch { height, rise, curvature: bend / (height * height + rise * rise).powf(1.5) }
    }
}
