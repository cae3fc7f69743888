//! Rocker arms: ratio, sweep over the stem tip, length of the pushrod.

use crate::status::{Outcome, answer, answer_with, finite_results, get, q, swept_status};
use swept::units::{Dimensioned, Length};
use swept::valvetrain::{LifterSeat, Rocker, RockerArm, TrainDerivatives};

/// A rocker arm in place, valve seated, lifter on the base circle, without lash. In its plane x goes from the pivot to the valve, y along the valve's axis
/// away from the seat, with the tip plane of the seated stem at y = 0; it turns clockwise to open.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_rocker {
    /// From the pivot to the centre of the pad's arc or of the roller, m.
    pub tip_arm_m: f64,
    /// Radius of the pad or of the roller, zero or more, m.
    pub tip_radius_m: f64,
    /// From the pivot to the centre of the pushrod's cup, m.
    pub cup_arm_m: f64,
    /// The angle of the rocker itself from the tip's arm over the top to the cup's arm, between 0 and 2 pi, rad.
    pub included_rad: f64,
    /// The stem's axis from the pivot, m.
    pub stem_m: f64,
    /// Height of the pivot above the tip plane of the seated stem, m.
    pub height_m: f64,
    /// The pushrod's lower end beside the pivot; below zero: away from the valve; m.
    pub lifter_x_m: f64,
    /// The pushrod's lower end above the tip plane; below zero: below it; m.
    pub lifter_y_m: f64,
    /// How far the lifter's axis leans from the valve's, towards the valve as it rises, rad.
    pub lifter_lean_rad: f64,
}

/// Derivatives of the valve's lift by the lifter's.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_train_derivatives {
    /// The ratio.
    pub first: f64,
    /// Second derivative, 1/m.
    pub second_per_m: f64,
    /// Third derivative, 1/m2.
    pub third_per_m2: f64,
}

/// Where the tip touches the stem from seat to a lift; places are from the stem's axis, positive away from the pivot.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_sweep {
    /// Valve seated, m.
    pub seated_m: f64,
    /// At the lift, m.
    pub open_m: f64,
    /// Nearest to the pivot, m.
    pub inner_m: f64,
    /// Farthest from the pivot, m.
    pub outer_m: f64,
    /// How wide the contact wanders, m.
    pub width_m: f64,
    /// Middle of the sweep, m.
    pub middle_m: f64,
}

impl swept_rocker {
    pub(crate) fn checked(self) -> Outcome<Rocker> {
        let (tip, cup) = (q("arm of the tip", self.tip_arm_m)?, q("arm of the cup", self.cup_arm_m)?);
        let radius = q("radius of the tip", self.tip_radius_m)?;
        let arm = RockerArm::new(tip, radius, cup, q("angle between the arms", self.included_rad)?)?;
        let length = Length::from_si;
        let lean = q("lean of the lifter's axis", self.lifter_lean_rad)?;
        let lifter = LifterSeat::new(length(self.lifter_x_m), length(self.lifter_y_m), lean)?;
        Ok(Rocker::new(arm, length(self.stem_m), length(self.height_m), lifter)?)
    }

    /// The same with the height of another.
    fn at_height_of(self, other: &Rocker) -> Self {
        Self { height_m: other.height().si(), ..self }
    }
}

impl swept_train_derivatives {
    pub(crate) fn of(found: &TrainDerivatives) -> Outcome<Self> {
        let [first, second_per_m, third_per_m2] = finite_results([found.first, found.second, found.third])?;
        Ok(Self { first, second_per_m, third_per_m2 })
    }
}

/// Reads a rocker.
///
/// # Safety
/// `rocker` is null or valid for a read.
unsafe fn read(rocker: *const swept_rocker) -> Outcome<Rocker> {
    // SAFETY: passed on from the caller.
    unsafe { get(rocker, "rocker")? }.checked()
}

/// Length of the pushrod between the centres of its ends, without lash, m.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_pushrod_length(
    rocker: *const swept_rocker,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.pushrod_length().si()))
}

