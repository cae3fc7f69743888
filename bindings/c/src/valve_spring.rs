//! Valve springs on the bench and installed: rate, load, coil bind, shims, nested springs.

use crate::status::{Outcome, answer, answer_with, finite_results, get, q, slice, swept_status};
use swept::units::{Dimensioned, Force, Length, SpringRate};
use swept::valvetrain::spring::{rate_from_readings, retainer_clearance};
use swept::valvetrain::{InstalledSpring, SpringSet, ValveSpring};

/// A spring as the bench shows it.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_spring {
    /// Rate, N/m.
    pub rate_n_per_m: f64,
    /// Height of one reading, m.
    pub height_m: f64,
    /// Load of that reading, N.
    pub load_n: f64,
    /// Height with all coils touching, at most the height of the reading, m.
    pub solid_height_m: f64,
}

/// A spring at its installed height.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_installed_spring {
    /// The spring.
    pub spring: swept_valve_spring,
    /// Its height with the valve seated, from solid to free, m.
    pub installed_height_m: f64,
}

/// Springs that act on one valve, nested or one alone.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_spring_set {
    /// Sum of the rates, N/m.
    pub rate_n_per_m: f64,
    /// Sum of the loads with the valve seated, N.
    pub seat_load_n: f64,
    /// Lift at which the first of them binds, m.
    pub lift_to_bind_m: f64,
}

impl swept_valve_spring {
    fn checked(self) -> Outcome<ValveSpring> {
        let (rate, height) =
            (q("spring rate", self.rate_n_per_m)?, q("height of the spring", self.height_m)?);
        let (load, solid) = (q("load of the spring", self.load_n)?, q("solid height", self.solid_height_m)?);
        Ok(ValveSpring::new(rate, height, load, solid)?)
    }
}

impl swept_installed_spring {
    fn checked(self) -> Outcome<InstalledSpring> {
        let height = q("height of the spring", self.installed_height_m)?;
        Ok(InstalledSpring::new(self.spring.checked()?, height)?)
    }
}

/// Reads the springs of one valve.
///
/// # Safety
/// `springs` is null or valid for reads of `count` springs.
pub(crate) unsafe fn together(springs: *const swept_installed_spring, count: usize) -> Outcome<SpringSet> {
    // SAFETY: passed on from the caller.
    let given = unsafe { slice(springs, count, "springs")? };
    let springs = given.iter().map(|s| s.checked()).collect::<Outcome<Vec<_>>>()?;
    Ok(SpringSet::of(&springs)?)
}

/// A reading of height and load.
fn reading(height_m: f64, load_n: f64) -> Outcome<(Length, Force)> {
    Ok((q("height of the spring", height_m)?, q("load of the spring", load_n)?))
}

/// The rate from two readings of height and load, N/m. Equal heights, and a load that does not grow as the spring gets shorter, are out of range.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_rate_from_readings(
    first_height_m: f64,
    first_load_n: f64,
    second_height_m: f64,
    second_load_n: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let first = reading(first_height_m, first_load_n)?;
        Ok(rate_from_readings(first, reading(second_height_m, second_load_n)?)?.si())
    })
}

/// A spring from two readings of height and load, and its solid height; the first reading is that of the spring.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_spring_from_readings(
    first_height_m: f64,
    first_load_n: f64,
    second_height_m: f64,
    second_load_n: f64,
    solid_height_m: f64,
    out: *mut swept_valve_spring,
) -> swept_status {
    answer_with(out, || {
        let first = reading(first_height_m, first_load_n)?;
        let second = reading(second_height_m, second_load_n)?;
        let spring = ValveSpring::from_readings(first, second, q("solid height", solid_height_m)?)?;
        Ok(swept_valve_spring {
            rate_n_per_m: spring.rate().si(),
            height_m: first_height_m,
            load_n: first_load_n,
            solid_height_m: spring.solid_height().si(),
        })
    })
}

/// Free height by the rate, m.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_free_height(
    spring: *const swept_valve_spring,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(spring, "spring")? }.checked()?.free_height().si()))
}

/// Load at a height from solid to free, N.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_load_at(
    spring: *const swept_valve_spring,
    height_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let spring = unsafe { get(spring, "spring")? }.checked()?;
        Ok(spring.load_at(q("height of the spring", height_m)?)?.si())
    })
}

/// Height at a load from zero to that of the solid height, m.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_height_at(
    spring: *const swept_valve_spring,
    load_n: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let spring = unsafe { get(spring, "spring")? }.checked()?;
        Ok(spring.height_at(q("load of the spring", load_n)?)?.si())
    })
}

/// Thickness of shim under a spring that brings a load with the valve seated, m; below zero, what to take out.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_shim_for(
    spring: *const swept_installed_spring,
    seat_load_n: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let spring = unsafe { get(spring, "spring")? }.checked()?;
        Ok(spring.shim_for(q("load of the spring", seat_load_n)?)?.si())
    })
}

/// The same spring with a shim more under it; below zero, with that much taken out.
/// A compressed spring holds enough to injure: a compressor made for it, and eye protection.
///
/// # Safety
/// `spring` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_spring_shimmed(
    spring: *const swept_installed_spring,
    thickness_m: f64,
    out: *mut swept_installed_spring,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let given = unsafe { get(spring, "spring")? };
        let shimmed = given.checked()?.shimmed(q("thickness of the shim", thickness_m)?)?;
        Ok(swept_installed_spring { installed_height_m: shimmed.height().si(), ..given })
    })
}

/// Rate, seat load and lift to coil bind of the springs of one valve: rates and loads add, the first to bind stops the valve. No spring is a wrong length.
///
/// # Safety
/// `springs` is valid for reads of `count` springs and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_springs_together(
    springs: *const swept_installed_spring,
    count: usize,
    out: *mut swept_spring_set,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let set = unsafe { together(springs, count)? };
        let figures: [f64; 3] =
            [SpringRate::si(set.rate()), Force::si(set.seat_load()), Length::si(set.lift_to_bind())];
        let [rate_n_per_m, seat_load_n, lift_to_bind_m] = finite_results(figures)?;
        Ok(swept_spring_set { rate_n_per_m, seat_load_n, lift_to_bind_m })
    })
}

/// Sum of the loads at a lift of the valve, N. A lift below zero or beyond coil bind is out of range.
///
/// # Safety
/// `springs` is valid for reads of `count` springs and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_springs_load(
    springs: *const swept_installed_spring,
    count: usize,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { together(springs, count)? }.load(q("lift of the valve", lift_m)?)?.si()))
}

/// Coil-bind margin of the first spring to bind, m: its lift to bind less a lift of the valve; below zero it would bind before that lift.
///
/// # Safety
/// `springs` is valid for reads of `count` springs and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_springs_coil_bind_margin(
    springs: *const swept_installed_spring,
    count: usize,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let set = unsafe { together(springs, count)? };
        Ok(set.coil_bind_margin(q("lift of the valve", lift_m)?)?.si())
    })
}

/// Clearance of the retainer to the seal or the guide at a lift, m: the gap with the valve seated less the lift; below zero they would meet.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_retainer_clearance(
    installed_gap_m: f64,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let gap = q("gap under the retainer with the valve seated", installed_gap_m)?;
        Ok(retainer_clearance(gap, q("lift of the valve", lift_m)?)?.si())
    })
}
