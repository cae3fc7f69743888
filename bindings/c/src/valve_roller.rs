//! Roller followers: pressure angle, radius of curvature, undercutting, the wheel that can grind the flank.

use crate::status::{Failure, Outcome, answer, answer_with, finite_results, get, q, swept_status};
use crate::valve_follower::lift_of;
use crate::valve_lift::{borrowed, cam, swept_extreme, swept_lift, swept_lift_curve};
use swept::Error;
use swept::units::{Dimensioned, Length};
use swept::valvetrain::{Extreme, LiftCurve, PressureAngle, RollerFollower};

/// A follower with a roller that travels along a straight line.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_roller_follower {
    /// Radius of the cam's base circle, m.
    pub base_radius_m: f64,
    /// Radius of the roller, m.
    pub roller_radius_m: f64,
    /// Offset of the travel from the axis of the cam, positive on the side whose surface rises, m.
    pub offset_m: f64,
}

/// Where a roller follower touches its cam at one angle; the surface's point is as in a flat contact.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_roller_contact {
    /// Pressure angle, positive where the follower rises, rad.
    pub pressure_angle_rad: f64,
    /// Radius of curvature of the pitch curve: positive where convex, negative where hollow, infinite where straight, m.
    pub pitch_radius_of_curvature_m: f64,
    /// Radius of curvature of the cam's surface, that of the pitch curve less the roller's; from zero to minus the roller's radius: undercut; m.
    pub radius_of_curvature_m: f64,
    /// The surface's point across, m.
    pub x_m: f64,
    /// The surface's point towards the nose, m.
    pub y_m: f64,
}

/// A pressure angle and where it stands.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_pressure_angle {
    /// Cam angle from the nose, rad.
    pub angle_rad: f64,
    /// The pressure angle, positive where the follower rises, rad.
    pub value_rad: f64,
}

impl swept_roller_follower {
    fn checked(self) -> Outcome<RollerFollower> {
        let length = Length::from_si;
        let (base, roller) = (length(self.base_radius_m), length(self.roller_radius_m));
        Ok(RollerFollower::new(base, roller, length(self.offset_m))?)
    }
}

impl swept_pressure_angle {
    fn of(found: &PressureAngle) -> Outcome<Self> {
        let [angle_rad, value_rad] = finite_results([found.angle.on_cam().si(), found.value.si()])?;
        Ok(Self { angle_rad, value_rad })
    }
}

/// A radius that is infinite where the curve is straight.
fn perhaps_infinite(radius: Length) -> Outcome<f64> {
    if !radius.si().is_nan() {
        return Ok(radius.si());
    }
    let field = "the result".into();
    Err(Failure::Core(Error::NotFinite { field, value: radius.si().to_string() }))
}

/// Reads a roller follower and borrows a curve.
///
/// # Safety
/// `follower` is null or valid for a read, `curve` null or alive while the result is used.
unsafe fn roller<'a>(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
) -> Outcome<(RollerFollower, &'a LiftCurve)> {
    // SAFETY: passed on from the caller.
    unsafe { Ok((get(follower, "follower")?.checked()?, &borrowed(curve)?.curve)) }
}

/// Where a roller follower touches its cam at a cam angle and its lift. The radii of curvature are infinite where the pitch curve is straight.
///
/// # Safety
/// `follower` and `lift` are valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_follower_at(
    follower: *const swept_roller_follower,
    angle_rad: f64,
    lift: *const swept_lift,
    out: *mut swept_roller_contact,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, lift) =
            unsafe { (get(follower, "follower")?.checked()?, get(lift, "lift")?.checked()?) };
        let point = follower.profile(cam("cam angle", angle_rad)?, lift);
        let pressure = follower.pressure_angle(lift);
        let [pressure_angle_rad, x_m, y_m] = finite_results([pressure.si(), point.x.si(), point.y.si()])?;
        Ok(swept_roller_contact {
            pressure_angle_rad,
            pitch_radius_of_curvature_m: perhaps_infinite(follower.pitch_radius_of_curvature(lift))?,
            radius_of_curvature_m: perhaps_infinite(follower.radius_of_curvature(lift))?,
            x_m,
            y_m,
        })
    })
}

/// The greatest pressure angle of a roller follower over a turn, whatever its sign.
///
/// # Safety
/// `follower` is valid for a read, `curve` alive, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_greatest_pressure_angle(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    out: *mut swept_pressure_angle,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        swept_pressure_angle::of(&follower.greatest_pressure_angle(lift_of(curve))?)
    })
}

/// The greatest pressure angle, held against a limit between 0 and pi/2: beyond it is out of range, with the place and the base circle radius that would do
/// in the message.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_check_pressure_angle(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    most_rad: f64,
    out: *mut swept_pressure_angle,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        let most = q("greatest pressure angle", most_rad)?;
        swept_pressure_angle::of(&follower.check_pressure_angle(lift_of(curve), most)?)
    })
}

/// The base circle radius that gives a greatest pressure angle between 0 and pi/2, with the same roller and offset, m; zero where any would do.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_base_radius_for_pressure_angle(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    most_rad: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        let most = q("greatest pressure angle", most_rad)?;
        Ok(follower.base_radius_for_pressure_angle(lift_of(curve), most)?.si())
    })
}

/// The least convex radius of curvature of the cam's surface under a roller follower over a turn; zero or below: undercut.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_least_radius_of_curvature(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        swept_extreme::of(&follower.least_radius_of_curvature(lift_of(curve))?)
    })
}

/// The least convex radius of curvature under a roller follower, held against what is allowed, as swept_flat_check_curvature(). Where no base circle is large
/// enough there is no solution.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_check_curvature(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    allowed_m: f64,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        let allowed = q("least radius of curvature", allowed_m)?;
        swept_extreme::of(&follower.check_curvature(lift_of(curve), allowed)?)
    })
}

/// The base circle radius that gives a least convex radius of curvature, with the same roller and offset, m; zero (or what the offset asks for) where any
/// would do.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_base_radius_for_curvature(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        let radius = q("least radius of curvature", radius_m)?;
        Ok(follower.base_radius_for_curvature(lift_of(curve), radius)?.si())
    })
}

/// A hollow that there may not be.
fn hollow(found: Option<Extreme>) -> Outcome<swept_extreme> {
    let none = swept_extreme { angle_rad: f64::NAN, value_m: f64::NAN };
    found.map_or(Ok(none), |extreme| swept_extreme::of(&extreme))
}

/// The least hollow radius of the cam's surface under a roller follower, above zero: the greatest radius of a wheel that can grind the flank. Both NaN on a
/// cam convex all around.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_greatest_wheel_radius(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        hollow(follower.greatest_wheel_radius(lift_of(curve))?)
    })
}

/// The hollow of the flank as swept_roller_greatest_wheel_radius(), held against the radius of the grinding wheel: a wheel not below it is out of range.
///
/// # Safety
/// As swept_roller_greatest_pressure_angle().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_roller_check_wheel(
    follower: *const swept_roller_follower,
    curve: *const swept_lift_curve,
    wheel_radius_m: f64,
    out: *mut swept_extreme,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (follower, curve) = unsafe { roller(follower, curve)? };
        let wheel = q("radius of the grinding wheel", wheel_radius_m)?;
        hollow(follower.check_wheel(lift_of(curve), wheel)?)
    })
}
