//! The least clearance of a valve over the crank angle, advance limits, pocket depth, walls.

use crate::clearance::not_one_of;
use crate::status::{
    Outcome, answer, answer_with, check_out, finite_results, get, guard, q, swept_status, write, write_list,
};
use crate::valve_gap::swept_piston_to_valve;
use crate::valve_train::{Read, swept_valve_motion};
use crate::valve_wheel::quantities;
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::pocket::{
    ClearanceSearch, CrankGrid, LeastClearance, LeastWall, MeasuredAlong, PistonToValve,
};

/// Clearance along the cylinder axis: how far the piston may rise.
pub const SWEPT_ALONG_CYLINDER_AXIS: i32 = 0;
/// Clearance along the stem: how far the valve goes when pushed down until it touches.
pub const SWEPT_ALONG_STEM: i32 = 1;

/// A search for the least clearance of one valve over a turn of the crank about overlap top dead centre.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_clearance_search {
    /// Valve and piston.
    pub gap: swept_piston_to_valve,
    /// The lift.
    pub motion: swept_valve_motion,
    /// How many crank angles to look at, in equal steps: an even count from 72 to 36000; 0 for 3600.
    pub per_turn: u32,
    /// SWEPT_ALONG_CYLINDER_AXIS or SWEPT_ALONG_STEM.
    pub along: i32,
}

/// The least clearance of a valve to its piston and where it is.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_least_clearance_found {
    /// The clearance; below zero where the parts would meet; m.
    pub clearance_m: f64,
    /// The first crank angle looked at that has it, from overlap top dead centre, rad.
    pub crank_rad: f64,
    /// The lift there, m.
    pub lift_m: f64,
    /// How many clearances were computed to find it, bounds included.
    pub evaluations: usize,
}

/// Between which advances a valve keeps a clearance.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_advance_range {
    /// The least advance that keeps it, crank angle (below zero: retard), rad.
    pub least_rad: f64,
    /// The greatest advance that keeps it, rad.
    pub greatest_rad: f64,
    /// 1 where every advance looked at between them keeps it too, else 0.
    pub unbroken: i32,
}

/// The least clearance of the rim to a wall and where it is.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_wall_clearance {
    /// The clearance; below zero where the parts would meet; m.
    pub clearance_m: f64,
    /// The first crank angle looked at that has it, from overlap top dead centre, rad.
    pub crank_rad: f64,
    /// The lift there, m.
    pub lift_m: f64,
}

/// A grid of so many angles a turn.
pub(crate) fn grid(per_turn: u32) -> Outcome<CrankGrid> {
    if per_turn == 0 {
        return Ok(CrankGrid::default());
    }
    Ok(CrankGrid::new(per_turn)?)
}

/// A search that was read.
struct Searched<'a> {
    given: swept_clearance_search,
    gap: PistonToValve,
    train: Read<'a>,
    grid: CrankGrid,
    along: MeasuredAlong,
}

/// Reads a search.
///
/// # Safety
/// `search` is null or valid for a read, its curve null or alive while the result is used, its pocket and its rocker null or valid for a read.
unsafe fn read<'a>(search: *const swept_clearance_search) -> Outcome<Searched<'a>> {
    // SAFETY: passed on from the caller.
    let (given, gap, train) = unsafe {
        let given = get(search, "search")?;
        (given, given.gap.checked()?, given.motion.read()?)
    };
    let along = match given.along {
        SWEPT_ALONG_CYLINDER_AXIS => MeasuredAlong::CylinderAxis,
        SWEPT_ALONG_STEM => MeasuredAlong::Stem,
        other => return Err(not_one_of("along", other, "0 (cylinder axis) or 1 (stem)")),
    };
    Ok(Searched { given, gap, train, grid: grid(given.per_turn)?, along })
}

impl Searched<'_> {
    fn search(&self) -> Outcome<ClearanceSearch<'_, impl Fn(Angle) -> Length>> {
        let motion = self.given.motion.of(&self.train)?;
        Ok(ClearanceSearch { gap: &self.gap, grid: self.grid, along: self.along, motion })
    }
}

impl swept_least_clearance_found {
    fn of(found: &LeastClearance) -> Outcome<Self> {
        let [clearance_m, crank_rad, lift_m] =
            finite_results([found.clearance.si(), found.crank.si(), found.lift.si()])?;
        Ok(Self { clearance_m, crank_rad, lift_m, evaluations: found.evaluations })
    }
}

