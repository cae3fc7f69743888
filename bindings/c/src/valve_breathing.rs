//! What a valve leaves open, gas speed, runner, volume trapped at the closing of the intake valve.

use crate::cylinder::{of_cylinder, swept_cylinder};
use crate::status::{
    Outcome, answer, answer_with, check_out, finite_results, get, guard, q, swept_status, write,
};
use swept::units::{Dimensioned, Length};
use swept::valvetrain::breathing::{
    curtain_area, mach_index, mean_gas_speed, runner_length_for, runner_volume, speed_of_sound_in_air,
    trapped_volume,
};
use swept::valvetrain::{FlowStage, PoppetValve};

/// The narrowest place of an open valve: the frustum at right angles to the seat.
pub const SWEPT_STAGE_SEAT: i32 = 0;
/// The narrowest place: the frustum from the inner edge of the valve's face to the outer edge of the seat.
pub const SWEPT_STAGE_SEAT_EDGES: i32 = 1;
/// The narrowest place: the throat, the port less the stem.
pub const SWEPT_STAGE_THROAT: i32 = 2;

/// A poppet valve on its conical seat, and the throat behind it.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_poppet_valve {
    /// Head diameter, at the outer edge of the seat face, m.
    pub head_diameter_m: f64,
    /// Seat width, measured radially, below half the head diameter, m.
    pub seat_width_m: f64,
    /// Seat angle from the plane of the head, from 0 to below pi/2, rad.
    pub seat_angle_rad: f64,
    /// Port diameter, at most the head's, m.
    pub port_diameter_m: f64,
    /// Stem diameter, below the port's, m.
    pub stem_diameter_m: f64,
}

/// Figures of a poppet valve that no lift changes.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_poppet_figures {
    /// Mean seat diameter: head diameter - seat width, m.
    pub mean_seat_diameter_m: f64,
    /// Throat area: pi/4 (port^2 - stem^2), m2.
    pub throat_area_m2: f64,
    /// The lift at which the plain curtain of the head diameter is as large as the throat, m.
    pub lift_for_curtain_m: f64,
    /// The lift up to which the narrowest frustum stands at right angles to the seat, m; NaN for a flat seat, where it always does.
    pub end_of_seat_stage_m: f64,
    /// The lift from which the throat is the narrowest place: more lift opens nothing more, m.
    pub lift_for_throat_m: f64,
}

impl swept_poppet_valve {
    fn checked(self) -> Outcome<PoppetValve> {
        let length = Length::from_si;
        let (head, width) = (length(self.head_diameter_m), length(self.seat_width_m));
        let (port, stem) = (length(self.port_diameter_m), length(self.stem_diameter_m));
        Ok(PoppetValve::new(head, width, q("seat angle", self.seat_angle_rad)?, port, stem)?)
    }
}

/// Reads a valve.
///
/// # Safety
/// `valve` is null or valid for a read.
unsafe fn read(valve: *const swept_poppet_valve) -> Outcome<PoppetValve> {
    // SAFETY: passed on from the caller.
    unsafe { get(valve, "valve")? }.checked()
}

/// Curtain area, the plain figure, m2: pi x diameter x lift.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_curtain_area(diameter_m: f64, lift_m: f64, out: *mut f64) -> swept_status {
    answer(out, || Ok(curtain_area(q("valve diameter", diameter_m)?, q("lift", lift_m)?)?.si()))
}

/// The minimum flow area of a poppet valve at a lift, m2: the smallest of the frustum between the faces, the frustum between their edges, and the throat.
///
/// # Safety
/// `valve` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_poppet_minimum_area(
    valve: *const swept_poppet_valve,
    lift_m: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { read(valve)? }.minimum_area(q("lift", lift_m)?)?.si()))
}

/// Which place of a poppet valve is the narrowest at a lift: SWEPT_STAGE_SEAT, SWEPT_STAGE_SEAT_EDGES or SWEPT_STAGE_THROAT.
///
/// # Safety
/// `valve` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_poppet_stage(
    valve: *const swept_poppet_valve,
    lift_m: f64,
    out: *mut i32,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let stage = match unsafe { read(valve)? }.stage(q("lift", lift_m)?)? {
            FlowStage::Seat => SWEPT_STAGE_SEAT,
            FlowStage::SeatEdges => SWEPT_STAGE_SEAT_EDGES,
            FlowStage::Throat => SWEPT_STAGE_THROAT,
        };
        write(out, stage)
    })
}

