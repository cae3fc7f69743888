//! Unbalance of a rigid rotor: vectors, planes, static and couple part, and how much may remain by balance quality grade.
//!
//! A vector says where the rotor is *heavy*. Angles are counted on the rotor from its mark, positive in running direction. What to do about it
//! has names of its own: [`UnbalanceVector::add_at`] and [`UnbalanceVector::remove_at`].

use crate::error::{Result, finite, finite_positive, non_negative};
use crate::units::{Angle, AngularVelocity, Dimensioned, Force, Length, Mass, Unbalance};
use core::f64::consts::{PI, TAU};
use num_complex::Complex64;

mod grade;
mod planes;

pub use grade::{BalanceGrade, BearingAllocation, allocate_to_bearings, allocate_to_planes};
pub use planes::{CoupleUnbalance, PlacedUnbalance, RotorUnbalance, to_planes};

/// An unbalance in one plane across the shaft: how much, and at which angle the rotor is heavy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnbalanceVector {
    amount: Unbalance,
    angle: Angle,
}

impl UnbalanceVector {
    /// Heavy by `amount` at `angle`; the angle is kept from 0 to below 360 deg.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for an amount below zero.
    pub fn heavy_at(amount: Unbalance, angle: Angle) -> Result<Self> {
        let amount = non_negative("unbalance", amount)?;
        Ok(Self { amount, angle: within_a_turn(finite("angle", angle)?) })
    }

    /// A mass at a radius: mass x radius.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a mass or a radius below zero.
    ///
    /// # Example
    /// ```
    /// use swept::{balance::unbalance::UnbalanceVector, units::parse};
    /// let bolt = UnbalanceVector::from_mass(parse("12 g")?, parse("80 mm")?, parse("30 deg")?)?;
    /// assert!((bolt.amount().value - 960e-6).abs() < 1e-18);
    /// assert!((bolt.add_at().value.to_degrees() - 210.0).abs() < 1e-9);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn from_mass(mass: Mass, radius: Length, angle: Angle) -> Result<Self> {
        let amount = non_negative("mass", mass)?.si() * non_negative("radius", radius)?.si();
        Self::heavy_at(Unbalance::from_si(amount), angle)
    }

    /// From the vector as a complex number, kg m: real part towards angle zero, imaginary part towards 90 deg.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`].
    pub fn from_complex(vector: Complex64) -> Result<Self> {
        Self::heavy_at(Unbalance::from_si(vector.norm()), Angle::from_si(vector.arg()))
    }

    /// No unbalance.
    pub fn none() -> Self {
        Self { amount: Unbalance::from_si(0.0), angle: Angle::from_si(0.0) }
    }

    /// How much.
    pub fn amount(&self) -> Unbalance {
        self.amount
    }

    /// The angle at which it is heavy, from 0 to below 360 deg.
    pub fn angle(&self) -> Angle {
        self.angle
    }

    /// As a complex number, kg m.
    pub fn complex(&self) -> Complex64 {
        Complex64::from_polar(self.amount.si(), self.angle.si())
    }

    /// The angle at which weight is added to correct it: opposite the heavy spot.
    pub fn add_at(&self) -> Angle {
        within_a_turn(self.angle + Angle::from_si(PI))
    }

    /// The angle at which weight is taken off to correct it: at the heavy spot.
    pub fn remove_at(&self) -> Angle {
        self.angle
    }

    /// The opposite vector: the unbalance that a correction weight must bring, heavy where weight is added.
    pub fn opposite(&self) -> Self {
        Self { amount: self.amount, angle: self.add_at() }
    }

    /// The vector times a number; below zero it points the other way.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`].
    pub fn scaled(&self, factor: f64) -> Result<Self> {
        let size = Self { amount: Unbalance::from_si(self.amount.si() * factor.abs()), angle: self.angle };
        let size = Self::heavy_at(size.amount, size.angle)?;
        Ok(if factor < 0.0 { size.opposite() } else { size })
    }

    /// The sum of vectors in one plane; of none, no unbalance.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`] for a sum beyond what a number holds.
    pub fn sum(vectors: &[Self]) -> Result<Self> {
        Self::from_complex(vectors.iter().map(Self::complex).sum())
    }

    /// The mass that makes this unbalance at a radius: amount / radius.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a radius not above zero.
    pub fn mass_at(&self, radius: Length) -> Result<Mass> {
        Ok(self.amount / finite_positive("radius", radius)?)
    }

    /// The force that turns with the rotor: amount x speed^2.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a speed not above zero.
    pub fn force(&self, speed: AngularVelocity) -> Result<Force> {
        let w = finite_positive("speed", speed)?.si();
        Ok(Force::from_si(self.amount.si() * w * w))
    }
}

