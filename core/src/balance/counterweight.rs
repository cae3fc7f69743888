//! Counterweights: what a sector of metal weighs at a radius, and how far a crank is from balance before any drilling.

use super::shaking::RotatingMass;
use crate::balance::drill::density_in;
use crate::error::{Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, Mass, Unbalance, written};
use core::f64::consts::PI;

/// A counterweight cheek: a sector of a ring, of even thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CounterweightSector {
    inner_radius: Length,
    outer_radius: Length,
    included_angle: Angle,
    thickness: Length,
    density: f64,
}

impl CounterweightSector {
    /// From its radii, included angle, thickness and the density of its metal, kg/m3, such as [`crate::balance::drill::STEEL_DENSITY`].
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless 0 <= inner < outer radius, the angle is above zero and at most a turn, the thickness
    /// above zero and the density from 1000 to 25 000 kg/m3.
    pub fn new(
        inner_radius: Length,
        outer_radius: Length,
        included_angle: Angle,
        thickness: Length,
        density: f64,
    ) -> Result<Self> {
        let inner_radius = non_negative("inner radius", inner_radius)?;
        let outer_radius = finite_positive("outer radius", outer_radius)?;
        if inner_radius >= outer_radius {
            let allowed = format!("below the outer radius, {}", written(outer_radius));
            return Err(out_of_range("inner radius", inner_radius, allowed));
        }
        let included_angle = finite_positive("included angle", included_angle)?;
        if included_angle.si() > 2.0 * PI * (1.0 + 1e-12) {
            return Err(out_of_range("included angle", included_angle, "at most one turn"));
        }
        let thickness = finite_positive("thickness", thickness)?;
        density_in("density", density, 1000.0, 25_000.0)?;
        let sector = Self { inner_radius, outer_radius, included_angle, thickness, density };
        finite("unbalance of the sector", sector.unbalance())?;
        Ok(sector)
    }

    /// Mass: density x thickness x angle / 2 x (outer^2 - inner^2).
    pub fn mass(&self) -> Mass {
        let squares = self.outer_radius.si().powi(2) - self.inner_radius.si().powi(2);
        Mass::from_si(self.density * self.thickness.si() * self.included_angle.si() / 2.0 * squares)
    }

    /// Mass times the distance of its centre from the axis: density x thickness x 2/3 (outer^3 - inner^3) sin(angle / 2).
    ///
    /// # Source
    /// Integral of the radius over the sector.
    pub fn unbalance(&self) -> Unbalance {
        let cubes = self.outer_radius.si().powi(3) - self.inner_radius.si().powi(3);
        let amount = self.density * self.thickness.si() * 2.0 / 3.0 * cubes;
        Unbalance::from_si(amount * (self.included_angle.si() / 2.0).sin())
    }

    /// The sector as a rotating mass, its middle at an angle and a position of the crank.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`].
    pub fn at(&self, angle: Angle, position: Length) -> Result<RotatingMass> {
        RotatingMass::new(self.unbalance(), angle, position, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::balance::drill::{IRON_DENSITY, STEEL_DENSITY};
    use approx::assert_relative_eq;

    fn mm(x: f64) -> Length {
        Length::from_si(x / 1e3)
    }

    /// Closed form against a sum over small pieces.
    #[test]
    fn a_sector_is_the_sum_of_its_pieces() {
        let (inner, outer, angle, thickness) = (0.030, 0.080, 2.1_f64, 0.022);
        let sector =
            CounterweightSector::new(mm(30.0), mm(80.0), Angle::from_si(angle), mm(22.0), STEEL_DENSITY)
                .unwrap();
        let n = 400;
        let (mut mass, mut moment) = (0.0, 0.0);
        for i in 0..n {
            let r = inner + (outer - inner) * (f64::from(i) + 0.5) / f64::from(n);
            for j in 0..n {
                let phi = angle * ((f64::from(j) + 0.5) / f64::from(n) - 0.5);
                let piece =
                    STEEL_DENSITY * thickness * r * (outer - inner) / f64::from(n) * angle / f64::from(n);
                mass += piece;
                moment += piece * r * phi.cos();
            }
        }
        assert_relative_eq!(sector.mass().si(), mass, max_relative = 1e-5);
        assert_relative_eq!(sector.unbalance().si(), moment, max_relative = 1e-5);
        let ring =
            CounterweightSector::new(mm(30.0), mm(80.0), Angle::from_si(2.0 * PI), mm(22.0), IRON_DENSITY)
                .unwrap();
        assert!(ring.unbalance().si().abs() < 1e-15, "a full ring is balanced");
        assert!(
            CounterweightSector::new(mm(80.0), mm(30.0), Angle::from_si(1.0), mm(22.0), IRON_DENSITY)
                .is_err()
        );
        assert!(
            CounterweightSector::new(mm(30.0), mm(80.0), Angle::from_si(7.0), mm(22.0), IRON_DENSITY)
                .is_err()
        );
        assert!(
            CounterweightSector::new(mm(30.0), mm(80.0), Angle::from_si(1.0), mm(22.0), f64::NAN).is_err()
        );
    }
}
