//! Press and shrink fits.

use crate::status::{
    Outcome, answer, answer_two, check_out, finite_result, get, guard, positive, q, swept_status, write,
};
use swept::clearance::{PressFit, PressPart};
use swept::units::{Dimensioned, Pressure};

/// Two parts pressed or shrunk together, the outer one's bore on the inner one's outside; diameters are those of the free parts.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_press_fit {
    /// Bore of the inner part; zero for a solid shaft, m.
    pub inner_bore_m: f64,
    /// Outside diameter of the inner part, m.
    pub inner_outside_m: f64,
    /// Young's modulus of the inner part, Pa.
    pub inner_young_pa: f64,
    /// Poisson's ratio of the inner part, from 0 to below 0.5.
    pub inner_poisson: f64,
    /// Bore of the outer part, m.
    pub outer_bore_m: f64,
    /// Outside diameter of the outer part, m.
    pub outer_outside_m: f64,
    /// Young's modulus of the outer part, Pa.
    pub outer_young_pa: f64,
    /// Poisson's ratio of the outer part, from 0 to below 0.5.
    pub outer_poisson: f64,
    /// Interference on the diameter, from zero to a tenth of it, m.
    pub interference_m: f64,
}

/// Hoop stresses of a press fit, tension positive.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_press_stresses {
    /// At the inner part's bore (at its axis, for a solid shaft), Pa.
    pub inner_at_bore_pa: f64,
    /// Of the inner part at the contact, Pa.
    pub inner_at_contact_pa: f64,
    /// Of the outer part at the contact: the largest in it, Pa.
    pub outer_at_contact_pa: f64,
    /// At the outer part's outside, Pa.
    pub outer_at_outside_pa: f64,
}

impl swept_press_fit {
    fn checked(self) -> Outcome<PressFit> {
        let inner = PressPart::new(
            q("bore of the inner part", self.inner_bore_m)?,
            positive("outside of the inner part", self.inner_outside_m)?,
            positive("Young's modulus of the inner part", self.inner_young_pa)?,
            q("Poisson's ratio of the inner part", self.inner_poisson)?,
        );
        let outer = PressPart::new(
            positive("bore of the outer part", self.outer_bore_m)?,
            positive("outside of the outer part", self.outer_outside_m)?,
            positive("Young's modulus of the outer part", self.outer_young_pa)?,
            q("Poisson's ratio of the outer part", self.outer_poisson)?,
        );
        // Both parts have the same fields: the error says which part it is of.
        let inner = inner.map_err(|e| e.at(None, "inner part"))?;
        let outer = outer.map_err(|e| e.at(None, "outer part"))?;
        Ok(PressFit::new(inner, outer, q("interference", self.interference_m)?)?)
    }
}

/// Reads a press fit.
///
/// # Safety
/// `fit` is null or valid for a read.
unsafe fn read(fit: *const swept_press_fit) -> Outcome<PressFit> {
    // SAFETY: passed on from the caller.
    unsafe { get(fit, "fit")? }.checked()
}

/// Contact pressure, Pa (Lame). A fit that cannot be is out of range, here and below: a bore not below the outside, an interference below
/// zero or above a tenth of the diameter.
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_pressure(
    fit: *const swept_press_fit,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(fit)? }.pressure().si()))
}

/// Hoop stresses at the four surfaces (Lame).
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_stresses(
    fit: *const swept_press_fit,
    out: *mut swept_press_stresses,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let found = unsafe { read(fit)? }.stresses()?;
        let pa = |stress: Pressure| finite_result(stress.si());
        let value = swept_press_stresses {
            inner_at_bore_pa: pa(found.inner_at_bore)?,
            inner_at_contact_pa: pa(found.inner_at_contact)?,
            outer_at_contact_pa: pa(found.outer_at_contact)?,
            outer_at_outside_pa: pa(found.outer_at_outside)?,
        };
        write(out, value)
    })
}

/// Tresca's equivalent stress of the inner and of the outer part where it is largest, Pa, to be held against their yield strength.
///
/// # Safety
/// `fit` is valid for a read, `out_inner_pa` and `out_outer_pa` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_equivalent_stresses(
    fit: *const swept_press_fit,
    out_inner_pa: *mut f64,
    out_outer_pa: *mut f64,
) -> swept_status {
    answer_two(out_inner_pa, out_outer_pa, || {
        // SAFETY: passed on from the caller.
        let (inner, outer) = unsafe { read(fit)? }.equivalent_stresses()?;
        Ok((inner.si(), outer.si()))
    })
}

/// Axial force that a length of contact holds, N: friction x pressure x pi d L.
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_holding_force(
    fit: *const swept_press_fit,
    length_m: f64,
    friction: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let fit = unsafe { read(fit)? };
        let length = positive("length of contact", length_m)?;
        Ok(fit.holding_force(length, q("friction", friction)?)?.si())
    })
}

/// Torque that a length of contact holds, N m: holding force x d / 2.
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_holding_torque(
    fit: *const swept_press_fit,
    length_m: f64,
    friction: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let fit = unsafe { read(fit)? };
        let length = positive("length of contact", length_m)?;
        Ok(fit.holding_torque(length, q("friction", friction)?)?.si())
    })
}

/// By how much to heat the outer part, or to cool the inner one, to assemble with a gap on the diameter, K.
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_assembly_temperature(
    fit: *const swept_press_fit,
    gap_m: f64,
    expansion_per_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let fit = unsafe { read(fit)? };
        let expansion = positive("coefficient of expansion", expansion_per_k)?;
        Ok(fit.assembly_temperature(q("gap", gap_m)?, expansion)?.si())
    })
}

/// Interference that is left with both parts warmer than at assembly by so much, m; out of range where it is lost.
///
/// # Safety
/// `fit` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_press_fit_warmed_interference(
    fit: *const swept_press_fit,
    outer_expansion_per_k: f64,
    outer_rise_k: f64,
    inner_expansion_per_k: f64,
    inner_rise_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let fit = unsafe { read(fit)? };
        let outer = (q("expansion of the outer part", outer_expansion_per_k)?, q("its rise", outer_rise_k)?);
        let inner = (q("expansion of the inner part", inner_expansion_per_k)?, q("its rise", inner_rise_k)?);
        Ok(fit.warmed(outer, inner)?.interference().si())
    })
}
