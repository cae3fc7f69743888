//! Bolts in a joint: stiffness, preload from stretch or turn, load share, separation, a cap held at an angle.
//!
//! Figures of a formula, not a tightening instruction: fasteners are torqued by their maker's procedure.

use super::thread::HALF_FLANK;
use crate::error::{Error, Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Area, Dimensioned, Force, Length, Pressure, Ratio};
use core::f64::consts::PI;

/// One stretch of a bolt's shank: length and the area that carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShankStep {
    /// Its length between the faces.
    pub length: Length,
    /// Its area; of a threaded stretch the stress area.
    pub area: Area,
}

/// Stiffness of a stepped shank, N/m: E / sum of (L / A).
///
/// # Errors
/// [`Error::WrongLength`] without steps; [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero.
///
/// # Source
/// Springs in series; VDI 2230 part 1, 5.1.1 (from memory).
pub fn shank_stiffness(steps: &[ShankStep], young: Pressure) -> Result<f64> {
    let young = finite_positive("Young's modulus", young)?;
    if steps.is_empty() {
        return Err(Error::WrongLength {
            field: "steps of the shank".into(),
            found: 0,
            expected: "at least 1".into(),
        });
    }
    let give = steps.iter().map(|s| -> Result<f64> {
        Ok(finite_positive("length of a step", s.length)?.si()
            / finite_positive("area of a step", s.area)?.si())
    });
    Ok(young.si() / give.sum::<Result<f64>>()?)
}

/// Stretch of a stepped shank under a preload: F / stiffness.
///
/// # Errors
/// As [`preload_from_stretch`].
pub fn stretch_for(preload: Force, steps: &[ShankStep], young: Pressure) -> Result<Length> {
    let preload = finite_positive("preload", preload)?;
    Ok(Length::from_si(preload.si() / shank_stiffness(steps, young)?))
}

/// Preload from the measured stretch of a stepped shank.
///
/// # Errors
/// [`Error::WrongLength`] without steps; [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero.
///
/// # Source
/// Hooke; VDI 2230 part 1, 5.1.1 (from memory).
pub fn preload_from_stretch(stretch: Length, steps: &[ShankStep], young: Pressure) -> Result<Force> {
    let stretch = finite_positive("stretch", stretch)?;
    Ok(Force::from_si(stretch.si() * shank_stiffness(steps, young)?))
}

/// Turn of the nut past snug for a stretch, the clamped parts giving by `compression`: 2 pi (stretch + compression) / pitch.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for a length below zero.
pub fn turn_for(stretch: Length, compression: Length, pitch: Length) -> Result<Angle> {
    let sum = non_negative("stretch", stretch)? + non_negative("compression", compression)?;
    Ok(Angle::from_si(2.0 * PI * (sum / finite_positive("pitch", pitch)?).si()))
}

/// Preload from the turn of the nut past snug, the clamped parts giving by their own stiffness (N/m; absent: rigid parts).
///
/// F = (angle / 2 pi) x pitch / (1 / k_b + 1 / k_m).
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero; those of [`shank_stiffness`].
///
/// # Source
/// Springs in series; Shigley, Mechanical Engineering Design, section 8-8 (from memory).
pub fn preload_from_turn(
    angle: Angle,
    pitch: Length,
    bolt_stiffness: f64,
    parts_stiffness: Option<f64>,
) -> Result<Force> {
    let advance = finite_positive("angle", angle)?.si() / (2.0 * PI) * finite_positive("pitch", pitch)?.si();
    let give = |name: &str, k: f64| finite_positive(name, Ratio::from_si(k)).map(|k| 1.0 / k.si());
    let parts = parts_stiffness.map_or(Ok(0.0), |k| give("stiffness of the parts", k))?;
    Ok(Force::from_si(advance / (give("stiffness of the bolt", bolt_stiffness)? + parts)))
}

/// Stiffness of clamped parts of one material between a head and a nut, N/m:
/// 0.5774 pi E d / (2 ln(5 (0.5774 l + 0.5 d) / (0.5774 l + 2.5 d))), l the grip, d the bolt's diameter.
///
/// Two frusta of 30 deg whose washer face is 1.5 d wide. A cap screwed into a block is stiffer or softer, and beyond a grip of three diameters
/// the cones come out some 10 % too soft: an estimate.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero.
///
/// # Source
/// Shigley, Mechanical Engineering Design, eq. 8-22 (from memory).
pub fn parts_stiffness(grip: Length, diameter: Length, young: Pressure) -> Result<f64> {
    let l = finite_positive("grip", grip)?.si() * HALF_FLANK.tan();
    let d = finite_positive("diameter", diameter)?.si();
    let young = finite_positive("Young's modulus", young)?.si();
    Ok(HALF_FLANK.tan() * PI * young * d / (2.0 * (5.0 * (l + 0.5 * d) / (l + 2.5 * d)).ln()))
}

/// A bolt preloaded in a joint: how an outer load is shared, and when the joint opens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltedJoint {
    preload: Force,
    share: f64,
}

impl BoltedJoint {
    /// From the preload and the stiffness of bolt and clamped parts, in any one unit: only their ratio counts.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] unless all are above zero.
    pub fn new(preload: Force, bolt_stiffness: Ratio, parts_stiffness: Ratio) -> Result<Self> {
        let bolt = finite_positive("stiffness of the bolt", bolt_stiffness)?.si();
        let parts = finite_positive("stiffness of the parts", parts_stiffness)?.si();
        Ok(Self { preload: finite_positive("preload", preload)?, share: bolt / (bolt + parts) })
    }

    /// The share of an outer load that the bolt takes: C = k_b / (k_b + k_m).
    ///
    /// # Source
    /// Shigley, section 8-7 (from memory).
    pub fn load_share(&self) -> Ratio {
        Ratio::from_si(self.share)
    }

    /// Load in the bolt under an outer load that pulls the joint apart: F_i + C P, or P once the joint is open.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn bolt_load(&self, outer: Force) -> Result<Force> {
        let outer = finite("outer load", outer)?;
        if outer >= self.separation_load() { Ok(outer) } else { Ok(self.preload + outer * self.share) }
    }

    /// What still clamps the joint: F_i - (1 - C) P, never below zero.
    ///
    /// # Errors
    /// [`Error::NotFinite`].
    pub fn clamp_load(&self, outer: Force) -> Result<Force> {
        let left = self.preload - finite("outer load", outer)? * (1.0 - self.share);
        Ok(if left.si() > 0.0 { left } else { Force::from_si(0.0) })
    }

    /// The outer load that opens the joint: F_i / (1 - C).
    ///
    /// # Source
    /// Shigley, eq. 8-30 (from memory).
    pub fn separation_load(&self) -> Force {
        self.preload / (1.0 - self.share)
    }
}

/// What a bolt at an angle to the parting line's normal does: (clamps the cap, pulls it sideways) = (F cos a, F sin a).
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for an angle of 90 deg or more either way.
pub fn angled_clamp(preload: Force, angle: Angle) -> Result<(Force, Force)> {
    let preload = finite("preload", preload)?;
    let angle = finite("angle", angle)?;
    if angle.si().abs() >= PI / 2.0 {
        return Err(out_of_range("angle", angle, "within 90 deg of the normal"));
    }
    Ok((preload * angle.si().cos(), preload * angle.si().sin()))
}