/// The angle from 0 to below 360 deg.
pub(super) fn within_a_turn(angle: Angle) -> Angle {
    let turned = angle.si().rem_euclid(TAU);
    // The remainder of an angle just below zero rounds to a whole turn.
    Angle::from_si(if turned >= TAU { 0.0 } else { turned })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn m(x: f64) -> Length {
        Length::from_si(x)
    }

    fn deg(x: f64) -> Angle {
        Angle::from_si(x.to_radians())
    }

    fn heavy(amount: f64, angle: f64) -> UnbalanceVector {
        UnbalanceVector::heavy_at(Unbalance::from_si(amount), deg(angle)).unwrap()
    }

    fn placed(amount: f64, angle: f64, position: f64) -> PlacedUnbalance {
        PlacedUnbalance::new(heavy(amount, angle), m(position)).unwrap()
    }

    fn same(a: Complex64, b: Complex64, scale: f64) -> bool {
        (a - b).norm() <= 1e-12 * scale
    }

    #[test]
    fn weight_is_added_opposite_the_heavy_spot_and_removed_at_it() {
        let u = heavy(2.0, 30.0);
        assert_relative_eq!(u.add_at().si(), 210f64.to_radians(), max_relative = 1e-15);
        assert_eq!(u.remove_at(), u.angle());
        assert_eq!(u.opposite().angle(), u.add_at());
        assert!(UnbalanceVector::sum(&[u, u.opposite()]).unwrap().amount().si() < 1e-15);
        assert_relative_eq!(heavy(2.0, 200.0).add_at().si(), 20f64.to_radians(), max_relative = 1e-14);
        assert_eq!(heavy(1.0, -1e-30).angle().si(), 0.0);
    }

    #[test]
    fn a_mass_at_a_radius_and_back() {
        let u = UnbalanceVector::from_mass(Mass::from_si(0.012), m(0.08), deg(-90.0)).unwrap();
        assert_relative_eq!(u.amount().si(), 0.96e-3, max_relative = 1e-15);
        assert_relative_eq!(u.angle().si(), 270f64.to_radians(), max_relative = 1e-15);
        assert_relative_eq!(u.mass_at(m(0.04)).unwrap().si(), 0.024, max_relative = 1e-15);
        assert_relative_eq!(
            u.force(AngularVelocity::from_si(100.0)).unwrap().si(),
            9.6,
            max_relative = 1e-14
        );
    }

    /// One plane at 90 deg and another opposite: nothing remains but a couple.
    #[test]
    fn a_pure_couple_has_no_static_part() {
        let pair = [placed(2e-3, 270.0, 0.1), placed(2e-3, 90.0, 0.5)];
        let rotor = RotorUnbalance::new(&pair, m(0.2)).unwrap();
        assert!(rotor.static_part().amount().si() < 1e-17);
        assert_relative_eq!(rotor.couple_part().amount, 8e-4, max_relative = 1e-14);
        assert_relative_eq!(rotor.couple_part().angle.si(), 90f64.to_radians(), max_relative = 1e-14);
        let [a, b] = rotor.couple_in(m(0.0), m(0.8)).unwrap();
        assert_relative_eq!(b.vector().amount().si(), 1e-3, max_relative = 1e-14);
        assert_relative_eq!(b.vector().angle().si(), 90f64.to_radians(), max_relative = 1e-14);
        assert_relative_eq!(a.vector().angle().si(), 270f64.to_radians(), max_relative = 1e-14);
        let [a, b] = rotor.couple_in(m(0.8), m(0.0)).unwrap();
        assert_relative_eq!(a.vector().angle().si(), 90f64.to_radians(), max_relative = 1e-14);
        assert_relative_eq!(b.vector().angle().si(), 270f64.to_radians(), max_relative = 1e-14);
    }

    /// Levers by hand: 3 kg m at a quarter of the span stands as 2.25 and 0.75; outside the planes one share turns over.
    #[test]
    fn one_plane_stands_in_two_by_its_levers() {
        let [a, b] = to_planes(&[placed(3.0, 40.0, 0.25)], m(0.0), m(1.0)).unwrap();
        assert_relative_eq!(a.vector().amount().si(), 2.25, max_relative = 1e-14);
        assert_relative_eq!(b.vector().amount().si(), 0.75, max_relative = 1e-14);
        assert_relative_eq!(a.vector().angle().si(), 40f64.to_radians(), max_relative = 1e-14);
        let [a, b] = to_planes(&[placed(3.0, 40.0, 1.5)], m(0.0), m(1.0)).unwrap();
        assert_relative_eq!(b.vector().amount().si(), 4.5, max_relative = 1e-14);
        assert_relative_eq!(a.vector().amount().si(), 1.5, max_relative = 1e-13);
        assert_relative_eq!(a.vector().angle().si(), 220f64.to_radians(), max_relative = 1e-13);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        let kind = |r: Result<UnbalanceVector>| r.unwrap_err().kind();
        assert_eq!(
            kind(UnbalanceVector::heavy_at(Unbalance::from_si(-1.0), deg(0.0))),
            ErrorKind::OutOfRange
        );
        assert_eq!(
            kind(UnbalanceVector::heavy_at(Unbalance::from_si(1.0), deg(f64::NAN))),
            ErrorKind::NotFinite
        );
        assert_eq!(kind(UnbalanceVector::from_complex(Complex64::new(f64::NAN, 0.0))), ErrorKind::NotFinite);
        assert_eq!(
            kind(UnbalanceVector::from_mass(Mass::from_si(1.0), m(-1.0), deg(0.0))),
            ErrorKind::OutOfRange
        );
        assert_eq!(kind(heavy(1.0, 0.0).scaled(f64::NAN)), ErrorKind::NotFinite);
        assert!(heavy(1.0, 0.0).mass_at(m(0.0)).is_err());
        let u = [placed(1.0, 0.0, 0.0)];
        assert_eq!(to_planes(&u, m(0.3), m(0.3)).unwrap_err().kind(), ErrorKind::OutOfRange);
        assert_eq!(to_planes(&u, m(0.3), m(f64::INFINITY)).unwrap_err().kind(), ErrorKind::NotFinite);
        assert_eq!(to_planes(&[], m(0.0), m(1.0)).unwrap_err().kind(), ErrorKind::WrongLength);
        assert!(RotorUnbalance::new(&u, m(0.0)).unwrap().couple_in(m(1.0), m(1.0)).is_err());
    }

    fn vectors() -> impl Strategy<Value = Vec<PlacedUnbalance>> {
        let one = (0.0..1.0f64, 0.0..360.0f64, -1.0..1.0f64).prop_map(|(u, angle, z)| placed(u, angle, z));
        proptest::collection::vec(one, 1..6)
    }

    proptest! {
        #[test]
        fn two_planes_keep_the_resultant_and_the_moment_about_any_point(u in vectors(), a in -1.0..-0.1f64, span in 0.2..2.0f64, point in -1.0..1.0f64) {
            let pair = to_planes(&u, m(a), m(a + span)).unwrap();
            let (before, after) = (RotorUnbalance::new(&u, m(point)).unwrap(), RotorUnbalance::new(&pair, m(point)).unwrap());
            prop_assert!(same(before.static_part().complex(), after.static_part().complex(), 100.0));
            prop_assert!(same(before.moment, after.moment, 100.0));
        }

        #[test]
        fn static_and_couple_part_together_are_the_dynamic_unbalance(u in vectors(), a in -1.0..-0.1f64, span in 0.2..2.0f64, centre in -1.0..1.0f64) {
            let (b, rotor) = (a + span, RotorUnbalance::new(&u, m(centre)).unwrap());
            let at_centre = PlacedUnbalance::new(rotor.static_part(), m(centre)).unwrap();
            let of_static = to_planes(&[at_centre], m(a), m(b)).unwrap();
            let of_couple = rotor.couple_in(m(a), m(b)).unwrap();
            let direct = to_planes(&u, m(a), m(b)).unwrap();
            for (d, r) in direct.iter().zip(&rotor.dynamic_in(m(a), m(b)).unwrap()) {
                prop_assert!(same(d.vector().complex(), r.vector().complex(), 1000.0));
            }
            for ((s, c), d) in of_static.iter().zip(&of_couple).zip(&direct) {
                prop_assert!(same(s.vector().complex() + c.vector().complex(), d.vector().complex(), 1000.0));
            }
        }

        #[test]
        fn scaling_and_opposites_agree(amount in 0.0..10.0f64, angle in -720.0..720.0f64, factor in -5.0..5.0f64) {
            let u = heavy(amount, angle);
            prop_assert!((0.0..TAU).contains(&u.angle().si()) && (0.0..TAU).contains(&u.add_at().si()));
            prop_assert!(same(u.scaled(factor).unwrap().complex(), u.complex() * factor, 100.0));
            prop_assert!(same(u.opposite().complex(), -u.complex(), 100.0));
            prop_assert!(same(UnbalanceVector::from_complex(u.complex()).unwrap().complex(), u.complex(), 100.0));
        }
    }
}
