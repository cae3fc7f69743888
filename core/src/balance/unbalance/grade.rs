//! How much unbalance may remain: balance quality grades, and the allowance shared out to bearings and correction planes.

use super::planes::span_of;
use crate::error::{Error, Result, finite_positive, non_negative};
use crate::units::{AngularVelocity, Dimensioned, Length, Mass, Unbalance, Velocity};

/// A balance quality grade: the speed of the centre of mass about the shaft's axis that may remain, e_per x omega.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct BalanceGrade {
    millimetres_per_second: f64,
}

impl BalanceGrade {
    /// The grades of the standard, mm/s, finest first.
    ///
    /// # Source
    /// ISO 21940-11 (formerly ISO 1940-1), table 1 (from memory).
    pub const TABLE: [f64; 11] = [0.4, 1.0, 2.5, 6.3, 16.0, 40.0, 100.0, 250.0, 630.0, 1600.0, 4000.0];

    /// A grade between those of the table, as may be agreed.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a velocity not above zero.
    pub fn new(velocity: Velocity) -> Result<Self> {
        let written = finite_positive("balance quality grade", velocity)?.si() * 1e3;
        let same = |grade: &f64| (grade - written).abs() <= 4.0 * f64::EPSILON * written;
        Ok(Self { millimetres_per_second: Self::TABLE.into_iter().find(same).unwrap_or(written) })
    }

    /// Reads "G 6.3", "G6.3" or "6.3", a grade of [`BalanceGrade::TABLE`].
    ///
    /// # Errors
    /// [`Error::Unreadable`]; [`Error::OutOfRange`] for a number that is no grade of the table.
    ///
    /// # Example
    /// ```
    /// use swept::{balance::unbalance::BalanceGrade, units::parse};
    /// let grade = BalanceGrade::parse("G 6.3")?;
    /// let permissible = grade.permissible(parse("30 kg")?, parse("3000 rpm")?)?;
    /// assert!((permissible.value * 1e6 - 601.6057).abs() < 1e-4);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let number = text.trim().trim_start_matches(['G', 'g']).trim_start();
        let value: f64 = number.parse().map_err(|_| Error::Unreadable {
            value: text.into(),
            reason: "a balance quality grade is written such as \"G 6.3\"".into(),
        })?;
        match Self::TABLE.into_iter().find(|grade| *grade == value) {
            Some(millimetres_per_second) => Ok(Self { millimetres_per_second }),
            None => Err(Error::OutOfRange {
                field: "balance quality grade".into(),
                value: text.into(),
                allowed: Self::TABLE.map(|grade| format!("G {grade}")).join(", "),
            }),
        }
    }

    /// The velocity that it stands for.
    pub fn velocity(&self) -> Velocity {
        Velocity::from_si(self.millimetres_per_second / 1e3)
    }

    /// Permissible distance of the centre of mass from the shaft's axis: e_per = G / omega.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a speed not above zero.
    ///
    /// # Source
    /// ISO 21940-11 (formerly ISO 1940-1), permissible specific unbalance (from memory).
    pub fn permissible_eccentricity(&self, speed: AngularVelocity) -> Result<Length> {
        Ok(Length::from_si(self.velocity().si() / finite_positive("speed", speed)?.si()))
    }

    /// Permissible residual unbalance of the whole rotor at its highest service speed: U_per = e_per m.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a mass or a speed not above zero.
    ///
    /// # Source
    /// ISO 21940-11 (formerly ISO 1940-1), permissible residual unbalance (from memory).
    pub fn permissible(&self, mass: Mass, speed: AngularVelocity) -> Result<Unbalance> {
        Ok(self.permissible_eccentricity(speed)? * finite_positive("mass of the rotor", mass)?)
    }

    /// The finest grade of the table that a residual unbalance meets; none where it is coarser than all.
    ///
    /// # Errors
    /// As [`BalanceGrade::permissible`]; [`Error::OutOfRange`] for a residual below zero.
    pub fn met_by(residual: Unbalance, mass: Mass, speed: AngularVelocity) -> Result<Option<Self>> {
        let residual = non_negative("residual unbalance", residual)?;
        for millimetres_per_second in Self::TABLE {
            let grade = Self { millimetres_per_second };
            if residual <= grade.permissible(mass, speed)? {
                return Ok(Some(grade));
            }
        }
        Ok(None)
    }
}

impl core::fmt::Display for BalanceGrade {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "G {}", self.millimetres_per_second)
    }
}

/// What may remain in the planes of the two bearings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BearingAllocation {
    /// In the plane of bearing A.
    pub a: Unbalance,
    /// In the plane of bearing B.
    pub b: Unbalance,
    /// Whether the shares of the distances were beyond 0.3 to 0.7 and were brought back to that.
    pub limited: bool,
}

/// Least and greatest share of one bearing; ISO 21940-11 (formerly ISO 1940-1), rotors with the centre of mass between the bearings (from memory).
const BEARING_SHARES: (f64, f64) = (0.3, 0.7);

