//! Screw threads: stress area, proof load, torque and preload.
//!
//! Figures of a formula, not a tightening instruction: fasteners are torqued by their maker's procedure.

use crate::clearance::not_one_of;
use crate::status::{
    Outcome, answer, check_out, finite_result, get, guard, positive, q, swept_status, text, write,
};
use core::ffi::c_char;
use swept::clearance::{BoltFriction, PropertyClass, Thread};
use swept::units::{Dimensioned, Length};

/// A metric or unified screw thread.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_thread {
    /// Nominal diameter, m.
    pub diameter_m: f64,
    /// Pitch, below half the diameter, m.
    pub pitch_m: f64,
    /// 0: metric, 1: unified.
    pub unified: i32,
}

impl swept_thread {
    fn checked(self) -> Outcome<Thread> {
        let (diameter, pitch) = (q("thread diameter", self.diameter_m)?, q("pitch", self.pitch_m)?);
        match self.unified {
            0 => Ok(Thread::metric(diameter, pitch)?),
            1 => Ok(Thread::unified(diameter, pitch)?),
            other => Err(not_one_of("unified", other, "0 (metric) or 1 (unified)")),
        }
    }
}

/// Reads a thread.
///
/// # Safety
/// `thread` is null or valid for a read.
unsafe fn read(thread: *const swept_thread) -> Outcome<Thread> {
    // SAFETY: passed on from the caller.
    unsafe { get(thread, "thread")? }.checked()
}

fn friction(thread: f64, head: f64, head_diameter: f64) -> Outcome<BoltFriction> {
    let diameter: Length = q("mean bearing diameter of the head", head_diameter)?;
    let (thread, head) = (q("friction in the thread", thread)?, q("friction under the head", head)?);
    Ok(BoltFriction::new(thread, head, diameter)?)
}

/// Reads "M10" (coarse), "M10x1.25" (mm) or "7/16-20" (inch and threads per inch); a text that is no thread is unreadable.
///
/// # Safety
/// `thread` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_parse(thread: *const c_char, out: *mut swept_thread) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let thread = Thread::parse(unsafe { text(thread, "thread")? })?;
        let (diameter, pitch) = (thread.diameter(), thread.pitch());
        let unified = thread == Thread::unified(diameter, pitch)?;
        let (diameter_m, pitch_m) = (finite_result(diameter.si())?, finite_result(pitch.si())?);
        write(out, swept_thread { diameter_m, pitch_m, unified: i32::from(unified) })
    })
}

/// Tensile stress area, m2: pi/4 (d - 0.9382 P)^2 of a metric, pi/4 (d - 0.9743 P)^2 of a unified thread.
///
/// # Safety
/// `thread` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_stress_area(
    thread: *const swept_thread,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(thread)? }.stress_area().si()))
}

/// Pitch diameter, m: d - 0.649519 P.
///
/// # Safety
/// `thread` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_pitch_diameter(
    thread: *const swept_thread,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(thread)? }.pitch_diameter().si()))
}

/// Proof load of a proof stress, N: stress area x proof stress.
///
/// # Safety
/// `thread` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_proof_load(
    thread: *const swept_thread,
    proof_stress_pa: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let thread = unsafe { read(thread)? };
        Ok(thread.proof_load(positive("proof stress", proof_stress_pa)?)?.si())
    })
}

/// The torque that gives a preload, N m, with friction in the thread and under the head, on the mean bearing diameter of the head. Friction that
/// locks the thread is out of range.
///
/// # Safety
/// `thread` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_torque_for(
    thread: *const swept_thread,
    preload_n: f64,
    thread_friction: f64,
    head_friction: f64,
    head_diameter_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let thread = unsafe { read(thread)? };
        let friction = friction(thread_friction, head_friction, head_diameter_m)?;
        Ok(thread.torque_for(positive("preload", preload_n)?, &friction)?.si())
    })
}

/// The preload that a torque gives, N; friction as for swept_thread_torque_for().
///
/// # Safety
/// `thread` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thread_preload_from_torque(
    thread: *const swept_thread,
    torque_n_m: f64,
    thread_friction: f64,
    head_friction: f64,
    head_diameter_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let thread = unsafe { read(thread)? };
        let friction = friction(thread_friction, head_friction, head_diameter_m)?;
        Ok(thread.preload_from_torque(positive("torque", torque_n_m)?, &friction)?.si())
    })
}

/// Proof stress of a bolt of a property class, "8.8", "9.8", "10.9" or "12.9", and a diameter, Pa (ISO 898-1). Another class is out of range.
///
/// # Safety
/// `property_class` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_proof_stress(
    property_class: *const c_char,
    diameter_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let class = PropertyClass::named(unsafe { text(property_class, "property_class")? })?;
        Ok(class.proof_stress(positive("diameter", diameter_m)?).si())
    })
}
