//! Valve timing: events, centrelines, separation, advance, overlap.

use crate::clearance::not_one_of;
use crate::status::{Outcome, answer, answer_with, finite_results, get, q, swept_status};
use crate::valve_train::swept_valve_train;
use swept::units::{Angle, Dimensioned, Length};
use swept::valvetrain::{CamAngle, CamTiming, ValveEvents, ValveKind, ValveTiming};

/// When one lobe holds its valve open beyond a lift. Crank angles from overlap top dead centre, the one between exhaust and intake stroke.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_timing {
    /// Crank angle of the nose: above zero for an intake valve, below zero for an exhaust valve, rad.
    pub centreline_rad: f64,
    /// Crank angle from the lift on the way up to the centreline, above zero; half the duration where both flanks are alike; rad.
    pub opening_flank_rad: f64,
    /// Crank angle from the centreline to the lift on the way down, above zero, rad.
    pub closing_flank_rad: f64,
    /// The lift at which the valve counts as open, m.
    pub lift_m: f64,
}

/// The events of one valve as the trade writes them, crank angles from the dead centre each lies near.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_valve_events {
    /// 0: intake valve, 1: exhaust valve.
    pub exhaust: i32,
    /// Opening before top (intake) or bottom (exhaust) dead centre; below zero: after it; rad.
    pub opening_rad: f64,
    /// Closing after bottom (intake) or top (exhaust) dead centre; below zero: before it; rad.
    pub closing_rad: f64,
}

/// The intake and the exhaust lobe of one cylinder, at one lift.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_cam_timing {
    /// The intake lobe.
    pub intake: swept_valve_timing,
    /// The exhaust lobe.
    pub exhaust: swept_valve_timing,
}

/// What the timing of both lobes comes to.
#[allow(non_camel_case_types)]
#[repr(C)]
#[derive(Debug, Clone, Copy)]
pub struct swept_cam_figures {
    /// Lobe separation, the angle of the cam (not the crank) between the noses, rad.
    pub separation_rad: f64,
    /// Advance, crank angle by which both lobes are earlier than split evenly about overlap top dead centre, rad.
    pub advance_rad: f64,
    /// Overlap, crank angle from the intake opening to the exhaust closing; below zero: none, and by how much; rad.
    pub overlap_rad: f64,
}

impl swept_valve_timing {
    fn checked(self) -> Outcome<ValveTiming> {
        let angle = Angle::from_si;
        let (opening, closing) = (angle(self.opening_flank_rad), angle(self.closing_flank_rad));
        let lift = Length::from_si(self.lift_m);
        Ok(ValveTiming::asymmetrical(angle(self.centreline_rad), opening, closing, lift)?)
    }

    fn of(timing: &ValveTiming) -> Self {
        Self {
            centreline_rad: timing.centreline().si(),
            opening_flank_rad: timing.opening_flank().si(),
            closing_flank_rad: timing.closing_flank().si(),
            lift_m: timing.lift().si(),
        }
    }
}

impl swept_valve_events {
    fn checked(self) -> Outcome<ValveEvents> {
        let kind = match self.exhaust {
            0 => ValveKind::Intake,
            1 => ValveKind::Exhaust,
            other => return Err(not_one_of("exhaust", other, "0 (intake) or 1 (exhaust)")),
        };
        let (opening, closing) = (q("opening", self.opening_rad)?, q("closing", self.closing_rad)?);
        Ok(ValveEvents { kind, opening, closing })
    }
}

impl swept_cam_timing {
    fn checked(self) -> Outcome<CamTiming> {
        Ok(CamTiming::new(self.intake.checked()?, self.exhaust.checked()?)?)
    }

    fn of(timing: &CamTiming) -> Self {
        let (intake, exhaust) = (timing.intake(), timing.exhaust());
        Self { intake: swept_valve_timing::of(&intake), exhaust: swept_valve_timing::of(&exhaust) }
    }
}

/// Duration of a valve, crank angle: opening before + half a turn + closing after, rad. A closing before the opening and more than two turns
/// are out of range.
///
/// # Safety
/// `events` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_events_duration(
    events: *const swept_valve_events,
    out: *mut f64,
) -> swept_status {
    // SAFETY: passed on from the caller.
    answer(out, || Ok(unsafe { get(events, "events")? }.checked()?.duration()?.si()))
}

/// The timing of a lobe alike on both flanks, from its events at a lift: the centreline is midway between them.
///
/// # Safety
/// `events` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_timing_from_events(
    events: *const swept_valve_events,
    lift_m: f64,
    out: *mut swept_valve_timing,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let events = unsafe { get(events, "events")? }.checked()?;
        Ok(swept_valve_timing::of(&ValveTiming::from_events(events, q("lift", lift_m)?)?))
    })
}

/// The timing of a lobe with flanks of their own, from its events at a lift and the centreline found at the nose, crank angle from overlap top
/// dead centre.
///
/// # Safety
/// `events` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_timing_from_events_and_centreline(
    events: *const swept_valve_events,
    centreline_rad: f64,
    lift_m: f64,
    out: *mut swept_valve_timing,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let events = unsafe { get(events, "events")? }.checked()?;
        let (centreline, lift) = (q("centreline", centreline_rad)?, q("lift", lift_m)?);
        Ok(swept_valve_timing::of(&ValveTiming::from_events_and_centreline(events, centreline, lift)?))
    })
}

