//! Walls left around and between bores, and the stress in them.

use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, Pressure, written};

/// Wall left between two neighbouring bores: bore spacing - bore. Negative where they would meet.
#[inline]
pub fn wall_between_bores(spacing: Length, bore: Length) -> Length {
    spacing - bore
}

/// Wall left at a reading after an overbore: wall - (new bore - bore) / 2 - shift.
///
/// `shift_towards` is how far the bore's centre is moved towards that reading; zero when the bore keeps its centre.
pub fn wall_after_overbore(wall: Length, bore: Length, new_bore: Length, shift_towards: Length) -> Length {
    wall - (new_bore - bore) / 2.0 - shift_towards
}

/// Wall thickness read at one angle around a bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WallReading {
    /// From the front of the block, clockwise seen from the deck.
    pub angle: Angle,
    /// The thickness there.
    pub wall: Length,
}

/// The reading with the thinnest wall; the first of equals.
///
/// # Errors
/// [`Error::WrongLength`] without readings, [`Error::NotFinite`] for a reading that is no number.
pub fn thinnest_wall(readings: &[WallReading]) -> Result<WallReading> {
    let mut thinnest: Option<WallReading> = None;
    for reading in readings {
        finite("wall", reading.wall)?;
        if thinnest.is_none_or(|t| reading.wall < t.wall) {
            thinnest = Some(*reading);
        }
    }
    thinnest.ok_or_else(|| Error::WrongLength {
        field: "wall readings".into(),
        found: 0,
        expected: "at least 1".into(),
    })
}

/// The largest bore, kept on its centre, that leaves a least wall at every reading.
///
/// # Errors
/// [`Error::WrongLength`] without readings; [`Error::NoSolution`] where even the present bore leaves less;
/// [`Error::OutOfRange`] unless the bore is above zero and the least wall zero or more.
pub fn bore_for_wall(readings: &[WallReading], bore: Length, least: Length) -> Result<Length> {
    let bore = finite_positive("bore", bore)?;
    let least = non_negative("least wall", least)?;
    let wall = thinnest_wall(readings)?.wall;
    let most = bore + 2.0 * wall.abs() + 2.0 * least;
    let off = |new: f64| {
        Ok((wall_after_overbore(wall, bore, Length::from_si(new), Length::from_si(0.0)) - least).si())
    };
    bracketed("bore", bore.si(), most.si(), off).map(Length::from_si)
}

/// A thick-walled cylinder under inner and outer pressure (Lame); tension positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThickCylinder {
    inner: Length,
    outer: Length,
}

impl ThickCylinder {
    /// From its inner and outer radius.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless 0 < inner < outer.
    pub fn new(inner_radius: Length, outer_radius: Length) -> Result<Self> {
        let inner = finite_positive("inner radius", inner_radius)?;
        let outer = finite_positive("outer radius", outer_radius)?;
        if outer <= inner {
            return Err(out_of_range(
                "outer radius",
                outer,
                format!("above the inner radius, {}", written(inner)),
            ));
        }
        Ok(Self { inner, outer })
    }

    /// The constants A and B of Lame's equations, in Pa and Pa m2.
    fn constants(&self, p_in: Pressure, p_out: Pressure) -> (f64, f64) {
        let (a2, b2) = (self.inner.si().powi(2), self.outer.si().powi(2));
        let (pi, po) = (p_in.si(), p_out.si());
        ((pi * a2 - po * b2) / (b2 - a2), (pi - po) * a2 * b2 / (b2 - a2))
    }

    fn radius(&self, radius: Length) -> Result<f64> {
        let radius = finite("radius", radius)?;
        if radius >= self.inner && radius <= self.outer {
            return Ok(radius.si());
        }
        let allowed = format!("inside the wall, {} to {}", written(self.inner), written(self.outer));
        Err(out_of_range("radius", radius, allowed))
    }

    /// Hoop stress at a radius: A + B / r^2, with A = (p_i a^2 - p_o b^2) / (b^2 - a^2) and
    /// B = (p_i - p_o) a^2 b^2 / (b^2 - a^2).
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a radius outside the wall; [`Error::NotFinite`].
    ///
    /// # Source
    /// Lame; Boresi and Schmidt, Advanced Mechanics of Materials, 6th ed., eqs. 11.20 and 11.21 (from memory).
    pub fn hoop_stress(&self, p_in: Pressure, p_out: Pressure, radius: Length) -> Result<Pressure> {
        let r = self.radius(radius)?;
        let (a, b) = self.constants(finite("inner pressure", p_in)?, finite("outer pressure", p_out)?);
        Ok(Pressure::from_si(a + b / (r * r)))
    }

