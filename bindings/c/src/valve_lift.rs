//! Lift curves: the handle and what it answers.

use crate::status::{
    Failure, Outcome, answer, answer_with, check_out, finite_results, guard, q, swept_status, write,
    write_list,
};
use swept::Error;
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::{CamAngle, Extreme, Lift, LiftCurve};

/// Lift over a turn of the cam: one lobe, zero outside it, with its nose at the cam angle zero. Opaque; made by swept_lift_curve_of_flanks() and the calls
/// beside it, read by any number of threads at once, freed by swept_lift_curve_free().
#[allow(non_camel_case_types)]
#[derive(Debug)]
pub struct swept_lift_curve {
    pub(crate) curve: LiftCurve,
    /// Where the acceleration jumps on a lobe from a table, rad of the table.
    pub(crate) kinks: Vec<f64>,
}

/// Lift at one angle of the cam, with its derivatives by the cam angle in radians.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_lift {
    /// Lift, zero on the base circle, m.
    pub lift_m: f64,
    /// First derivative, m for each radian of the cam.
    pub velocity_m_per_rad: f64,
    /// Second derivative, m for each radian squared.
    pub acceleration_m_per_rad2: f64,
    /// Third derivative, m for each radian cubed.
    pub jerk_m_per_rad3: f64,
}

/// A greatest or least value and where it stands.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_extreme {
    /// Cam angle from the nose, rad.
    pub angle_rad: f64,
    /// The value: a length, or one for each radian (or radian squared) of the cam, m.
    pub value_m: f64,
}

/// Greatest and least velocity and acceleration over a lobe, each with the first angle where it stands.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_lift_extremes {
    /// On the opening flank.
    pub greatest_velocity: swept_extreme,
    /// The fastest closing, below zero.
    pub least_velocity: swept_extreme,
    /// Greatest acceleration.
    pub greatest_acceleration: swept_extreme,
    /// The greatest deceleration, below zero, where the spring must hold the valve train to the cam.
    pub least_acceleration: swept_extreme,
}

impl swept_lift {
    pub(crate) fn checked(self) -> Outcome<Lift> {
        Ok(Lift {
            lift: q("lift", self.lift_m)?,
            velocity: q("velocity per radian of the cam", self.velocity_m_per_rad)?,
            acceleration: q("acceleration per radian squared of the cam", self.acceleration_m_per_rad2)?,
            jerk: q("jerk per radian cubed of the cam", self.jerk_m_per_rad3)?,
        })
    }

    pub(crate) fn of(lift: &Lift) -> Outcome<Self> {
        let values = [lift.lift, lift.velocity, lift.acceleration, lift.jerk];
        let [lift_m, velocity_m_per_rad, acceleration_m_per_rad2, jerk_m_per_rad3] =
            finite_results(values.map(Length::si))?;
        Ok(Self { lift_m, velocity_m_per_rad, acceleration_m_per_rad2, jerk_m_per_rad3 })
    }
}

impl swept_extreme {
    pub(crate) fn of(extreme: &Extreme) -> Outcome<Self> {
        let [angle_rad, value_m] = finite_results([extreme.angle.on_cam().si(), extreme.value.si()])?;
        Ok(Self { angle_rad, value_m })
    }
}

/// Borrows a curve.
///
/// # Safety
/// `curve` is null or came from swept, and lives while the result is used.
pub(crate) unsafe fn borrowed<'a>(curve: *const swept_lift_curve) -> Outcome<&'a swept_lift_curve> {
    if curve.is_null() {
        return Err(Failure::Null("curve"));
    }
    // SAFETY: not null; the caller promises that it came from swept and is alive.
    Ok(unsafe { &*curve })
}

/// A cam angle from its SI value.
pub(crate) fn cam(field: &str, rad: f64) -> Outcome<CamAngle> {
    Ok(CamAngle::of_cam(q(field, rad)?))
}

/// Frees a curve; null is fine.
///
/// # Safety
/// `curve` is null or came from swept and was not freed yet; nothing uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_free(curve: *mut swept_lift_curve) {
    if !curve.is_null() {
        // SAFETY: the caller promises that it came from `give`, which boxed it.
        drop(unsafe { Box::from_raw(curve) });
    }
}

