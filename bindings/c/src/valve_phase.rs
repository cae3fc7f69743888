//! What shifts the phase of a cam: offset keys and bushes, a stretched chain, another centre distance.

use crate::clearance::not_one_of;
use crate::status::{Outcome, answer, get, q, swept_status};
use swept::units::{Dimensioned, Length};
use swept::valvetrain::timing::sprocket_pitch_radius;
use swept::valvetrain::{ChainDrive, OffsetPart};

/// An offset part: a stepped key between camshaft and sprocket, at the radius of the shaft.
pub const SWEPT_CAM_KEY: i32 = 0;
/// An offset part: an eccentric bush on the dowel between camshaft and sprocket, at the radius of the dowel's circle.
pub const SWEPT_CAM_BUSH: i32 = 1;
/// An offset part: a stepped key between crankshaft and sprocket, at the radius of the shaft.
pub const SWEPT_CRANK_KEY: i32 = 2;

/// A chain or a belt straight from the crank to an overhead cam, tight on the side that the crank pulls.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_chain_drive {
    /// Pitch radius of the crank sprocket, m.
    pub crank_radius_m: f64,
    /// Pitch radius of the cam sprocket, m.
    pub cam_radius_m: f64,
    /// Distance of the centres, above the sum of the radii, m.
    pub centre_distance_m: f64,
}

impl swept_chain_drive {
    fn checked(self) -> Outcome<ChainDrive> {
        let length = Length::from_si;
        let (crank, cam) = (length(self.crank_radius_m), length(self.cam_radius_m));
        Ok(ChainDrive::new(crank, cam, length(self.centre_distance_m))?)
    }
}

fn part_of(given: i32) -> Outcome<OffsetPart> {
    match given {
        SWEPT_CAM_KEY => Ok(OffsetPart::CamKey),
        SWEPT_CAM_BUSH => Ok(OffsetPart::CamBush),
        SWEPT_CRANK_KEY => Ok(OffsetPart::CrankKey),
        other => Err(not_one_of("part", other, "0 (cam key), 1 (cam bush) or 2 (crank key)")),
    }
}

/// The advance, crank angle, that an offset at a radius gives, rad. `part` is SWEPT_CAM_KEY, SWEPT_CAM_BUSH or SWEPT_CRANK_KEY; the offset is positive
/// where the driven part stands ahead in running direction, and at most the radius.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_offset_part_advance(
    part: i32,
    offset_m: f64,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || Ok(part_of(part)?.advance(q("offset", offset_m)?, q("radius", radius_m)?)?.si()))
}

/// The offset, m, that gives an advance, crank angle; an advance out of reach has no solution.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_offset_part_offset_for(
    part: i32,
    advance_rad: f64,
    radius_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || Ok(part_of(part)?.offset_for(q("advance", advance_rad)?, q("radius", radius_m)?)?.si()))
}

/// Pitch radius of a sprocket of 3 teeth or more, m: pitch / (2 sin(pi / teeth)).
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_sprocket_pitch_radius(
    pitch_m: f64,
    teeth: u32,
    out: *mut f64,
) -> swept_status {
    answer(out, || Ok(sprocket_pitch_radius(q("chain pitch", pitch_m)?, teeth)?.si()))
}

/// Length of the free tight span, the outer tangent of the pitch circles, m.
///
/// # Safety
/// `drive` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_chain_drive_tight_span(
    drive: *const swept_chain_drive,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(drive, "drive")? }.checked()?.tight_span().si()))
}

/// The advance, crank angle, that stretch of the tight span brings, rad; never above zero: the cam lags. An elongation below zero or longer than the
/// span is out of range.
///
/// # Safety
/// `drive` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_chain_drive_advance_from_stretch(
    drive: *const swept_chain_drive,
    elongation_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let drive = unsafe { get(drive, "drive")? }.checked()?;
        Ok(drive.advance_from_stretch(q("elongation of the tight span", elongation_m)?)?.si())
    })
}

/// The advance, crank angle, that a change of the centre distance brings, rad: below zero for a milled head or deck (centres closer), above zero for a
/// thicker gasket.
///
/// # Safety
/// `drive` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_chain_drive_advance_from_centre_distance(
    drive: *const swept_chain_drive,
    change_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let drive = unsafe { get(drive, "drive")? }.checked()?;
        Ok(drive.advance_from_centre_distance(q("change of the centre distance", change_m)?)?.si())
    })
}
