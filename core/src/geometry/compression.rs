//! Clearance volume, compression ratio, trapped compression ratio, and what gives a ratio.

use super::{Cylinder, deck_clearance};
use crate::error::{Result, finite_positive, non_negative, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, Ratio, Volume, written};
use core::f64::consts::PI;

/// Volume of a disc: pi/4 x diameter^2 x height; negative for a negative height (a piston above the deck).
#[inline]
pub fn disc_volume(diameter: Length, height: Length) -> Volume {
    diameter * diameter * height * (PI / 4.0)
}

/// The crevice between bore and top land, down to the top ring: pi/4 x (bore^2 - land^2) x land height.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless 0 < land diameter <= bore and land height >= 0.
///
/// # Source
/// Geometry; Heywood, Internal Combustion Engine Fundamentals (1988), section 8.6 on crevices (from memory).
pub fn ring_land_crevice(bore: Length, land_diameter: Length, land_height: Length) -> Result<Volume> {
    let bore = finite_positive("bore", bore)?;
    let land = finite_positive("top land diameter", land_diameter)?;
    let height = non_negative("top land height", land_height)?;
    if land > bore {
        return Err(out_of_range("top land diameter", land, format!("at most the bore, {}", written(bore))));
    }
    Ok(disc_volume(bore, height) - disc_volume(land, height))
}

/// The volumes above the piston at top dead centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearanceVolume {
    /// Combustion chamber in the head.
    pub chamber: Volume,
    /// Gasket: its bore x its clamped thickness.
    pub gasket: Volume,
    /// Between crown and deck; negative with the piston above the deck.
    pub deck: Volume,
    /// Crown: dish positive, dome negative.
    pub crown: Volume,
    /// Ring-land crevice.
    pub crevice: Volume,
}

impl ClearanceVolume {
    /// The clearance volume: the sum of its parts.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless above zero.
    pub fn total(&self) -> Result<Volume> {
        finite_positive("clearance volume", self.sum())
    }

    /// The sum, whatever it is.
    #[inline]
    pub(crate) fn sum(&self) -> Volume {
        self.chamber + self.crown + self.gasket + self.deck + self.crevice
    }
}

/// Compression ratio: (swept volume + clearance volume) / clearance volume.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless both volumes are above zero.
///
/// # Source
/// Heywood (1988), eq. 2.1 (from memory).
pub fn compression_ratio(swept: Volume, clearance: Volume) -> Result<Ratio> {
    let swept = finite_positive("swept volume", swept)?;
    let clearance = finite_positive("clearance volume", clearance)?;
    Ok(ratio_of(swept, clearance))
}

/// 1 + swept / clearance, whatever they are.
#[inline]
pub(crate) fn ratio_of(swept: Volume, clearance: Volume) -> Ratio {
    Ratio::from_si(1.0) + swept / clearance
}

/// Trapped (effective) compression ratio: cylinder volume when the intake closes / clearance volume.
///
/// `intake_closing` is after true bottom dead centre, negative before it.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless the clearance volume is above zero and the closing lies
/// within half a turn of bottom dead centre.
///
/// # Source
/// Heywood (1988), section 5.2, the effective compression ratio by volumes (from memory).
pub fn trapped_compression_ratio(
    cylinder: &Cylinder,
    clearance: Volume,
    intake_closing: Angle,
) -> Result<Ratio> {
    let clearance = finite_positive("clearance volume", clearance)?;
    let closing = crate::error::finite("intake closing", intake_closing)?;
    if closing.abs().si() > PI {
        return Err(out_of_range("intake closing", closing, "within 180 deg of bottom dead centre"));
    }
    let bottom = cylinder.bottom_dead_centre() - cylinder.top_dead_centre();
    Ok(cylinder.cylinder_volume(bottom + closing, clearance) / clearance)
}

