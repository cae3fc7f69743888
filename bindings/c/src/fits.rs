//! Fits: pins in bores, rings in grooves and on the wall, limits and fits by ISO 286.

use crate::clearance::not_one_of;
use crate::status::{answer, answer_two, positive, swept_status, text};
use core::ffi::c_char;
use swept::clearance::{self, IsoFit, ToleranceClass};
use swept::units::Dimensioned;

/// Clearance of a pin in a boss, a bush or a rod eye, on the diameter, m; below zero the pin is pressed in.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_pin_clearance(
    bore_m: f64,
    pin_diameter_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let pin = positive("pin diameter", pin_diameter_m)?;
        Ok(clearance::pin_clearance(positive("bore", bore_m)?, pin).si())
    })
}

/// Ring back clearance, m, on one side with the piston central: (bore - groove root diameter) / 2 - radial thickness. Below zero the
/// ring stands out of its groove.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_back_clearance(
    bore_m: f64,
    groove_root_diameter_m: f64,
    radial_thickness_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let root = positive("groove root diameter", groove_root_diameter_m)?;
        let thickness = positive("radial thickness", radial_thickness_m)?;
        Ok(clearance::back_clearance(positive("bore", bore_m)?, root, thickness).si())
    })
}

/// Mean pressure of a ring on the wall, Pa, from its tangential force (ring tension) and the width of its running face: 2 F / (d h).
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_ring_wall_pressure(
    tangential_force_n: f64,
    bore_m: f64,
    width_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let force = positive("tangential force", tangential_force_n)?;
        let (bore, width) = (positive("bore", bore_m)?, positive("width", width_m)?);
        Ok(clearance::ring_wall_pressure(force, bore, width)?.si())
    })
}

/// The standard tolerance of a grade, 5 to 11 for IT5 to IT11, at a nominal size up to 315 mm, m (ISO 286-1). Another grade and a
/// larger size are out of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_iso_standard_tolerance(
    nominal_m: f64,
    grade: i32,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let narrow = u8::try_from(grade).map_err(|_| not_one_of("tolerance grade", grade, "5 to 11"))?;
        Ok(clearance::standard_tolerance(positive("nominal size", nominal_m)?, narrow)?.si())
    })
}

/// Lower and upper deviation of a tolerance class, "H7" (a hole) or "p6" (a shaft), at a nominal size up to 315 mm, m (ISO 286-1). A text
/// that is no such class is unreadable.
///
/// # Safety
/// `class_name` is a zero-terminated text, `out_lower_m` and `out_upper_m` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_iso_deviations(
    class_name: *const c_char,
    nominal_m: f64,
    out_lower_m: *mut f64,
    out_upper_m: *mut f64,
) -> swept_status {
    answer_two(out_lower_m, out_upper_m, || {
        // SAFETY: passed on from the caller.
        let class = ToleranceClass::parse(unsafe { text(class_name, "class_name")? })?;
        let found = class.deviations(positive("nominal size", nominal_m)?)?;
        Ok((found.lower.si(), found.upper.si()))
    })
}

/// Least and greatest clearance of a fit such as "40 H7/p6", its size in mm, m; below zero is interference (ISO 286-1). A text that is no
/// fit is unreadable.
///
/// # Safety
/// `fit` is a zero-terminated text, `out_least_m` and `out_greatest_m` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_iso_fit(
    fit: *const c_char,
    out_least_m: *mut f64,
    out_greatest_m: *mut f64,
) -> swept_status {
    answer_two(out_least_m, out_greatest_m, || {
        // SAFETY: passed on from the caller.
        let (least, greatest) = IsoFit::parse(unsafe { text(fit, "fit")? })?.clearance()?;
        Ok((least.si(), greatest.si()))
    })
}