/// Figures of a poppet valve that no lift changes.
///
/// # Safety
/// `valve` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_poppet_valve_figures(
    valve: *const swept_poppet_valve,
    out: *mut swept_poppet_figures,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let valve = unsafe { read(valve)? };
        let lengths = [valve.mean_seat_diameter(), valve.lift_for_curtain(), valve.lift_for_throat()?];
        let [mean_seat_diameter_m, lift_for_curtain_m, lift_for_throat_m] =
            finite_results(lengths.map(Length::si))?;
        let end = valve.end_of_seat_stage().map(|lift| finite_results([lift.si()])).transpose()?;
        let [end_of_seat_stage_m] = end.unwrap_or([f64::NAN]);
        let [throat_area_m2] = finite_results([valve.throat_area().si()])?;
        Ok(swept_poppet_figures {
            mean_seat_diameter_m,
            throat_area_m2,
            lift_for_curtain_m,
            end_of_seat_stage_m,
            lift_for_throat_m,
        })
    })
}

/// Mean gas speed through the valves, m/s: mean piston speed x piston area / valve area, the area of all valves of the kind together.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_mean_gas_speed(
    mean_piston_speed_m_s: f64,
    piston_area_m2: f64,
    valve_area_m2: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (piston, valve) = (q("piston area", piston_area_m2)?, q("valve area", valve_area_m2)?);
        Ok(mean_gas_speed(q("mean piston speed", mean_piston_speed_m_s)?, piston, valve)?.si())
    })
}

/// Mach index: mean gas speed through the nominal valve area (pi/4 x head diameter^2, of all intake valves) / (mean inlet flow coefficient, at most 1, x
/// speed of sound). Volumetric efficiency falls off above about 0.6.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_mach_index(
    mean_gas_speed_m_s: f64,
    flow_coefficient: f64,
    speed_of_sound_m_s: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let coefficient = q("mean inlet flow coefficient", flow_coefficient)?;
        let sound = q("speed of sound", speed_of_sound_m_s)?;
        Ok(mach_index(q("mean gas speed", mean_gas_speed_m_s)?, coefficient, sound)?.si())
    })
}

/// Speed of sound in dry air as an ideal gas, m/s.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_speed_of_sound_in_air(temperature_k: f64, out: *mut f64) -> swept_status {
    answer(out, || Ok(speed_of_sound_in_air(q("temperature", temperature_k)?)?.si()))
}

/// Volume of a runner that tapers straight from one area to another of the same shape, m3: length / 3 x (A + sqrt(A B) + B).
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_runner_volume(
    length_m: f64,
    entry_m2: f64,
    exit_m2: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (entry, exit) = (q("entry area", entry_m2)?, q("exit area", exit_m2)?);
        Ok(runner_volume(q("runner length", length_m)?, entry, exit)?.si())
    })
}

/// The length of a runner between two areas that gives a volume, m.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_runner_length_for(
    volume_m3: f64,
    entry_m2: f64,
    exit_m2: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        let (entry, exit) = (q("entry area", entry_m2)?, q("exit area", exit_m2)?);
        Ok(runner_length_for(q("runner volume", volume_m3)?, entry, exit)?.si())
    })
}

/// Volume trapped at the closing of the intake valve, a crank angle after bottom dead centre, m3: all that is above the piston then, the clearance volume
/// included.
///
/// # Safety
/// `cylinder` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_trapped_volume(
    cylinder: *const swept_cylinder,
    clearance_m3: f64,
    intake_closing_rad: f64,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    unsafe {
        of_cylinder(cylinder, out, |c| {
            let closing = q("intake closing", intake_closing_rad)?;
            Ok(trapped_volume(c, q("clearance volume", clearance_m3)?, closing)?.si())
        })
    }
}
