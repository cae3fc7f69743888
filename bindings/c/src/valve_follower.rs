//! Flat followers: contact, radius of curvature, undercutting.

use crate::status::{Outcome, answer, answer_two, answer_with, finite_results, get, q, swept_status};
use crate::valve_lift::{borrowed, cam, swept_extreme, swept_lift, swept_lift_curve};
use swept::units::{Dimensioned, Length};
use swept::valvetrain::{CamAngle, FlatFollower, FlatFollowerFace, Lift, LiftCurve};

/// Where a flat follower touches its cam at one angle. The surface's point is that of the cam as it stands with the nose under the follower: x across,
/// positive on the flank that opens, y towards the nose.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_flat_contact {
    /// Radius of curvature of the cam's surface, base circle + lift + acceleration; below zero the surface cannot be made; m.
    pub radius_of_curvature_m: f64,
    /// The contact from the follower's axis, positive on the side whose surface rises, m.
    pub contact_m: f64,
    /// The surface's point across, m.
    pub x_m: f64,
    /// The surface's point towards the nose, m.
    pub y_m: f64,
}

/// How far the contact wanders over a flat face.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_contact_range {
    /// Farthest to the side whose surface rises, from the follower's axis: on the opening flank.
    pub opening: swept_extreme,
    /// Farthest to the other side, below zero: on the closing flank.
    pub closing: swept_extreme,
}

fn flat(base_radius_m: f64) -> Outcome<FlatFollower> {
    Ok(FlatFollower::new(Length::from_si(base_radius_m))?)
}

/// The lift over the cam angle.
pub(crate) fn lift_of(curve: &LiftCurve) -> impl Fn(CamAngle) -> Lift {
    move |angle| curve.at(angle)
}

/// Reads the face of a flat follower.
///
/// # Safety
/// `curve` is null or alive.
unsafe fn face(base_radius_m: f64, curve: *const swept_lift_curve) -> Outcome<FlatFollowerFace> {
    // SAFETY: passed on from the caller.
    let curve = unsafe { &borrowed(curve)?.curve };
    Ok(flat(base_radius_m)?.face(lift_of(curve))?)
}

/// Where a flat follower touches a cam of a base circle at a cam angle and its lift.
///
/// # Safety
/// `lift` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_follower_at(
    base_radius_m: f64,
    angle_rad: f64,
    lift: *const swept_lift,
    out: *mut swept_flat_contact,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, lift) = (flat(base_radius_m)?, unsafe { get(lift, "lift")? }.checked()?);
        let point = follower.profile(cam("cam angle", angle_rad)?, lift);
        let lengths = [follower.radius_of_curvature(lift), follower.contact(lift), point.x, point.y];
        let [radius_of_curvature_m, contact_m, x_m, y_m] = finite_results(lengths.map(Length::si))?;
        Ok(swept_flat_contact { radius_of_curvature_m, contact_m, x_m, y_m })
    })
}

/// The least radius of curvature of a cam under a flat follower over a turn; below zero the surface cannot be made.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_least_radius_of_curvature(
    base_radius_m: f64,
    curve: *const swept_lift_curve,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        swept_extreme::of(&flat(base_radius_m)?.least_radius_of_curvature(lift_of(curve))?)
    })
}

/// The base circle radius that gives a least radius of curvature under a flat follower, m; zero where any would do.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_base_radius_for(
    curve: *const swept_lift_curve,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        Ok(FlatFollower::base_radius_for(lift_of(curve), q("least radius of curvature", radius_m)?)?.si())
    })
}

/// The least radius of curvature under a flat follower, held against what is allowed (zero or more): a cam undercut or curved too sharply is out of range,
/// with the place and the base circle radius that would do in the message.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_check_curvature(
    base_radius_m: f64,
    curve: *const swept_lift_curve,
    allowed_m: f64,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        let allowed = q("least radius of curvature", allowed_m)?;
        swept_extreme::of(&flat(base_radius_m)?.check_curvature(lift_of(curve), allowed)?)
    })
}

/// How far the contact wanders over a flat face in a turn.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_face(
    base_radius_m: f64,
    curve: *const swept_lift_curve,
    out: *mut swept_contact_range,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let found = unsafe { face(base_radius_m, curve)? };
        let (opening, closing) = (swept_extreme::of(&found.opening)?, swept_extreme::of(&found.closing)?);
        Ok(swept_contact_range { opening, closing })
    })
}

/// The least width of a flat face that does not turn, and the least diameter of a round one centred on the follower's axis, with an allowance (zero or more)
/// for both edges together, m.
///
/// # Safety
/// `curve` is alive, `out_width_m` and `out_diameter_m` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_flat_face_sizes(
    base_radius_m: f64,
    curve: *const swept_lift_curve,
    allowance_m: f64,
    out_width_m: *mut f64,
    out_diameter_m: *mut f64,
) -> swept_status {
    answer_two(out_width_m, out_diameter_m, || {
        // SAFETY: passed on from the caller.
        let (found, allowance) = (unsafe { face(base_radius_m, curve)? }, q("allowance", allowance_m)?);
        Ok((found.width(allowance)?.si(), found.diameter(allowance)?.si()))
    })
}