impl swept_wall_clearance {
    fn of(found: Option<LeastWall>) -> Outcome<Self> {
        let figures =
            |wall: LeastWall| finite_results([wall.clearance.si(), wall.crank.si(), wall.lift.si()]);
        let [clearance_m, crank_rad, lift_m] = found.map_or(Ok([f64::NAN; 3]), figures)?;
        Ok(Self { clearance_m, crank_rad, lift_m })
    }
}

/// The least clearance of a valve to its piston, computed only where it can be: the same as swept_least_clearance_every_angle(), sooner. A lift that falls
/// before its peak or rises after it is out of range.
/// A valve that meets a piston breaks both: measure the clearance in the engine, and turn it by hand, before it is started.
///
/// # Safety
/// `search` is valid for a read, its curve alive, its pocket and its rocker null or valid for a read, `out` valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_least_clearance(
    search: *const swept_clearance_search,
    out: *mut swept_least_clearance_found,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let read = unsafe { read(search)? };
        swept_least_clearance_found::of(&read.search()?.bounded()?)
    })
}

/// The least clearance of a valve to its piston, computed at every angle looked at.
///
/// # Safety
/// As swept_least_clearance().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_least_clearance_every_angle(
    search: *const swept_clearance_search,
    out: *mut swept_least_clearance_found,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let read = unsafe { read(search)? };
        swept_least_clearance_found::of(&read.search()?.every_angle()?)
    })
}

/// The least clearance with the cam advanced by each of several crank angles; below zero: retarded.
///
/// # Safety
/// As swept_least_clearance(); `advances_rad` is valid for reads of `count` numbers and `out` for writes of as many results; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_clearance_at_advances(
    search: *const swept_clearance_search,
    advances_rad: *const f64,
    count: usize,
    out: *mut swept_least_clearance_found,
) -> swept_status {
    guard(|| {
        check_out(out)?;
        // SAFETY: passed on from the caller.
        let (read, advances) =
            unsafe { (read(search)?, quantities::<Angle>(advances_rad, count, "advances_rad")?) };
        let found = read.search()?.at_advances(&advances)?;
        let found = found.iter().map(swept_least_clearance_found::of).collect::<Outcome<Vec<_>>>()?;
        // SAFETY: one for each advance, and the caller promises as many places.
        unsafe { write_list(out, found.into_iter()) };
        Ok(())
    })
}

/// The least and the greatest advance, crank angles from low to high and at most two turns apart, at which the clearance is what is needed or more. The range
/// is looked through at steps of at most one degree. Where no advance looked at keeps it there is no solution.
///
/// # Safety
/// As swept_least_clearance().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_advance_limits(
    search: *const swept_clearance_search,
    needed_m: f64,
    low_rad: f64,
    high_rad: f64,
    out: *mut swept_advance_range,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let read = unsafe { read(search)? };
        let needed = q("clearance needed", needed_m)?;
        let (low, high) = (q("least advance", low_rad)?, q("greatest advance", high_rad)?);
        let found = read.search()?.advance_limits(needed, low, high)?;
        let [least_rad, greatest_rad] = finite_results([found.least.si(), found.greatest.si()])?;
        Ok(swept_advance_range { least_rad, greatest_rad, unbroken: i32::from(found.unbroken) })
    })
}

/// How deep the pocket must be at its centre for a clearance, m; all else of it stays. Without a pocket a key is missing; where the head meets the crown
/// outside the pocket the clearance needed is out of range.
///
/// # Safety
/// As swept_least_clearance().
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_pocket_depth(
    search: *const swept_clearance_search,
    needed_m: f64,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let read = unsafe { read(search)? };
        Ok(read.search()?.pocket_depth(q("clearance needed", needed_m)?)?.si())
    })
}

/// The least clearances of the rim over the angles looked at: to the wall of its pocket, all NaN without a pocket or where the rim never comes below the
/// crown plane, and to the bore.
///
/// # Safety
/// As swept_least_clearance(), for both outputs.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_least_wall_clearances(
    search: *const swept_clearance_search,
    out_pocket: *mut swept_wall_clearance,
    out_bore: *mut swept_wall_clearance,
) -> swept_status {
    guard(|| {
        check_out(out_pocket)?;
        check_out(out_bore)?;
        // SAFETY: passed on from the caller.
        let read = unsafe { read(search)? };
        let search = read.search()?;
        let pocket = swept_wall_clearance::of(search.least_pocket_wall()?)?;
        let bore = swept_wall_clearance::of(search.least_bore_wall()?)?;
        write(out_pocket, pocket)?;
        write(out_bore, bore)
    })
}