/// Lift with its derivatives at a cam angle from the nose, of any turn. Where a derivative jumps it is that of what follows.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_at(
    curve: *const swept_lift_curve,
    angle_rad: f64,
    out: *mut swept_lift,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        swept_lift::of(&curve.at(cam("cam angle", angle_rad)?))
    })
}

/// Greatest lift, m: that of the nose.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_maximum(
    curve: *const swept_lift_curve,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { borrowed(curve)? }.curve.maximum().si()))
}

/// Where the opening flank has a lift, cam angle from the nose, rad: below zero, or zero at the nose. At zero lift it is where the lobe begins. A lift
/// below zero or above the nose's is out of range.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_opening_at(
    curve: *const swept_lift_curve,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        Ok(curve.opening_at(q("lift", lift_m)?)?.on_cam().si())
    })
}

/// Where the closing flank has a lift, cam angle from the nose, rad: above zero, or zero at the nose.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_closing_at(
    curve: *const swept_lift_curve,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        Ok(curve.closing_at(q("lift", lift_m)?)?.on_cam().si())
    })
}

/// For how long a lift is exceeded, as an angle of the cam, rad; twice that is the duration in crank degrees as the trade states it.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_duration_at(
    curve: *const swept_lift_curve,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let curve = unsafe { &borrowed(curve)?.curve };
        Ok(curve.duration_at(q("lift", lift_m)?)?.on_cam().si())
    })
}

/// Area under the curve, m rad: the lift integrated over the cam angle.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_area(
    curve: *const swept_lift_curve,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { borrowed(curve)? }.curve.area().si()))
}

/// Greatest and least velocity and acceleration over the lobe. Where the acceleration jumps both its values count.
///
/// # Safety
/// `curve` is alive and `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_extremes(
    curve: *const swept_lift_curve,
    out: *mut swept_lift_extremes,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let found = unsafe { borrowed(curve)? }.curve.extremes();
        Ok(swept_lift_extremes {
            greatest_velocity: swept_extreme::of(&found.greatest_velocity)?,
            least_velocity: swept_extreme::of(&found.least_velocity)?,
            greatest_acceleration: swept_extreme::of(&found.greatest_acceleration)?,
            least_acceleration: swept_extreme::of(&found.least_acceleration)?,
        })
    })
}

/// The angles, as in its table, where the acceleration of a curve from a table jumps because the smooth spline would not have kept the flank monotone; none
/// of other curves. Written are the angles, rad, and how many they are. A `capacity` below the `kink_count` of its fit is a wrong length.
///
/// # Safety
/// `curve` is alive, `out_angles_rad` valid for writes of `capacity` numbers or null with a capacity of zero, `out_count` for a write; null is
/// refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_lift_curve_kinks(
    curve: *const swept_lift_curve,
    out_angles_rad: *mut f64,
    capacity: usize,
    out_count: *mut usize,
) -> swept_status {
    guard(|| {
        if capacity > 0 {
            check_out(out_angles_rad)?;
        }
        check_out(out_count)?;
        // SAFETY: passed on from the caller.
        let kinks = unsafe { &borrowed(curve)?.kinks };
        if kinks.len() > capacity {
            let expected = format!("at least {}, the kinks of the curve", kinks.len());
            let error = Error::WrongLength { field: "capacity".into(), found: capacity, expected };
            return Err(error.into());
        }
        // SAFETY: the caller promises as many places as `capacity`.
        unsafe { write_list(out_angles_rad, kinks.iter().copied()) };
        write(out_count, kinks.len())
    })
}

/// Hands a curve over to the caller.
pub(crate) fn give(out: *mut *mut swept_lift_curve, curve: LiftCurve, kinks: &[CamAngle]) -> Outcome {
    let kinks = kinks.iter().map(|angle| angle.on_cam()).map(Angle::si).collect();
    check_out(out)?;
    // SAFETY: not null; the caller promises that `out` is valid for a write.
    unsafe { out.write(Box::into_raw(Box::new(swept_lift_curve { curve, kinks }))) };
    Ok(())
}
