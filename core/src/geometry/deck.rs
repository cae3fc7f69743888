//! The deck stack: where the piston stands at top dead centre.

use super::Cylinder;
use crate::error::{Result, finite, finite_positive};
use crate::solve::bracketed;
use crate::units::{Dimensioned, Length};

/// Deck clearance: deck height - (pin height at top dead centre + compression height).
///
/// Positive with the piston below the deck at top dead centre. Without pin offset the pin height is rod length + half the
/// stroke.
///
/// # Source
/// Geometry of the stack; common practice, no source.
#[inline]
pub fn deck_clearance(cylinder: &Cylinder, deck_height: Length, compression_height: Length) -> Length {
    deck_height - (cylinder.pin_height_at_tdc() + compression_height)
}

/// Piston-to-head distance (squish, quench height) at top dead centre: deck clearance + gasket thickness.
#[inline]
pub fn piston_to_head(deck_clearance: Length, gasket_thickness: Length) -> Length {
    deck_clearance + gasket_thickness
}

/// The deck height (main centre to deck) that gives a deck clearance.
///
/// # Errors
/// [`crate::Error::NotFinite`], [`crate::Error::OutOfRange`] unless the compression height is above zero,
/// [`crate::Error::NoSolution`] where the height would be below zero.
pub fn deck_height_for(cylinder: &Cylinder, compression_height: Length, clearance: Length) -> Result<Length> {
    let compression_height = finite_positive("compression height", compression_height)?;
    let clearance = finite("deck clearance", clearance)?;
    let most = 2.0 * (cylinder.pin_height_at_tdc() + compression_height + clearance.abs()).si();
    let off =
        |h: f64| Ok((deck_clearance(cylinder, Length::from_si(h), compression_height) - clearance).si());
    bracketed("deck height", 0.0, most, off).map(Length::from_si)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piston_below_the_deck_is_positive_and_the_height_is_found_back() {
        let l = |x: f64| Length::from_si(x / 1000.0);
        let c = Cylinder::new(l(86.0), l(86.0), l(143.0), l(0.0)).unwrap();
        let clearance = deck_clearance(&c, l(220.25), l(34.0));
        assert!((clearance.si() - 0.25e-3).abs() < 1e-15);
        assert!((piston_to_head(clearance, l(1.0)).si() - 1.25e-3).abs() < 1e-15);
        let height = deck_height_for(&c, l(34.0), clearance).unwrap();
        assert!((height - l(220.25)).si().abs() < 1e-15);
    }
}