/// Angle of the tip's arm above the square to the valve's axis with the valve seated, rad.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_tip_angle(rocker: *const swept_rocker, out: *mut f64) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.tip_angle().si()))
}

/// How far the rocker has turned the opening way at a lift of the lifter, rad. A lift below zero, or one that the rocker cannot follow, is out of range.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_turned(
    rocker: *const swept_rocker,
    lifter_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.turned(q("lift of the lifter", lifter_m)?)?.si()))
}

/// Lift of the valve at a lift of the lifter, m.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_valve_lift(
    rocker: *const swept_rocker,
    lifter_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.valve_lift(q("lift of the lifter", lifter_m)?)?.si()))
}

/// Lift of the lifter that gives a lift of the valve, m.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_lifter_lift(
    rocker: *const swept_rocker,
    valve_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.lifter_lift(q("lift of the valve", valve_m)?)?.si()))
}

/// The ratio of the rocker at a lift of the lifter, and the next two derivatives.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_derivatives(
    rocker: *const swept_rocker,
    lifter_m: f64,
    out: *mut swept_train_derivatives,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let rocker = unsafe { read(rocker)? };
        swept_train_derivatives::of(&rocker.derivatives(q("lift of the lifter", lifter_m)?)?)
    })
}

/// Where the tip touches the stem at a lift of the valve: from the stem's axis, positive away from the pivot, m.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_contact(
    rocker: *const swept_rocker,
    valve_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(rocker)? }.contact(q("lift of the valve", valve_m)?)?.si()))
}

/// How far the contact wanders over the stem tip from seat to a lift of the valve.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_sweep(
    rocker: *const swept_rocker,
    valve_m: f64,
    out: *mut swept_sweep,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let found = unsafe { read(rocker)? }.sweep(q("lift of the valve", valve_m)?)?;
        let places = [found.seated, found.open, found.inner, found.outer, found.width(), found.middle()];
        let [seated_m, open_m, inner_m, outer_m, width_m, middle_m] = finite_results(places.map(Length::si))?;
        Ok(swept_sweep { seated_m, open_m, inner_m, outer_m, width_m, middle_m })
    })
}

/// The same with its pivot at another height.
///
/// # Safety
/// As swept_rocker_least_sweep().
unsafe fn moved(
    rocker: *const swept_rocker,
    out: *mut swept_rocker,
    f: impl FnOnce(&Rocker) -> Outcome<Rocker>,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let given = unsafe { get(rocker, "rocker")? };
        Ok(given.at_height_of(&f(&given.checked()?)?))
    })
}

/// The same with a pushrod of another length, its pivot set along its stud until the lash is gone: only `height_m` changes. Where no height takes the length
/// there is no solution.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_with_pushrod(
    rocker: *const swept_rocker,
    length_m: f64,
    out: *mut swept_rocker,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { moved(rocker, out, |r| Ok(r.with_pushrod(q("length of the pushrod", length_m)?)?)) }
}

/// The same with the pivot at the height, and so the pushrod of the length, at which the contact wanders least over the stem tip while the lifter rises by a
/// lift: only `height_m` changes, and swept_rocker_pushrod_length() gives the length.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_least_sweep(
    rocker: *const swept_rocker,
    lifter_m: f64,
    out: *mut swept_rocker,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { moved(rocker, out, |r| Ok(r.least_sweep(q("lift of the lifter", lifter_m)?)?)) }
}

/// The same with the pivot at the height at which the middle of the sweep is on the stem's axis while the lifter rises by a lift; of two such heights that
/// whose pushrod is nearer to the present length. An arm that is too short to bring it there is out of range.
///
/// # Safety
/// `rocker` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_rocker_centred(
    rocker: *const swept_rocker,
    lifter_m: f64,
    out: *mut swept_rocker,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { moved(rocker, out, |r| Ok(r.centred(q("lift of the lifter", lifter_m)?)?)) }
}
