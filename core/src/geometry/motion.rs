//! Slider-crank motion with pin offset, at any crank angle.
//!
//! Crank angles are from true top dead centre of the cylinder, positive in running direction. The throw's own angle from the
//! cylinder axis is phi = angle + [`Cylinder::top_dead_centre`]; the rod spans sideways r sin(phi) + d.

use super::Cylinder;
use crate::units::{Acceleration, Angle, AngularVelocity, Dimensioned, Length, Velocity, Volume};
use core::f64::consts::PI;

/// The triangle of crank radius and rod at one angle, SI.
struct Triangle {
    sin: f64,
    cos: f64,
    /// Sideways span of the rod.
    lateral: f64,
    /// Span of the rod along the axis.
    along: f64,
    radius: f64,
}

/// The lengths of a slider-crank that its motion is made of, in any one unit of length; for many angles of one crank.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct SliderCrank {
    /// Pin height at true top dead centre.
    height: f64,
    radius: f64,
    rod: f64,
    offset: f64,
}

impl SliderCrank {
    /// Sideways span of the rod, by the sine of the throw's angle from the cylinder axis.
    #[inline(always)]
    fn lateral(&self, sin: f64) -> f64 {
        self.radius * sin + self.offset
    }

    /// Span of the rod along the axis, by its sideways span.
    #[inline(always)]
    fn along(&self, lateral: f64) -> f64 {
        (self.rod * self.rod - lateral * lateral).sqrt()
    }

    /// Distance of the piston below true top dead centre, by sine and cosine of the throw's angle from the cylinder axis; the formula of
    /// [`Cylinder::piston_position`]. Zero to the last bit with the throw on the axis and no offset.
    #[inline(always)]
    pub(crate) fn position(&self, sin: f64, cos: f64) -> f64 {
        self.height - (self.radius * cos + self.along(self.lateral(sin)))
    }

    /// Whether it turns all the way round: the rod is longer than crank radius and offset together.
    #[inline(always)]
    pub(crate) fn turns(&self) -> bool {
        let least = self.radius + self.offset.abs();
        self.radius > 0.0 && self.rod > least && self.along(least) > 0.0 && self.height.is_finite()
    }

    /// What rounding can move a position by, at most, where the crank turns.
    #[inline(always)]
    pub(crate) fn rounding(&self) -> f64 {
        // The root loses digits where the rod is nearly square to the axis: an error of a few bits of its square, over twice the span.
        let span = self.along(self.radius + self.offset.abs());
        8.0 * f64::EPSILON * (self.height + self.radius + self.rod * self.rod / span)
    }
}

impl Cylinder {
    /// What its motion is made of.
    #[inline]
    pub(crate) fn slider_crank(&self) -> SliderCrank {
        SliderCrank {
            height: self.pin_height_at_tdc().si(),
            radius: self.crank_radius().si(),
            rod: self.rod_length().si(),
            offset: self.pin_offset().si(),
        }
    }

    fn triangle(&self, angle: Angle) -> Triangle {
        let (sin, cos) = (angle + self.top_dead_centre()).si().sin_cos();
        let crank = self.slider_crank();
        let lateral = crank.lateral(sin);
        Triangle { sin, cos, lateral, along: crank.along(lateral), radius: crank.radius }
    }

    /// The throw's angle from the cylinder axis at true top dead centre: -asin(d / (l + r)).
    pub fn top_dead_centre(&self) -> Angle {
        -(self.pin_offset() / (self.rod_length() + self.crank_radius())).asin()
    }

    /// The throw's angle from the cylinder axis at true bottom dead centre: 180 deg - asin(d / (l - r)).
    pub fn bottom_dead_centre(&self) -> Angle {
        Angle::from_si(PI) - (self.pin_offset() / (self.rod_length() - self.crank_radius())).asin()
    }