/// The clearance volume that gives a compression ratio with a swept volume.
///
/// # Errors
/// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] unless the ratio is above one and the swept volume above zero;
/// [`crate::Error::NoSolution`] for ratios beyond 1e9.
pub fn clearance_volume_for(ratio: Ratio, swept: Volume) -> Result<Volume> {
    let ratio = ratio_above_one(ratio)?;
    let swept = finite_positive("swept volume", swept)?;
    // Solved for the share of the swept volume, so that the bracket holds for every ratio above 1 + 1e-9.
    let off = |share: f64| Ok((compression_ratio(swept, swept * share)? - ratio).si());
    Ok(swept * bracketed("clearance volume", 1e-9, 1e9, off)?)
}

fn ratio_above_one(ratio: Ratio) -> Result<Ratio> {
    let ratio = finite_positive("compression ratio", ratio)?;
    if ratio.si() > 1.0 {
        return Ok(ratio);
    }
    Err(out_of_range("compression ratio", ratio, "above 1"))
}

/// The part of the clearance volume, put into `volumes` by `with`, that gives a compression ratio.
fn part_for(
    what: &'static str,
    ratio: Ratio,
    swept: Volume,
    (low, high): (f64, f64),
    with: impl Fn(f64) -> ClearanceVolume,
) -> Result<f64> {
    let needed = clearance_volume_for(ratio, swept)?;
    bracketed(what, low, high, |x| Ok((with(x).sum() - needed).si()))
}

/// The chamber volume that gives a compression ratio, the other parts as they stand.
///
/// # Errors
/// As [`clearance_volume_for`]; [`crate::Error::NoSolution`] where the chamber would be below zero.
pub fn chamber_volume_for(ratio: Ratio, swept: Volume, volumes: ClearanceVolume) -> Result<Volume> {
    let with = |x| ClearanceVolume { chamber: Volume::from_si(x), ..volumes };
    part_for("chamber volume", ratio, swept, (0.0, reach(ratio, swept, volumes)?), with).map(Volume::from_si)
}

/// The crown volume (dish positive, dome negative) that gives a compression ratio, the other parts as they stand.
///
/// # Errors
/// As [`clearance_volume_for`].
pub fn crown_volume_for(ratio: Ratio, swept: Volume, volumes: ClearanceVolume) -> Result<Volume> {
    let with = |x| ClearanceVolume { crown: Volume::from_si(x), ..volumes };
    let most = reach(ratio, swept, volumes)?;
    part_for("crown volume", ratio, swept, (-most, most), with).map(Volume::from_si)
}

/// A volume above that of any part that could give the ratio, SI.
fn reach(ratio: Ratio, swept: Volume, v: ClearanceVolume) -> Result<f64> {
    let parts = v.chamber.abs() + v.gasket.abs() + v.deck.abs() + v.crown.abs() + v.crevice.abs();
    Ok(2.0 * (clearance_volume_for(ratio, swept)? + parts).si())
}

/// The clamped gasket thickness that gives a compression ratio, the other parts as they stand.
///
/// # Errors
/// As [`clearance_volume_for`]; [`crate::Error::OutOfRange`] unless the gasket bore is above zero;
/// [`crate::Error::NoSolution`] where the gasket would be thinner than nothing.
pub fn gasket_thickness_for(
    ratio: Ratio,
    swept: Volume,
    volumes: ClearanceVolume,
    gasket_bore: Length,
) -> Result<Length> {
    let bore = finite_positive("gasket bore", gasket_bore)?;
    let with = |x| ClearanceVolume { gasket: disc_volume(bore, Length::from_si(x)), ..volumes };
    let most = reach(ratio, swept, volumes)? / disc_volume(bore, Length::from_si(1.0)).si();
    part_for("gasket thickness", ratio, swept, (0.0, most), with).map(Length::from_si)
}