/// The permissible residual unbalance shared out to the planes of the two bearings, for a centre of mass between them: U_A = U_per L_B / L,
/// U_B = U_per L_A / L, each from 0.3 to 0.7 U_per, with the distances L_A and L_B of the bearings from the centre of mass and L = L_A + L_B.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for an unbalance or a distance below zero (a centre of mass outside the bearings has other limits), or
/// bearings in one place.
///
/// # Source
/// ISO 21940-11 (formerly ISO 1940-1), allocation to tolerance planes (from memory).
pub fn allocate_to_bearings(
    permissible: Unbalance,
    centre_to_a: Length,
    centre_to_b: Length,
) -> Result<BearingAllocation> {
    let whole = non_negative("permissible unbalance", permissible)?;
    let to_a = non_negative("distance to bearing A", centre_to_a)?;
    let to_b = non_negative("distance to bearing B", centre_to_b)?;
    let length = finite_positive("distance of the bearings", to_a + to_b)?;
    let (least, most) = BEARING_SHARES;
    let share = |to_other: Length| (to_other / length).si().clamp(least, most);
    let limited = (to_b / length).si() != share(to_b) || (to_a / length).si() != share(to_a);
    Ok(BearingAllocation { a: whole * share(to_b), b: whole * share(to_a), limited })
}