    /// Distance of the piston below true top dead centre.
    ///
    /// x = h - (r cos(phi) + sqrt(l^2 - (r sin(phi) + d)^2)), with h the pin height at top dead centre.
    ///
    /// # Source
    /// Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.4 and 2.5, for d = 0 (from memory).
    pub fn piston_position(&self, angle: Angle) -> Length {
        let (sin, cos) = (angle + self.top_dead_centre()).si().sin_cos();
        Length::from_si(self.slider_crank().position(sin, cos))
    }

    /// Velocity of the piston, positive away from the head.
    ///
    /// v = w r (sin(phi) + cos(phi) (r sin(phi) + d) / sqrt(l^2 - (r sin(phi) + d)^2)).
    ///
    /// # Source
    /// Heywood (1988), eq. 2.11, for d = 0 (from memory).
    pub fn piston_velocity(&self, angle: Angle, speed: AngularVelocity) -> Velocity {
        let t = self.triangle(angle);
        Velocity::from_si(speed.si() * t.radius * (t.sin + t.cos * t.lateral / t.along))
    }

    /// Acceleration of the piston at steady speed, positive away from the head: largest at top dead centre.
    ///
    /// a = w^2 (r cos(phi) + (r^2 cos(phi)^2 - r sin(phi) y) / z + r^2 cos(phi)^2 y^2 / z^3), with y = r sin(phi) + d and
    /// z = sqrt(l^2 - y^2).
    ///
    /// # Source
    /// The derivative of [`Cylinder::piston_velocity`].
    pub fn piston_acceleration(&self, angle: Angle, speed: AngularVelocity) -> Acceleration {
        let t = self.triangle(angle);
        let (y, z, rc) = (t.lateral, t.along, t.radius * t.cos);
        let bracket = rc + (rc * rc - t.radius * t.sin * y) / z + rc * rc * y * y / (z * z * z);
        Acceleration::from_si(speed.si() * speed.si() * bracket)
    }

    /// Angle of the rod to the cylinder axis, positive with the crankpin on the side it moves to after top dead centre:
    /// asin((r sin(phi) + d) / l).
    pub fn rod_angle(&self, angle: Angle) -> Angle {
        let t = self.triangle(angle);
        Angle::from_si((t.lateral / self.rod_length().si()).asin())
    }

    /// Volume above the piston: clearance volume + bore area x piston position.
    ///
    /// # Source
    /// Heywood (1988), eq. 2.4 (from memory).
    pub fn cylinder_volume(&self, angle: Angle, clearance: Volume) -> Volume {
        clearance + self.area() * self.piston_position(angle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cylinder(stroke: f64, rod: f64, offset: f64) -> Cylinder {
        let l = |x: f64| Length::from_si(x / 1000.0);
        Cylinder::new(l(86.0), l(stroke), l(rod), l(offset)).unwrap()
    }

    proptest! {
        #[test]
        fn velocity_and_acceleration_are_the_derivatives(s in 40.0..120.0f64, n in 1.3..3.0f64, d in -4.0..4.0f64, at in -7.0..7.0f64) {
            let c = cylinder(s, s * n, d);
            let (w, h) = (AngularVelocity::from_si(1.0), 1e-4);
            let x = |a: f64| c.piston_position(Angle::from_si(a)).si();
            let v = |a: f64| c.piston_velocity(Angle::from_si(a), w).si();
            prop_assert!(((x(at + h) - x(at - h)) / (2.0 * h) - v(at)).abs() < 1e-8);
            let a = c.piston_acceleration(Angle::from_si(at), w).si();
            prop_assert!(((v(at + h) - v(at - h)) / (2.0 * h) - a).abs() < 1e-7);
        }

        #[test]
        fn the_dead_centres_bound_the_motion(s in 40.0..120.0f64, n in 1.3..3.0f64, d in -4.0..4.0f64, at in -7.0..7.0f64) {
            let c = cylinder(s, s * n, d);
            let x = c.piston_position(Angle::from_si(at)).si();
            prop_assert!(x >= -1e-12 && x <= c.travel().si() + 1e-12);
            let bottom = c.piston_position(c.bottom_dead_centre() - c.top_dead_centre());
            prop_assert!((bottom.si() - c.travel().si()).abs() < 1e-12);
        }
    }
}
