//! Materials by name, and what grows with heat.

use crate::status::{
    Outcome, answer, answer_two, check_out, entry, guard, positive, q, swept_status, text, write,
};
use core::ffi::c_char;
use std::ffi::CString;
use std::sync::LazyLock;
use swept::clearance::{self, Material};
use swept::units::Dimensioned;

/// Name and source of every material, zero-terminated, in the order of the core.
static TEXTS: LazyLock<Vec<(CString, CString)>> = LazyLock::new(|| {
    let zero_terminated = |text: &str| CString::new(text).unwrap_or_default();
    Material::ALL.iter().map(|m| (zero_terminated(m.name()), zero_terminated(m.source()))).collect()
});

/// Writes one of the two texts of the material of an index.
fn text_of(
    index: usize,
    out: *mut *const c_char,
    which: fn(&(CString, CString)) -> &CString,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        write(out, which(entry(&TEXTS, index, "materials")?).as_ptr())
    })
}

/// Reads the material of a name.
///
/// # Safety
/// `name` is null or a zero-terminated text.
unsafe fn named(name: *const c_char) -> Outcome<Material> {
    // SAFETY: passed on from the caller.
    Ok(Material::named(unsafe { text(name, "material")? })?)
}

/// How many materials there are.
#[unsafe(no_mangle)]
pub extern "C" fn swept_material_count() -> usize {
    Material::ALL.len()
}

/// The name of the material of an index, from 0 and below swept_material_count(), as the calls below take it: "grey iron". Static, not to be
/// freed.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_material_name(index: usize, out: *mut *const c_char) -> swept_status {
    text_of(index, out, |texts| &texts.0)
}

/// Where the data on expansion of the material of an index come from. Static, not to be freed.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_material_source(index: usize, out: *mut *const c_char) -> swept_status {
    text_of(index, out, |texts| &texts.1)
}

/// Young's modulus, Pa, and Poisson's ratio of a material at room temperature. An unknown name is out of range, here and below, and the
/// message lists those known; upper and lower case are one.
///
/// # Safety
/// `material` is a zero-terminated text, `out_young_pa` and `out_poisson` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_material_elastic(
    material: *const c_char,
    out_young_pa: *mut f64,
    out_poisson: *mut f64,
) -> swept_status {
    answer_two(out_young_pa, out_poisson, || {
        // SAFETY: passed on from the caller.
        let material = unsafe { named(material)? };
        Ok((material.young().si(), material.poisson().si()))
    })
}

/// Mean coefficient of expansion from 20 degC to a temperature, 1/K: the middle of what sources give. Out of range beyond the data of the
/// material, which begin at 0 degC.
///
/// # Safety
/// `material` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_mean_expansion(
    material: *const c_char,
    temperature_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let material = unsafe { named(material)? };
        Ok(material.mean_coefficient(q("temperature", temperature_k)?)?.si())
    })
}

/// The least and the greatest mean coefficient from 20 degC to a temperature, 1/K, as far as sources differ.
///
/// # Safety
/// `material` is a zero-terminated text, `out_least_per_k` and `out_greatest_per_k` are valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_mean_expansion_range(
    material: *const c_char,
    temperature_k: f64,
    out_least_per_k: *mut f64,
    out_greatest_per_k: *mut f64,
) -> swept_status {
    answer_two(out_least_per_k, out_greatest_per_k, || {
        // SAFETY: passed on from the caller.
        let material = unsafe { named(material)? };
        let (least, greatest) = material.mean_coefficient_range(q("temperature", temperature_k)?)?;
        Ok((least.si(), greatest.si()))
    })
}

/// Thermal strain of a material from 20 degC to a temperature; below zero where it is colder.
///
/// # Safety
/// `material` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_thermal_strain(
    material: *const c_char,
    temperature_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let material = unsafe { named(material)? };
        Ok(material.thermal_strain(q("temperature", temperature_k)?)?.si())
    })
}

/// A length, bore or diameter, m, at another temperature than it was read at. A bore grows like the metal that once filled it.
///
/// # Safety
/// `material` is a zero-terminated text, `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_at_temperature(
    material: *const c_char,
    length_m: f64,
    from_k: f64,
    to_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let material = unsafe { named(material)? };
        let (from, to) = (q("temperature it was read at", from_k)?, q("temperature", to_k)?);
        Ok(material.at_temperature(q("length", length_m)?, from, to)?.si())
    })
}

/// End gap of a ring when hot, m, from the strains of ring and bore since the gap was read; zero or less: the ring butts.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_hot_end_gap(
    gap_m: f64,
    bore_m: f64,
    ring_strain: f64,
    bore_strain: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (ring, wall) = (q("strain of the ring", ring_strain)?, q("strain of the bore", bore_strain)?);
        Ok(clearance::hot_end_gap(q("gap", gap_m)?, positive("bore", bore_m)?, ring, wall).si())
    })
}

/// By how much to heat a part so that a length of it grows by so much, K; below zero, to cool it.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_heating_for(
    growth_m: f64,
    length_m: f64,
    expansion_per_k: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (growth, length) = (q("growth", growth_m)?, positive("length", length_m)?);
        let expansion = positive("coefficient of expansion", expansion_per_k)?;
        Ok(clearance::heating_for(growth, length, expansion)?.si())
    })
}