    /// Radial stress at a radius: A - B / r^2; A and B as in [`ThickCylinder::hoop_stress`].
    ///
    /// # Errors
    /// As [`ThickCylinder::hoop_stress`].
    ///
    /// # Source
    /// As [`ThickCylinder::hoop_stress`].
    pub fn radial_stress(&self, p_in: Pressure, p_out: Pressure, radius: Length) -> Result<Pressure> {
        let r = self.radius(radius)?;
        let (a, b) = self.constants(finite("inner pressure", p_in)?, finite("outer pressure", p_out)?);
        Ok(Pressure::from_si(a - b / (r * r)))
    }

    /// Axial stress with closed ends: A, as in [`ThickCylinder::hoop_stress`].
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    ///
    /// # Source
    /// As [`ThickCylinder::hoop_stress`].
    pub fn axial_stress_closed(&self, p_in: Pressure, p_out: Pressure) -> Result<Pressure> {
        let (a, _) = self.constants(finite("inner pressure", p_in)?, finite("outer pressure", p_out)?);
        Ok(Pressure::from_si(a))
    }
}

/// Hoop stress at the bore of a wall of even thickness, nothing pressing from outside (Lame).
///
/// A real wall is held by deck, water jacket and neighbours: this is the plain cylinder's figure, for comparison.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] unless bore and wall are above zero.
///
/// # Source
/// [`ThickCylinder::hoop_stress`].
pub fn wall_hoop_stress(bore: Length, wall: Length, pressure: Pressure) -> Result<Pressure> {
    let wall = finite_positive("wall", wall)?;
    let inner = bore / 2.0;
    ThickCylinder::new(inner, inner + wall)?.hoop_stress(pressure, Pressure::from_si(0.0), inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(x: f64) -> Length {
        Length::from_si(x / 1000.0)
    }

    fn readings(walls: &[f64]) -> Vec<WallReading> {
        let one = |(i, w): (usize, &f64)| WallReading { angle: Angle::from_si(i as f64), wall: mm(*w) };
        walls.iter().enumerate().map(one).collect()
    }

    #[test]
    fn the_thinnest_reading_decides_the_bore() {
        let walls = readings(&[6.0, 5.2, 5.5, 5.2]);
        assert_eq!(thinnest_wall(&walls).unwrap().angle.si(), 1.0);
        let bore = bore_for_wall(&walls, mm(86.0), mm(4.7)).unwrap();
        assert!((bore - mm(87.0)).si().abs() < 1e-12);
        assert!(bore_for_wall(&walls, mm(86.0), mm(5.3)).is_err());
        assert!(thinnest_wall(&[]).is_err());
    }

    #[test]
    fn an_overbore_takes_half_from_each_side_and_a_shift_takes_more() {
        assert!((wall_after_overbore(mm(5.0), mm(86.0), mm(87.0), mm(0.2)) - mm(4.3)).si().abs() < 1e-15);
    }

    proptest! {
        #[test]
        fn stress_at_the_surfaces_balances_the_pressures(a in 10.0..100.0f64, t in 1.0..100.0f64, p in 0.0..1e8f64, q in 0.0..1e8f64) {
            let c = ThickCylinder::new(mm(a), mm(a + t)).unwrap();
            let (p, q) = (Pressure::from_si(p), Pressure::from_si(q));
            prop_assert!((c.radial_stress(p, q, mm(a)).unwrap() + p).si().abs() < 1e-3);
            prop_assert!((c.radial_stress(p, q, mm(a + t)).unwrap() + q).si().abs() < 1e-3);
        }

        #[test]
        fn hoop_stress_rises_as_the_wall_thins(t in 2.0..20.0f64, less in 0.5..0.99f64) {
            let p = Pressure::from_si(9e6);
            let stress = |t: f64| wall_hoop_stress(mm(86.0), mm(t), p).unwrap();
            prop_assert!(stress(t * less) > stress(t));
        }
    }
}