/// What may remain in two correction planes so that neither bearing's allowance is passed at whatever angles: the greatest pair in the ratio of
/// the bearings' allowances. The first plane is that nearer to bearing A.
///
/// With k_Aj = (z_B - p_j) / (z_B - z_A) of plane j at bearing A and k_Bj = (p_j - z_A) / (z_B - z_A) at bearing B, the pair is (s U_A, s U_B) with
/// the greatest s for which s (|k_A1| U_A + |k_A2| U_B) <= U_A and s (|k_B1| U_A + |k_B2| U_B) <= U_B.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for allowances not above zero, bearings or planes in one place.
///
/// # Source
/// Levers, at the worst angles; derived here.
pub fn allocate_to_planes(
    allowed: BearingAllocation,
    bearings: [Length; 2],
    planes: [Length; 2],
) -> Result<[Unbalance; 2]> {
    let a = finite_positive("allowance of bearing A", allowed.a)?;
    let b = finite_positive("allowance of bearing B", allowed.b)?;
    let ([at_a, at_b], [first, second]) = (bearings, planes);
    let span = span_of(at_a, at_b)?;
    span_of(first, second)?;
    let load = |bearing: Length| {
        a * ((first - bearing).si() / span).abs() + b * ((second - bearing).si() / span).abs()
    };
    let scale = (a / load(at_b)).si().min((b / load(at_a)).si());
    Ok([a * scale, b * scale])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use crate::balance::unbalance::{PlacedUnbalance, UnbalanceVector, to_planes};
    use crate::units::{Angle, parse};
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn m(x: f64) -> Length {
        Length::from_si(x)
    }

    fn kgm(x: f64) -> Unbalance {
        Unbalance::from_si(x)
    }

    /// A tool catalogue's worked example of ISO 1940-1: G 6.3, 2 kg, 10000 rpm give 12 g mm.
    #[test]
    fn permissible_unbalance_of_a_worked_example() {
        let u = BalanceGrade::parse("G 6.3")
            .unwrap()
            .permissible(parse("2 kg").unwrap(), parse("10000 rpm").unwrap());
        assert_relative_eq!(u.unwrap().si() * 1e6, 12.0321, max_relative = 1e-5);
    }

    /// ISO 1940-1 allocation (from memory): 200 and 300 mm from the centre of mass share 0.6 and 0.4.
    #[test]
    fn allowance_is_shared_by_the_distances_within_limits() {
        let grade = BalanceGrade::parse("6.3").unwrap();
        let whole = grade.permissible(parse("30 kg").unwrap(), parse("3000 rpm").unwrap()).unwrap();
        let shared = allocate_to_bearings(whole, m(0.2), m(0.3)).unwrap();
        assert!(
            (shared.a.si() * 1e6 - 360.9634).abs() < 1e-4 && (shared.b.si() * 1e6 - 240.6423).abs() < 1e-4
        );
        assert!(!shared.limited);
        let shared = allocate_to_bearings(whole, m(0.05), m(0.45)).unwrap();
        assert_relative_eq!(shared.a.si(), 0.7 * whole.si(), max_relative = 1e-15);
        assert_relative_eq!(shared.b.si(), 0.3 * whole.si(), max_relative = 1e-15);
        assert!(shared.limited);
        assert!(allocate_to_bearings(whole, m(-0.1), m(0.45)).is_err());
        assert!(allocate_to_bearings(whole, m(0.0), m(0.0)).is_err());
    }

    #[test]
    fn grades_are_read_and_written() {
        for text in ["G 6.3", "G6.3", " 6.3", "g 6.30"] {
            assert_eq!(BalanceGrade::parse(text).unwrap().to_string(), "G 6.3", "{text}");
        }
        for grade in BalanceGrade::TABLE {
            let read = BalanceGrade::parse(&format!("G {grade}")).unwrap();
            assert_eq!(BalanceGrade::new(read.velocity()).unwrap(), read);
        }
        let kind = |text: &str| BalanceGrade::parse(text).unwrap_err().kind();
        assert_eq!(kind("G 6.4"), ErrorKind::OutOfRange);
        assert_eq!(kind("nan"), ErrorKind::OutOfRange);
        assert_eq!(kind("G"), ErrorKind::Unreadable);
        assert_eq!(kind("fine"), ErrorKind::Unreadable);
        assert!(BalanceGrade::parse("7").unwrap_err().allowed().unwrap().contains("G 0.4, G 1, G 2.5"));
        assert!(BalanceGrade::new(Velocity::from_si(0.0)).is_err());
    }

    #[test]
    fn a_residual_meets_a_grade_up_to_its_limit() {
        let (mass, speed) = (Mass::from_si(12.0), AngularVelocity::from_si(700.0));
        let met = |u: Unbalance| BalanceGrade::met_by(u, mass, speed).unwrap().map(|g| g.to_string());
        let limit = BalanceGrade::parse("2.5").unwrap().permissible(mass, speed).unwrap();
        assert_eq!(met(limit).as_deref(), Some("G 2.5"));
        assert_eq!(met(limit * 1.0001).as_deref(), Some("G 6.3"));
        assert_eq!(met(kgm(0.0)).as_deref(), Some("G 0.4"));
        assert_eq!(met(kgm(1.0)), None);
        assert!(BalanceGrade::met_by(kgm(-1.0), mass, speed).is_err());
        assert!(BalanceGrade::met_by(kgm(f64::NAN), mass, speed).is_err());
        assert!(BalanceGrade::met_by(kgm(1.0), mass, AngularVelocity::from_si(0.0)).is_err());
    }

    #[test]
    fn planes_at_the_bearings_have_the_bearings_allowance() {
        let allowed = BearingAllocation { a: kgm(3.0), b: kgm(2.0), limited: false };
        let bearings = [m(0.1), m(0.6)];
        let pair = allocate_to_planes(allowed, bearings, bearings).unwrap();
        assert_relative_eq!(pair[0].si(), 3.0, max_relative = 1e-14);
        assert_relative_eq!(pair[1].si(), 2.0, max_relative = 1e-14);
        assert!(allocate_to_planes(allowed, bearings, [m(0.2), m(0.2)]).is_err());
        assert!(allocate_to_planes(allowed, [m(0.2), m(0.2)], bearings).is_err());
    }

    proptest! {
        #[test]
        fn neither_bearing_is_passed_at_any_angles_and_one_is_reached(
            share in 0.3..0.7f64, p in -0.5..1.5f64, apart in 0.05..1.5f64, angle in 0.0..360.0f64
        ) {
            let allowed = BearingAllocation { a: kgm(share), b: kgm(1.0 - share), limited: false };
            let (bearings, planes) = ([m(0.0), m(1.0)], [m(p), m(p + apart)]);
            let pair = allocate_to_planes(allowed, bearings, planes).unwrap();
            let at_bearings = |angle: f64| {
                let u = |amount, angle: f64, z| {
                    let vector = UnbalanceVector::heavy_at(amount, Angle::from_si(angle.to_radians())).unwrap();
                    PlacedUnbalance::new(vector, z).unwrap()
                };
                let [a, b] = to_planes(&[u(pair[0], 0.0, planes[0]), u(pair[1], angle, planes[1])], m(0.0), m(1.0)).unwrap();
                (a.vector().amount().si() / allowed.a.si(), b.vector().amount().si() / allowed.b.si())
            };
            let (a, b) = at_bearings(angle);
            prop_assert!(a <= 1.0 + 1e-12 && b <= 1.0 + 1e-12);
            let (in_line, across) = (at_bearings(0.0), at_bearings(180.0));
            let worst = in_line.0.max(in_line.1).max(across.0).max(across.1);
            prop_assert!((worst - 1.0).abs() < 1e-9);
        }

        #[test]
        fn a_finer_grade_a_lighter_rotor_a_higher_speed_allow_less(i in 0usize..10, mass in 0.1..500.0f64, speed in 10.0..5000.0f64) {
            let permissible = |i: usize, mass: f64, speed: f64| {
                let grade = BalanceGrade::new(Velocity::from_si(BalanceGrade::TABLE[i] / 1e3)).unwrap();
                grade.permissible(Mass::from_si(mass), AngularVelocity::from_si(speed)).unwrap()
            };
            let here = permissible(i, mass, speed);
            prop_assert!(permissible(i + 1, mass, speed) > here);
            prop_assert!(permissible(i, mass * 1.1, speed) > here);
            prop_assert!(permissible(i, mass, speed * 1.1) < here);
        }
    }
}