/// The deck height that gives a compression ratio; the deck part of `volumes` is replaced.
///
/// # Errors
/// As [`clearance_volume_for`]; [`crate::Error::OutOfRange`] unless the compression height is above zero;
/// [`crate::Error::NoSolution`] where the height would be below zero.
pub fn deck_height_for_ratio(
    ratio: Ratio,
    cylinder: &Cylinder,
    compression_height: Length,
    volumes: ClearanceVolume,
) -> Result<Length> {
    let compression_height = finite_positive("compression height", compression_height)?;
    let swept = cylinder.swept_volume();
    let with = |x| ClearanceVolume {
        deck: disc_volume(cylinder.bore(), deck_clearance(cylinder, Length::from_si(x), compression_height)),
        ..volumes
    };
    let stack = (cylinder.pin_height_at_tdc() + compression_height).si();
    let most = stack + reach(ratio, swept, volumes)? / cylinder.area().si();
    part_for("deck height", ratio, swept, (0.0, most), with).map(Length::from_si)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use proptest::prelude::*;

    const CM3: f64 = 1e-6;

    fn volumes() -> ClearanceVolume {
        let v = |x| Volume::from_si(x * CM3);
        ClearanceVolume { chamber: v(40.0), gasket: v(6.0), deck: v(1.5), crown: v(-2.0), crevice: v(0.5) }
    }

    fn cylinder() -> Cylinder {
        let l = |x: f64| Length::from_si(x / 1000.0);
        Cylinder::new(l(86.0), l(86.0), l(143.0), l(0.4)).unwrap()
    }

    #[test]
    fn no_volume_left_is_refused() {
        let mut v = volumes();
        v.crown = Volume::from_si(-60.0 * CM3);
        assert_eq!(v.total().unwrap_err().kind(), ErrorKind::OutOfRange);
        let l = Length::from_si;
        assert!(ring_land_crevice(l(0.086), l(0.087), l(0.005)).is_err());
    }

    #[test]
    fn a_ratio_out_of_reach_is_said() {
        let swept = cylinder().swept_volume();
        let error = chamber_volume_for(Ratio::from_si(200.0), swept, volumes()).unwrap_err();
        assert_eq!(error.kind(), ErrorKind::NoSolution);
        assert!(clearance_volume_for(Ratio::from_si(1.0), swept).is_err());
    }

    proptest! {
        #[test]
        fn ratio_falls_as_clearance_grows(swept in 50.0..2000.0f64, v in 5.0..200.0f64, more in 1.0001..3.0f64) {
            let ratio = |v: f64| compression_ratio(Volume::from_si(swept * CM3), Volume::from_si(v * CM3)).unwrap();
            prop_assert!(ratio(v * more) < ratio(v));
        }

        #[test]
        fn every_inverse_gives_the_ratio_back(ratio in 8.0..12.5f64) {
            let (c, wanted) = (cylinder(), Ratio::from_si(ratio));
            let swept = c.swept_volume();
            let l = |x: f64| Length::from_si(x / 1000.0);
            let gives = |v: ClearanceVolume| compression_ratio(swept, v.total().unwrap()).unwrap().si();
            let near = |v| (gives(v) - ratio).abs() < 1e-9;
            let all = ClearanceVolume { chamber: chamber_volume_for(wanted, swept, volumes()).unwrap(), ..volumes() };
            prop_assert!(near(all));
            let all = ClearanceVolume { crown: crown_volume_for(wanted, swept, volumes()).unwrap(), ..volumes() };
            prop_assert!(near(all));
            let thin = ClearanceVolume { chamber: Volume::from_si(34.0 * CM3), ..volumes() };
            let thickness = gasket_thickness_for(wanted, swept, thin, l(87.0)).unwrap();
            let all = ClearanceVolume { gasket: disc_volume(l(87.0), thickness), ..thin };
            prop_assert!(near(all));
            let height = deck_height_for_ratio(wanted, &c, l(34.0), volumes()).unwrap();
            let deck = disc_volume(c.bore(), deck_clearance(&c, height, l(34.0)));
            let all = ClearanceVolume { deck, ..volumes() };
            prop_assert!(near(all));
        }

        #[test]
        fn trapped_ratio_never_exceeds_the_static_one(closing in -PI..PI) {
            let (c, v) = (cylinder(), volumes().total().unwrap());
            let full = compression_ratio(c.swept_volume(), v).unwrap().si();
            let trapped = trapped_compression_ratio(&c, v, Angle::from_si(closing)).unwrap().si();
            prop_assert!(trapped <= full + 1e-9 && trapped >= 1.0 - 1e-9);
        }
    }
}
