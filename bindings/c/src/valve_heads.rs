//! Distance between the heads of two open valves.

use crate::status::{Outcome, answer_with, finite_results, get, q, swept_status};
use crate::valve_gap::swept_valve_head;
use crate::valve_search::grid;
use crate::valve_train::swept_valve_motion;
use swept::units::{Dimensioned, Length};
use swept::valvetrain::pocket::{LeastHeadDistance, ValvePair};

/// Two valves above one bore.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_pair {
    /// One head.
    pub first: swept_valve_head,
    /// The other head.
    pub second: swept_valve_head,
    /// By how much the second's plane of tilt is turned about the bore axis from the first's: pi with the stems in a V that opens upward, zero with both
    /// leaning the same way; rad.
    pub turned_rad: f64,
}

/// The distance between two heads.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_head_distance_found {
    /// The distance between the nearest points found; zero where they meet; m.
    pub distance_m: f64,
    /// What the distance is proved to be at least, m.
    pub at_least_m: f64,
}

/// The least distance between two heads while both valves are open.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_least_head_distance_found {
    /// The distance between the nearest points found; zero where they meet; m.
    pub distance_m: f64,
    /// What the distance there is proved to be at least, m.
    pub at_least_m: f64,
    /// The first crank angle looked at that has it, from overlap top dead centre, rad.
    pub crank_rad: f64,
    /// The lift of the first valve there, m.
    pub first_lift_m: f64,
    /// The lift of the second valve there, m.
    pub second_lift_m: f64,
}

impl swept_valve_pair {
    fn checked(self) -> Outcome<ValvePair> {
        let turned = q("angle between the valves' planes of tilt", self.turned_rad)?;
        Ok(ValvePair::new(self.first.checked()?, self.second.checked()?, turned)?)
    }
}

impl swept_least_head_distance_found {
    fn of(found: Option<LeastHeadDistance>) -> Outcome<Self> {
        let figures = |l: LeastHeadDistance| {
            let lengths = [l.least.distance, l.least.at_least, l.first_lift, l.second_lift].map(Length::si);
            let [distance, at_least, first, second] = finite_results(lengths)?;
            finite_results([distance, at_least, l.crank.si(), first, second])
        };
        let [distance_m, at_least_m, crank_rad, first_lift_m, second_lift_m] =
            found.map_or(Ok([f64::NAN; 5]), figures)?;
        Ok(Self { distance_m, at_least_m, crank_rad, first_lift_m, second_lift_m })
    }
}

/// The distance between the heads of two valves at two lifts of zero or more.
///
/// # Safety
/// `pair` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_head_distance(
    pair: *const swept_valve_pair,
    first_lift_m: f64,
    second_lift_m: f64,
    out: *mut swept_head_distance_found,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let pair = unsafe { get(pair, "pair")? }.checked()?;
        let first = q("lift of the first valve", first_lift_m)?;
        let found = pair.distance(first, q("lift of the second valve", second_lift_m)?)?;
        let [distance_m, at_least_m] = finite_results([found.distance.si(), found.at_least.si()])?;
        Ok(swept_head_distance_found { distance_m, at_least_m })
    })
}

/// The least distance between the heads over the crank angles at which both valves are open, `per_turn` of them as in a clearance search; all NaN where both
/// never are.
///
/// # Safety
/// `pair`, `first` and `second` are valid for a read, the curves of the motions alive, their rockers null or valid for a read, `out` valid for a write; null
/// is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_least_head_distance(
    pair: *const swept_valve_pair,
    first: *const swept_valve_motion,
    second: *const swept_valve_motion,
    per_turn: u32,
    out: *mut swept_least_head_distance_found,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let (pair, first, second) =
            unsafe { (get(pair, "pair")?.checked()?, get(first, "first")?, get(second, "second")?) };
        // SAFETY: as above.
        let (one, other) = unsafe { (first.read()?, second.read()?) };
        let found = pair.least(grid(per_turn)?, &first.of(&one)?, &second.of(&other)?)?;
        swept_least_head_distance_found::of(found)
    })
}
