//! Valve events as the trade writes them, from the dead centres.

use super::checked_duration;
use crate::error::{Result, finite, out_of_range};
use crate::units::{Angle, Dimensioned, written};
use core::f64::consts::PI;

/// Which valve a lobe opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ValveKind {
    /// The intake valve: its centreline lies after overlap top dead centre.
    Intake,
    /// The exhaust valve: its centreline lies before it.
    Exhaust,
}

impl ValveKind {
    /// "intake" or "exhaust".
    pub const fn name(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }
}

/// The events of one valve as the trade writes them, each from the dead centre it lies near; negative on the other side of it.
///
/// Intake: opening before top dead centre (BTDC), closing after bottom dead centre (ABDC). Exhaust: opening before bottom dead centre (BBDC),
/// closing after top dead centre (ATDC).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveEvents {
    /// Which valve it is, and with it which dead centres are meant.
    pub kind: ValveKind,
    /// Opening before its dead centre: top for the intake, bottom for the exhaust. Negative: after it.
    pub opening: Angle,
    /// Closing after its dead centre: bottom for the intake, top for the exhaust. Negative: before it.
    pub closing: Angle,
}

impl ValveEvents {
    /// Duration: opening before + half a turn + closing after, for either valve.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a closing before the opening, or a duration over 720 deg.
    pub fn duration(&self) -> Result<Angle> {
        let opening = finite("opening", self.opening)?;
        let closing = finite("closing", self.closing)?;
        let duration = opening + Angle::from_si(PI) + closing;
        if duration.si() <= 0.0 {
            let opens = written(-(opening + Angle::from_si(PI)));
            return Err(out_of_range("closing", closing, format!("above {opens}, where the valve opens")));
        }
        checked_duration(duration)
    }

    /// The crank angles of opening and closing, from overlap top dead centre.
    pub(super) fn on_crank(&self) -> (Angle, Angle) {
        let half_turn = Angle::from_si(PI);
        match self.kind {
            ValveKind::Intake => (-self.opening, half_turn + self.closing),
            ValveKind::Exhaust => (-(half_turn + self.opening), self.closing),
        }
    }
}

/// "intake opens 12.00 deg before TDC, closes 40.00 deg after BDC": the sides in words, no negative figure.
impl core::fmt::Display for ValveEvents {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let (opens_at, closes_at) = match self.kind {
            ValveKind::Intake => ("TDC", "BDC"),
            ValveKind::Exhaust => ("BDC", "TDC"),
        };
        let degrees = |angle: Angle| angle.si().to_degrees().abs();
        let opens = if self.opening.si() < 0.0 { "after" } else { "before" };
        let closes = if self.closing.si() < 0.0 { "before" } else { "after" };
        write!(
            f,
            "{} opens {:.2} deg {opens} {opens_at}, closes {:.2} deg {closes} {closes_at}",
            self.kind.name(),
            degrees(self.opening),
            degrees(self.closing)
        )
    }
}
