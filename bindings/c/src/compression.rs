//! Clearance volume and compression ratios.

use crate::cylinder::{of_cylinder, swept_cylinder};
use crate::status::{Outcome, check_out, get, guard, positive, put, q, swept_status};
use swept::geometry::{self, ClearanceVolume};
use swept::units::Dimensioned;

/// The volumes above the piston at top dead centre.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_clearance_volume {
    /// Combustion chamber, m3.
    pub chamber_m3: f64,
    /// Gasket, m3.
    pub gasket_m3: f64,
    /// Between crown and deck, negative with the piston above the deck, m3.
    pub deck_m3: f64,
    /// Crown, dish positive, dome negative, m3.
    pub crown_m3: f64,
    /// Ring-land crevice, m3.
    pub crevice_m3: f64,
}

impl swept_clearance_volume {
    fn checked(self) -> Outcome<ClearanceVolume> {
        Ok(ClearanceVolume {
            chamber: q("chamber", self.chamber_m3)?,
            gasket: q("gasket", self.gasket_m3)?,
            deck: q("deck", self.deck_m3)?,
            crown: q("crown", self.crown_m3)?,
            crevice: q("crevice", self.crevice_m3)?,
        })
    }
}

/// Writes what `f` makes of checked volumes.
///
/// # Safety
/// `volumes` is null or valid for a read, `out` null or valid for a write.
unsafe fn of_volumes(
    volumes: *const swept_clearance_volume,
    out: *mut f64,
    f: impl FnOnce(ClearanceVolume) -> Outcome<f64>,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let volumes = unsafe { get(volumes, "volumes")? }.checked()?;
        put(out, f(volumes)?)
    })
}

/// Volume of a disc, m3.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_disc_volume(diameter_m: f64, height_m: f64, out: *mut f64) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(out, geometry::disc_volume(positive("diameter", diameter_m)?, q("height", height_m)?).si())
    })
}

/// Crevice between bore and top land, m3.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_ring_land_crevice(
    bore_m: f64,
    land_diameter_m: f64,
    land_height_m: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::ring_land_crevice(
                positive("bore", bore_m)?,
                q("land diameter", land_diameter_m)?,
                q("land height", land_height_m)?,
            )?
            .si(),
        )
    })
}

/// Compression ratio: (swept + clearance) / clearance.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_compression_ratio(
    swept_m3: f64,
    clearance_m3: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::compression_ratio(
                q("swept volume", swept_m3)?,
                positive("clearance volume", clearance_m3)?,
            )?
            .si(),
        )
    })
}

/// The clearance volume that gives a ratio, m3.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_clearance_volume_for(
    ratio: f64,
    swept_m3: f64,
    out: *mut f64,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        put(
            out,
            geometry::clearance_volume_for(q("compression ratio", ratio)?, q("swept volume", swept_m3)?)?
                .si(),
        )
    })
}

/// Trapped compression ratio, with the intake closing after bottom dead centre.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_trapped_compression_ratio(
    cylinder: *const swept_cylinder,
    clearance_m3: f64,
    intake_closing_rad: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            Ok(geometry::trapped_compression_ratio(
                c,
                positive("clearance volume", clearance_m3)?,
                q("intake closing", intake_closing_rad)?,
            )?
            .si())
        })
    }
}

/// The clearance volume: the sum of its parts, m3.
///
/// # Safety
/// `volumes` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_clearance_volume_total(
    volumes: *const swept_clearance_volume,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe { of_volumes(volumes, out, |v| Ok(v.total()?.si())) }
}

/// The chamber volume that gives a ratio, the other parts as they stand, m3.
///
/// # Safety
/// `volumes` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_chamber_volume_for(
    volumes: *const swept_clearance_volume,
    ratio: f64,
    swept_m3: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_volumes(volumes, out, |v| {
            Ok(geometry::chamber_volume_for(q("compression ratio", ratio)?, q("swept volume", swept_m3)?, v)?
                .si())
        })
    }
}

/// The crown volume that gives a ratio, the other parts as they stand, m3.
///
/// # Safety
/// `volumes` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_crown_volume_for(
    volumes: *const swept_clearance_volume,
    ratio: f64,
    swept_m3: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_volumes(volumes, out, |v| {
            Ok(geometry::crown_volume_for(q("compression ratio", ratio)?, q("swept volume", swept_m3)?, v)?
                .si())
        })
    }
}

/// The gasket thickness that gives a ratio, the other parts as they stand, m.
///
/// # Safety
/// `volumes` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_gasket_thickness_for(
    volumes: *const swept_clearance_volume,
    ratio: f64,
    swept_m3: f64,
    gasket_bore_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_volumes(volumes, out, |v| {
            Ok(geometry::gasket_thickness_for(
                q("compression ratio", ratio)?,
                q("swept volume", swept_m3)?,
                v,
                q("gasket bore", gasket_bore_m)?,
            )?
            .si())
        })
    }
}

/// The deck height that gives a ratio, m; the deck part of `volumes` is replaced.
///
/// # Safety
/// `cylinder` and `volumes` are valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_deck_height_for_ratio(
    cylinder: *const swept_cylinder,
    volumes: *const swept_clearance_volume,
    ratio: f64,
    compression_height_m: f64,
    out: *mut f64,
) -> swept_status {
    let with = |c: &geometry::Cylinder| {
        // SAFETY: passed on from the caller.
        let volumes = unsafe { get(volumes, "volumes")? }.checked()?;
        let (ratio, height) =
            (q("compression ratio", ratio)?, positive("compression height", compression_height_m)?);
        Ok(geometry::deck_height_for_ratio(ratio, c, height, volumes)?.si())
    };
    // SAFETY: passed on from the caller.
    unsafe { of_cylinder(cylinder, out, with) }
}
