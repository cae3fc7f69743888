//! Bolts in a joint: stiffness, preload from stretch or turn, load share, separation, a cap held at an angle.
//!
//! Figures of a formula, not a tightening instruction: fasteners are torqued by their maker's procedure.

use crate::status::{Outcome, answer, answer_two, get, positive, q, slice, swept_status};
use swept::clearance::{self, BoltedJoint, ShankStep};
use swept::units::Dimensioned;

/// Reads the steps of a shank.
///
/// # Safety
/// `lengths` and `areas` are null or valid for reads of `count` values.
unsafe fn shank(lengths: *const f64, areas: *const f64, count: usize) -> Outcome<Vec<ShankStep>> {
    // SAFETY: passed on from the caller.
    let (lengths, areas) = unsafe { (slice(lengths, count, "lengths_m")?, slice(areas, count, "areas_m2")?) };
    let step = |(length, area): (&f64, &f64)| {
        Ok(ShankStep {
            length: positive("length of a step", *length)?,
            area: positive("area of a step", *area)?,
        })
    };
    lengths.iter().zip(areas).map(step).collect()
}

/// Stiffness of a stepped shank, N/m: E / sum of (L / A). Each step has its length and its area, of a threaded stretch the stress area; no
/// steps are a wrong length.
///
/// # Safety
/// `lengths_m` and `areas_m2` are valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_shank_stiffness(
    lengths_m: *const f64,
    areas_m2: *const f64,
    count: usize,
    young_pa: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let steps = unsafe { shank(lengths_m, areas_m2, count)? };
        Ok(clearance::shank_stiffness(&steps, positive("Young's modulus", young_pa)?)?)
    })
}

/// Stretch of a stepped shank under a preload, m; the shank as for swept_shank_stiffness().
///
/// # Safety
/// `lengths_m` and `areas_m2` are valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_stretch_for(
    preload_n: f64,
    lengths_m: *const f64,
    areas_m2: *const f64,
    count: usize,
    young_pa: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let steps = unsafe { shank(lengths_m, areas_m2, count)? };
        let preload = positive("preload", preload_n)?;
        Ok(clearance::stretch_for(preload, &steps, positive("Young's modulus", young_pa)?)?.si())
    })
}

/// Preload from the measured stretch of a stepped shank, N; the shank as for swept_shank_stiffness().
///
/// # Safety
/// `lengths_m` and `areas_m2` are valid for reads of `count` values, `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_preload_from_stretch(
    stretch_m: f64,
    lengths_m: *const f64,
    areas_m2: *const f64,
    count: usize,
    young_pa: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let steps = unsafe { shank(lengths_m, areas_m2, count)? };
        let stretch = positive("stretch", stretch_m)?;
        Ok(clearance::preload_from_stretch(stretch, &steps, positive("Young's modulus", young_pa)?)?.si())
    })
}

/// Turn of the nut past snug for a stretch, rad, the clamped parts giving by `compression_m`.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_turn_for(
    stretch_m: f64,
    compression_m: f64,
    pitch_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (stretch, compression) = (q("stretch", stretch_m)?, q("compression", compression_m)?);
        Ok(clearance::turn_for(stretch, compression, positive("pitch", pitch_m)?)?.si())
    })
}

/// Preload from the turn of the nut past snug, N, the clamped parts giving by their own stiffness; infinity for `parts_stiffness_n_per_m`
/// says that they do not give.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_preload_from_turn(
    angle_rad: f64,
    pitch_m: f64,
    bolt_stiffness_n_per_m: f64,
    parts_stiffness_n_per_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let parts = (parts_stiffness_n_per_m != f64::INFINITY).then_some(parts_stiffness_n_per_m);
        let (angle, pitch) = (positive("angle", angle_rad)?, positive("pitch", pitch_m)?);
        Ok(clearance::preload_from_turn(angle, pitch, bolt_stiffness_n_per_m, parts)?.si())
    })
}

/// Stiffness of clamped parts of one material between a head and a nut, N/m, by two frusta of 30 deg: an estimate.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_parts_stiffness(
    grip_m: f64,
    diameter_m: f64,
    young_pa: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (grip, diameter) = (positive("grip", grip_m)?, positive("diameter", diameter_m)?);
        Ok(clearance::parts_stiffness(grip, diameter, positive("Young's modulus", young_pa)?)?)
    })
}

/// A bolt preloaded in a joint.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_bolted_joint {
    /// Preload, N.
    pub preload_n: f64,
    /// Stiffness of the bolt, N/m; only the ratio of the two counts.
    pub bolt_stiffness_n_per_m: f64,
    /// Stiffness of the clamped parts, N/m.
    pub parts_stiffness_n_per_m: f64,
}

impl swept_bolted_joint {
    fn checked(self) -> Outcome<BoltedJoint> {
        let preload = q("preload", self.preload_n)?;
        let bolt = q("stiffness of the bolt", self.bolt_stiffness_n_per_m)?;
        Ok(BoltedJoint::new(preload, bolt, q("stiffness of the parts", self.parts_stiffness_n_per_m)?)?)
    }
}

/// Reads a joint.
///
/// # Safety
/// `joint` is null or valid for a read.
unsafe fn read(joint: *const swept_bolted_joint) -> Outcome<BoltedJoint> {
    // SAFETY: passed on from the caller.
    unsafe { get(joint, "joint")? }.checked()
}

/// The share of an outer load that the bolt takes: bolt / (bolt + parts).
///
/// # Safety
/// `joint` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bolted_joint_load_share(
    joint: *const swept_bolted_joint,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(joint)? }.load_share().si()))
}

/// Load in the bolt under an outer load, positive where it pulls the joint apart, N; the outer load itself once the joint is open.
///
/// # Safety
/// `joint` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bolted_joint_bolt_load(
    joint: *const swept_bolted_joint,
    outer_n: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(joint)? }.bolt_load(q("outer load", outer_n)?)?.si()))
}

/// What still clamps the joint under an outer load, positive where it pulls the joint apart, N; never below zero.
///
/// # Safety
/// `joint` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bolted_joint_clamp_load(
    joint: *const swept_bolted_joint,
    outer_n: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(joint)? }.clamp_load(q("outer load", outer_n)?)?.si()))
}

/// The outer load that opens the joint, N.
///
/// # Safety
/// `joint` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_bolted_joint_separation_load(
    joint: *const swept_bolted_joint,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(joint)? }.separation_load().si()))
}

/// What a bolt at an angle to the parting line's normal does, N: what clamps the cap and what pulls it sideways, in the direction of the
/// angle. 90 deg and more either way are out of range.
///
/// # Safety
/// `out_clamp_n` and `out_sideways_n` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_angled_clamp(
    preload_n: f64,
    angle_rad: f64,
    out_clamp_n: *mut f64,
    out_sideways_n: *mut f64,
) -> swept_status {
    answer_two(out_clamp_n, out_sideways_n, || {
        let (clamp, sideways) = clearance::angled_clamp(q("preload", preload_n)?, q("angle", angle_rad)?)?;
        Ok((clamp.si(), sideways.si()))
    })
}
