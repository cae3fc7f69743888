//! Cylinder, slider-crank motion and deck stack.

use crate::status::{Outcome, check_out, get, guard, positive, put, q, swept_status};
use swept::geometry::{self, Cylinder};
use swept::units::{Dimensioned, Length};

/// One cylinder with its slider-crank.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_cylinder {
    /// Bore diameter, m.
    pub bore_m: f64,
    /// Stroke, twice the crank radius, m.
    pub stroke_m: f64,
    /// Rod length, centre to centre, m.
    pub rod_length_m: f64,
    /// Pin offset, positive towards the major thrust side, m.
    pub pin_offset_m: f64,
}

impl swept_cylinder {
    pub(crate) fn checked(self) -> Outcome<Cylinder> {
        let length = Length::from_si;
        let (bore, stroke) = (length(self.bore_m), length(self.stroke_m));
        Ok(Cylinder::new(bore, stroke, length(self.rod_length_m), length(self.pin_offset_m))?)
    }
}

/// Writes what `f` makes of a checked cylinder.
///
/// # Safety
/// `cylinder` is null or valid for a read, `out` null or valid for a write.
pub(crate) unsafe fn of_cylinder(
    cylinder: *const swept_cylinder,
    out: *mut f64,
    f: impl FnOnce(&Cylinder) -> Outcome<f64>,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let cylinder = unsafe { get(cylinder, "cylinder")? }.checked()?;
        put(out, f(&cylinder)?)
    })
}

/// Checks bore, stroke, rod length and pin offset.
///
/// # Safety
/// `cylinder` is valid for a read; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_check(cylinder: *const swept_cylinder) -> swept_status {
    // SAFETY: passed on from the caller.
    guard(|| unsafe { get(cylinder, "cylinder")? }.checked().map(|_| ()))
}

/// Bore area, m2.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_area(cylinder: *const swept_cylinder, out: *mut f64) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.area().si())) }
}

/// True piston travel between the dead centres, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_travel(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.travel().si())) }
}

/// Swept volume, m3.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_swept_volume(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.swept_volume().si())) }
}

/// Rod length / stroke.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_rod_ratio(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.rod_ratio().si())) }
}

/// Bore / stroke.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_bore_stroke_ratio(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.bore_stroke_ratio().si())) }
}

/// Largest rod angle to the cylinder axis, rad.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_peak_rod_angle(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.peak_rod_angle().si())) }
}

/// Pin height above the main centre at top dead centre, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_pin_height_at_tdc(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.pin_height_at_tdc().si())) }
}

/// Pin height above the main centre at bottom dead centre, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_pin_height_at_bdc(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.pin_height_at_bdc().si())) }
}

/// The throw's angle from the cylinder axis at true top dead centre, rad.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_top_dead_centre(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.top_dead_centre().si())) }
}

/// The throw's angle from the cylinder axis at true bottom dead centre, rad.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_bottom_dead_centre(
    cylinder: *const swept_cylinder,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.bottom_dead_centre().si())) }
}

/// Mean piston speed, m/s.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_mean_piston_speed(
    cylinder: *const swept_cylinder,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.mean_piston_speed(q("speed", speed_rad_s)?).si())) }
}

/// Largest magnitude of the piston acceleration, m/s2.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_peak_acceleration(
    cylinder: *const swept_cylinder,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.peak_acceleration(q("speed", speed_rad_s)?).si())) }
}

/// Distance of the piston below top dead centre, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_piston_position(
    cylinder: *const swept_cylinder,
    angle_rad: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.piston_position(q("angle", angle_rad)?).si())) }
}

/// Angle of the rod to the cylinder axis, rad.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_rod_angle(
    cylinder: *const swept_cylinder,
    angle_rad: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, |c| Ok(c.rod_angle(q("angle", angle_rad)?).si())) }
}

/// Velocity of the piston, positive away from the head, m/s.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_piston_velocity(
    cylinder: *const swept_cylinder,
    angle_rad: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(c.piston_velocity(q("angle", angle_rad)?, q("speed", speed_rad_s)?).si())
        })
    }
}

/// Acceleration of the piston, positive away from the head, m/s2.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_piston_acceleration(
    cylinder: *const swept_cylinder,
    angle_rad: f64,
    speed_rad_s: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(c.piston_acceleration(q("angle", angle_rad)?, q("speed", speed_rad_s)?).si())
        })
    }
}

/// Volume above the piston, m3.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cylinder_volume(
    cylinder: *const swept_cylinder,
    angle_rad: f64,
    clearance_m3: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(c.cylinder_volume(q("angle", angle_rad)?, positive("clearance volume", clearance_m3)?).si())
        })
    }
}

/// Deck clearance, positive with the piston below the deck, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_deck_clearance(
    cylinder: *const swept_cylinder,
    deck_height_m: f64,
    compression_height_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(geometry::deck_clearance(
                c,
                positive("deck height", deck_height_m)?,
                positive("compression height", compression_height_m)?,
            )
            .si())
        })
    }
}

/// The deck height that gives a deck clearance, m.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_deck_height_for(
    cylinder: *const swept_cylinder,
    compression_height_m: f64,
    deck_clearance_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(geometry::deck_height_for(
                c,
                positive("compression height", compression_height_m)?,
                q("deck clearance", deck_clearance_m)?,
            )?
            .si())
        })
    }
}

/// Piston-to-head distance, m: deck clearance + gasket thickness.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_piston_to_head(
    deck_clearance_m: f64,
    gasket_thickness_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::piston_to_head(
                q("deck clearance", deck_clearance_m)?,
                q("gasket thickness", gasket_thickness_m)?,
            )
            .si(),
        )
    })
}
