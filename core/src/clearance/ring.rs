//! Piston ring end gaps.

use crate::error::{Error, Result, finite_positive};
use crate::units::{Force, Length, Pressure};
use core::f64::consts::PI;

/// End gap of a ring in a bore, from the gap it has in another: gap + pi x (bore - gauge bore).
///
/// The ring's length along the bore does not change, so the gap opens by the growth of the circumference.
///
/// # Source
/// Geometry of the circle.
pub fn end_gap_in_bore(gap: Length, gauge_bore: Length, bore: Length) -> Length {
    gap + (bore - gauge_bore) * PI
}

/// Mean pressure of a ring on the wall from its tangential force (ring tension): 2 F / (d h), h the width of the running face.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero.
///
/// # Source
/// Hoop in equilibrium; the form of piston ring handbooks (secondary source), who find 0.12 to 0.25 MPa in compression rings.
pub fn ring_wall_pressure(tangential_force: Force, bore: Length, width: Length) -> Result<Pressure> {
    let force = finite_positive("tangential force", tangential_force)?;
    Ok(force * 2.0 / (finite_positive("bore", bore)? * finite_positive("width", width)?))
}

/// What an engine asks of its rings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RingDuty {
    /// Naturally aspirated, for the street.
    NaturallyAspirated,
    /// With a turbocharger or supercharger.
    Boosted,
    /// With nitrous oxide.
    Nitrous,
}

/// Which compression ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RingPosition {
    /// The first from the crown.
    Top,
    /// The second from the crown.
    Second,
}

/// End gap by the rule of thumb, (least, greatest), for a bore: a share of the bore. The ring maker's figure comes first.
///
/// # Errors
/// [`Error::NotFinite`], [`Error::OutOfRange`] unless the bore is above zero, and for a second ring under boost or nitrous: no
/// rule is kept for those.
///
/// # Source
/// Common practice, no source: 0.0040 to 0.0045 in per in of bore for a top ring naturally aspirated, 0.0050 to 0.0060 boosted,
/// 0.0065 to 0.0070 nitrous; 0.0050 to 0.0055 for a second ring naturally aspirated.
pub fn end_gap_rule(bore: Length, position: RingPosition, duty: RingDuty) -> Result<(Length, Length)> {
    use RingDuty::{Boosted, NaturallyAspirated, Nitrous};
    let bore = finite_positive("bore", bore)?;
    let (least, greatest) = match (position, duty) {
        (RingPosition::Top, NaturallyAspirated) => (0.0040, 0.0045), // common practice, no source
        (RingPosition::Top, Boosted) => (0.0050, 0.0060),            // common practice, no source
        (RingPosition::Top, Nitrous) => (0.0065, 0.0070),            // common practice, no source
        (RingPosition::Second, NaturallyAspirated) => (0.0050, 0.0055), // common practice, no source
        (RingPosition::Second, Boosted | Nitrous) => {
            return Err(Error::OutOfRange {
                field: "duty".into(),
                value: format!("{duty:?}, second ring"),
                allowed: "naturally aspirated; for others take the ring maker's figure".into(),
            });
        }
    };
    Ok((bore * least, bore * greatest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Dimensioned;

    /// Common practice, no source.
    #[test]
    fn the_rule_is_a_share_of_the_bore_and_never_guesses() {
        let inch = |x: f64| Length::from_si(x * 0.0254);
        let (least, greatest) =
            end_gap_rule(inch(4.0), RingPosition::Top, RingDuty::NaturallyAspirated).unwrap();
        assert!((least - inch(0.016)).si().abs() < 1e-12);
        assert!((greatest - inch(0.018)).si().abs() < 1e-12);
        assert!(end_gap_rule(inch(4.0), RingPosition::Second, RingDuty::Boosted).is_err());
        assert!(end_gap_rule(inch(0.0), RingPosition::Top, RingDuty::Boosted).is_err());
    }

    /// A half hoop in equilibrium: the pressure on its diameter is carried by the two ends.
    #[test]
    fn tension_presses_the_ring_to_the_wall() {
        let p =
            ring_wall_pressure(Force::from_si(9.0), Length::from_si(0.086), Length::from_si(1.2e-3)).unwrap();
        assert!((p.si() * 0.086 * 1.2e-3 - 2.0 * 9.0).abs() < 1e-9);
        assert!((0.12e6..0.25e6).contains(&p.si()));
        assert!(
            ring_wall_pressure(Force::from_si(0.0), Length::from_si(0.086), Length::from_si(1.2e-3)).is_err()
        );
    }

    #[test]
    fn a_gap_opens_by_the_circumference() {
        let mm = |x: f64| Length::from_si(x / 1000.0);
        let gap = end_gap_in_bore(mm(0.30), mm(86.0), mm(86.1));
        assert!((gap.si() - (0.3e-3 + PI * 0.1e-3)).abs() < 1e-12);
    }
}