/// The events of a valve as the trade writes them.
///
/// # Safety
/// `timing` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_timing_events(
    timing: *const swept_valve_timing,
    out: *mut swept_valve_events,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let events = unsafe { get(timing, "timing")? }.checked()?.events();
        let exhaust = i32::from(events.kind == ValveKind::Exhaust);
        Ok(swept_valve_events { exhaust, opening_rad: events.opening.si(), closing_rad: events.closing.si() })
    })
}

/// The same lobe earlier by a crank angle; later where it is negative. A centreline that passes overlap top dead centre is out of range.
///
/// # Safety
/// `timing` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_timing_advanced(
    timing: *const swept_valve_timing,
    by_rad: f64,
    out: *mut swept_valve_timing,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let timing = unsafe { get(timing, "timing")? }.checked()?;
        Ok(swept_valve_timing::of(&timing.advanced(q("advance", by_rad)?)?))
    })
}

/// By how much an installed lobe is earlier than it was ground, crank angle: ground - installed centreline, rad; negative where it is later.
///
/// # Safety
/// `installed` and `ground` are valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_valve_timing_advance_over(
    installed: *const swept_valve_timing,
    ground: *const swept_valve_timing,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (installed, ground) = unsafe { (get(installed, "installed")?, get(ground, "ground")?) };
        Ok(installed.checked()?.advance_over(&ground.checked()?).si())
    })
}

/// Two lobes alike on both flanks, from the lobe separation (cam angle), the advance (crank angle, positive: both earlier) and the durations (crank
/// angles) at a lift: intake centreline = separation - advance, exhaust centreline = -(separation + advance), as crank angles with the
/// separation's number.
///
/// # Safety
/// `out` is valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cam_timing_from_separation(
    separation_rad: f64,
    advance_rad: f64,
    intake_duration_rad: f64,
    exhaust_duration_rad: f64,
    lift_m: f64,
    out: *mut swept_cam_timing,
) -> swept_status {
    answer_with(out, || {
        let separation = CamAngle::of_cam(q("lobe separation", separation_rad)?);
        let intake = q("intake duration", intake_duration_rad)?;
        let exhaust = q("exhaust duration", exhaust_duration_rad)?;
        let (advance, lift) = (q("advance", advance_rad)?, q("lift", lift_m)?);
        let timing = CamTiming::from_separation(separation, advance, intake, exhaust, lift)?;
        Ok(swept_cam_timing::of(&timing))
    })
}

/// Separation, advance and overlap of two lobes. Centrelines on the wrong side of overlap top dead centre, lifts that differ and events out of order are
/// out of range.
///
/// # Safety
/// `timing` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cam_timing_figures(
    timing: *const swept_cam_timing,
    out: *mut swept_cam_figures,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let timing = unsafe { get(timing, "timing")? }.checked()?;
        let separation = timing.lobe_separation().on_cam().si();
        let [separation_rad, advance_rad, overlap_rad] =
            finite_results([separation, timing.advance().si(), timing.overlap().si()])?;
        Ok(swept_cam_figures { separation_rad, advance_rad, overlap_rad })
    })
}

/// The same cam earlier by a crank angle; later where it is negative.
///
/// # Safety
/// `timing` is valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cam_timing_advanced(
    timing: *const swept_cam_timing,
    by_rad: f64,
    out: *mut swept_cam_timing,
) -> swept_status {
    answer_with(out, || {
        // SAFETY: passed on from the caller.
        let timing = unsafe { get(timing, "timing")? }.checked()?;
        Ok(swept_cam_timing::of(&timing.advanced(q("advance", by_rad)?)?))
    })
}

/// By how much an installed cam is earlier than it was ground, crank angle: installed - ground advance, rad; negative where it is later.
///
/// # Safety
/// `installed` and `ground` are valid for a read and `out` for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_cam_timing_advance_over(
    installed: *const swept_cam_timing,
    ground: *const swept_cam_timing,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (installed, ground) = unsafe { (get(installed, "installed")?, get(ground, "ground")?) };
        Ok(installed.checked()?.advance_over(&ground.checked()?).si())
    })
}

/// Overlap area, m rad (crank): the area under the lesser of both valves' lifts over the crank angle from the intake opening to the exhaust closing; zero
/// without overlap. 1 m rad is 1000 x 180 / pi mm deg.
///
/// # Safety
/// `timing`, `intake` and `exhaust` are valid for a read, the curves of the two are alive, their rockers null or valid for a read, and `out` is
/// valid for a write; null is refused.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn swept_overlap_area(
    timing: *const swept_cam_timing,
    intake: *const swept_valve_train,
    exhaust: *const swept_valve_train,
    out: *mut f64,
) -> swept_status {
    answer(out, || {
        // SAFETY: passed on from the caller.
        let (timing, intake, exhaust) = unsafe {
            let timing = get(timing, "timing")?.checked()?;
            (timing, get(intake, "intake")?.checked()?, get(exhaust, "exhaust")?.checked()?)
        };
        let area = timing.overlap_area(
            intake.about(timing.intake().centreline()),
            exhaust.about(timing.exhaust().centreline()),
        )?;
        Ok(area.si())
    })
}
