//! Valve events from centreline, duration and separation, and back; overlap; what shifts the phase of a cam.
//!
//! All angles are of the crank, from overlap top dead centre, positive in running direction; only the lobe separation is an angle of the cam.
//! The trade writes events as degrees before or after a dead centre: [`ValveEvents`] is the one place that converts them.

use super::CamAngle;
use crate::error::{Result, finite, finite_positive, non_negative, out_of_range};
use crate::units::{Angle, Dimensioned, Length, written};
use core::f64::consts::{PI, TAU};

mod events;
mod overlap;
mod phase;
#[cfg(test)]
mod tests;

pub use events::{ValveEvents, ValveKind};
pub use overlap::{OVERLAP_STEPS, overlap_area};
pub use phase::{ChainDrive, OffsetPart, sprocket_pitch_radius};

/// One cycle of a four-stroke, two turns of the crank: no valve is open for longer.
const CYCLE: f64 = 2.0 * TAU;

/// When one lobe holds its valve open beyond a stated lift: where the nose stands, and a flank on either side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveTiming {
    centreline: Angle,
    opening_flank: Angle,
    closing_flank: Angle,
    lift: Length,
}

impl ValveTiming {
    /// A lobe alike on both flanks, from its centreline (intake above zero, exhaust below) and its duration at a lift.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] for a centreline of zero or beyond 360 deg, a duration not above zero or over 720 deg, a lift
    /// below zero.
    pub fn symmetrical(centreline: Angle, duration: Angle, lift: Length) -> Result<Self> {
        let flank = checked_duration(duration)? / 2.0;
        Self::asymmetrical(centreline, flank, flank, lift)
    }

    /// A lobe with flanks of their own: the crank angles from the lift to the centreline and from the centreline to the lift.
    ///
    /// # Errors
    /// As [`ValveTiming::symmetrical`]; [`crate::Error::OutOfRange`] for a flank not above zero.
    pub fn asymmetrical(
        centreline: Angle,
        opening_flank: Angle,
        closing_flank: Angle,
        lift: Length,
    ) -> Result<Self> {
        let centreline = finite("centreline", centreline)?;
        if centreline.si() == 0.0 || centreline.abs().si() > TAU {
            let allowed = "from -360 to 360 deg, not zero";
            return Err(out_of_range("centreline", centreline, allowed));
        }
        let opening_flank = finite_positive("opening flank", opening_flank)?;
        let closing_flank = finite_positive("closing flank", closing_flank)?;
        checked_duration(opening_flank + closing_flank)?;
        let lift = non_negative("lift", lift)?;
        Ok(Self { centreline, opening_flank, closing_flank, lift })
    }

    /// A lobe alike on both flanks, from its events: the centreline is midway.
    ///
    /// # Errors
    /// As [`ValveEvents::duration`]; [`crate::Error::OutOfRange`] where the centreline falls on the wrong side of overlap top dead centre.
    pub fn from_events(events: ValveEvents, lift: Length) -> Result<Self> {
        let duration = events.duration()?;
        let (opening, _) = events.on_crank();
        let centreline = opening + duration / 2.0;
        of_kind(Self::symmetrical(centreline, duration, lift)?, events.kind)
    }

    /// A lobe with flanks of their own, from its events and the centreline found at the nose.
    ///
    /// # Errors
    /// As [`ValveTiming::from_events`]; [`crate::Error::OutOfRange`] for a centreline not between the events.
    pub fn from_events_and_centreline(events: ValveEvents, centreline: Angle, lift: Length) -> Result<Self> {
        events.duration()?;
        let (opening, closing) = events.on_crank();
        let centreline = finite("centreline", centreline)?;
        if centreline <= opening || centreline >= closing {
            let allowed =
                format!("between opening and closing, {} and {}", written(opening), written(closing));
            return Err(out_of_range("centreline", centreline, allowed));
        }
        let timing = Self::asymmetrical(centreline, centreline - opening, closing - centreline, lift)?;
        of_kind(timing, events.kind)
    }

    /// Which valve it is: the intake's centreline is above zero, the exhaust's below.
    pub fn kind(&self) -> ValveKind {
        if self.centreline.si() > 0.0 { ValveKind::Intake } else { ValveKind::Exhaust }
    }

    /// Crank angle of the nose, from overlap top dead centre.
    pub fn centreline(&self) -> Angle {
        self.centreline
    }

    /// Crank angle from the lift on the way up to the centreline.
    pub fn opening_flank(&self) -> Angle {
        self.opening_flank
    }

    /// Crank angle from the centreline to the lift on the way down.
    pub fn closing_flank(&self) -> Angle {
        self.closing_flank
    }

    /// The lift at which the valve counts as open.
    pub fn lift(&self) -> Length {
        self.lift
    }

    /// Crank angle of the opening, from overlap top dead centre.
    pub fn opening(&self) -> Angle {
        self.centreline - self.opening_flank
    }

    /// Crank angle of the closing, from overlap top dead centre.
    pub fn closing(&self) -> Angle {
        self.centreline + self.closing_flank
    }

    /// Crank angle for which the valve is open beyond the lift.
    pub fn duration(&self) -> Angle {
        self.opening_flank + self.closing_flank
    }

    /// The events as the trade writes them.
    ///
    /// # Example
    /// ```
    /// use swept::{units::parse, valvetrain::timing::ValveTiming};
    /// let exhaust = ValveTiming::symmetrical(parse("-112 deg")?, parse("240 deg")?, parse("1 mm")?)?;
    /// assert_eq!(exhaust.events().to_string(), "exhaust opens 52.00 deg before BDC, closes 8.00 deg after TDC");
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn events(&self) -> ValveEvents {
        let (opening, closing, half_turn) = (self.opening(), self.closing(), Angle::from_si(PI));
        match self.kind() {
            kind @ ValveKind::Intake => ValveEvents { kind, opening: -opening, closing: closing - half_turn },
            kind @ ValveKind::Exhaust => ValveEvents { kind, opening: -opening - half_turn, closing },
        }
    }

    /// The same lobe earlier by a crank angle; later where it is negative.
    ///
    /// # Errors
    /// [`crate::Error::NotFinite`]; [`crate::Error::OutOfRange`] where the centreline would pass overlap top dead centre or leave -360 to 360 deg.
    pub fn advanced(&self, by: Angle) -> Result<Self> {
        let centreline = self.centreline - finite("advance", by)?;
        let moved = Self::asymmetrical(centreline, self.opening_flank, self.closing_flank, self.lift)?;
        of_kind(moved, self.kind())
    }

    /// By how much this installed lobe is earlier than it was ground: installed minus ground advance, which is ground minus installed
    /// centreline. Crank angle, negative where it is later.
    ///
    /// # Source
    /// Common practice, no source.
    pub fn advance_over(&self, ground: &Self) -> Angle {
        ground.centreline - self.centreline
    }
}

/// Passes a timing on whose centreline lies on the side of its valve.
fn of_kind(timing: ValveTiming, kind: ValveKind) -> Result<ValveTiming> {
    if timing.kind() == kind {
        return Ok(timing);
    }
    let (field, allowed) = match kind {
        ValveKind::Intake => ("intake centreline", "above zero: after overlap top dead centre"),
        ValveKind::Exhaust => ("exhaust centreline", "below zero: before overlap top dead centre"),
    };
    Err(out_of_range(field, timing.centreline, allowed))
}

fn checked_duration(duration: Angle) -> Result<Angle> {
    let duration = finite("duration", duration)?;
    if duration.si() > 0.0 && duration.si() <= CYCLE {
        return Ok(duration);
    }
    Err(out_of_range("duration", duration, "above zero and at most 720 deg of the crank"))
}

/// The timing of the intake and the exhaust lobe of one cylinder, at one lift.
///
/// # Example
/// ```
/// use swept::{units::parse, valvetrain::{CamAngle, timing::CamTiming}};
/// let separation = CamAngle::of_cam(parse("110 deg")?);
/// let cam = CamTiming::from_separation(separation, parse("4 deg")?, parse("230 deg")?, parse("236 deg")?, parse("1.27 mm")?)?;
/// assert!((cam.intake().centreline().value.to_degrees() - 106.0).abs() < 1e-9);
/// assert!((cam.exhaust().centreline().value.to_degrees() + 114.0).abs() < 1e-9);
/// assert!((cam.overlap().value.to_degrees() - 13.0).abs() < 1e-9);
/// # Ok::<(), swept::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CamTiming {
    intake: ValveTiming,
    exhaust: ValveTiming,
}

impl CamTiming {
    /// From the two lobes, at the same lift.
    ///
    /// # Errors
    /// [`crate::Error::OutOfRange`] for a centreline on the wrong side of overlap top dead centre, lifts that differ, a lobe separation not below 180 deg of
    /// the cam, an exhaust valve that opens or closes after the intake valve does, or an intake valve still open when the exhaust valve opens again.
    pub fn new(intake: ValveTiming, exhaust: ValveTiming) -> Result<Self> {
        let timing = Self {
            intake: of_kind(intake, ValveKind::Intake)?,
            exhaust: of_kind(exhaust, ValveKind::Exhaust)?,
        };
        if intake.lift != exhaust.lift {
            let allowed = format!("that of the intake, {}", written(intake.lift));
            return Err(out_of_range("lift of the exhaust timing", exhaust.lift, allowed));
        }
        checked_separation(timing.lobe_separation())?;
        timing.events_in_order()?;
        Ok(timing)
    }

    /// Two lobes alike on both flanks, from lobe separation, advance (crank angle, positive: both earlier) and durations at a lift.
    ///
    /// Intake centreline = separation - advance, exhaust centreline = -(separation + advance), in crank degrees with the separation's number of
    /// cam degrees: it is half the crank angle between them.
    ///
    /// # Errors
    /// As [`CamTiming::new`] and [`ValveTiming::symmetrical`]; [`crate::Error::OutOfRange`] for an advance not smaller than the separation's number.
    pub fn from_separation(
        separation: CamAngle,
        advance: Angle,
        intake_duration: Angle,
        exhaust_duration: Angle,
        lift: Length,
    ) -> Result<Self> {
        let half_between = checked_separation(separation)?.on_cam();
        let advance = finite("advance", advance)?;
        if advance.abs() >= half_between {
            let allowed = format!("between -{0} and {0}", written(half_between));
            return Err(out_of_range("advance", advance, allowed));
        }
        let intake = ValveTiming::symmetrical(half_between - advance, intake_duration, lift)?;
        let exhaust = ValveTiming::symmetrical(-(half_between + advance), exhaust_duration, lift)?;
        Self::new(intake, exhaust)
    }

    /// The intake lobe.
    pub fn intake(&self) -> ValveTiming {
        self.intake
    }

    /// The exhaust lobe.
    pub fn exhaust(&self) -> ValveTiming {
        self.exhaust
    }

    /// Lobe separation (lobe centre angle): the angle of the cam between the two noses.
    pub fn lobe_separation(&self) -> CamAngle {
        CamAngle::of_crank(self.intake.centreline - self.exhaust.centreline)
    }

    /// Advance, crank angle: (|exhaust centreline| - intake centreline) / 2, the separation's number of cam degrees less the intake centreline.
    /// Positive: both lobes earlier than split evenly about overlap top dead centre.
    ///
    /// # Source
    /// Common practice, no source.
    pub fn advance(&self) -> Angle {
        -(self.exhaust.centreline + self.intake.centreline) / 2.0
    }

    /// The same cam earlier by a crank angle; later where it is negative.
    ///
    /// # Errors
    /// As [`ValveTiming::advanced`].
    pub fn advanced(&self, by: Angle) -> Result<Self> {
        Self::new(self.intake.advanced(by)?, self.exhaust.advanced(by)?)
    }

    /// By how much this installed cam is earlier than it was ground: installed minus ground advance; negative where it is later.
    pub fn advance_over(&self, ground: &Self) -> Angle {
        self.advance() - ground.advance()
    }

    /// Overlap: crank angle from the intake opening to the exhaust closing, at the lift of the timing. Negative: no overlap, and by how much.
    pub fn overlap(&self) -> Angle {
        self.exhaust.closing() - self.intake.opening()
    }

    /// [`overlap_area`] from the intake opening to the exhaust closing; zero without overlap.
    ///
    /// # Errors
    /// As [`overlap_area`].
    pub fn overlap_area(
        &self,
        intake: impl Fn(Angle) -> Length,
        exhaust: impl Fn(Angle) -> Length,
    ) -> Result<Length> {
        overlap_area(self.intake.opening(), self.exhaust.closing(), intake, exhaust)
    }

    fn events_in_order(&self) -> Result<()> {
        let (intake, exhaust) = (self.intake, self.exhaust);
        let again = exhaust.opening() + Angle::from_si(CYCLE);
        after("intake opening", intake.opening(), "exhaust opening", exhaust.opening())?;
        after("intake closing", intake.closing(), "exhaust closing", exhaust.closing())?;
        after("next exhaust opening", again, "intake closing", intake.closing())
    }
}

fn after(field: &str, angle: Angle, earlier: &str, bound: Angle) -> Result<()> {
    if angle > bound {
        return Ok(());
    }
    Err(out_of_range(field, angle, format!("after the {earlier}, {}", written(bound))))
}

fn checked_separation(separation: CamAngle) -> Result<CamAngle> {
    let angle = finite("lobe separation", separation.on_cam())?;
    if angle.si() > 0.0 && angle.si() < PI {
        return Ok(separation);
    }
    Err(out_of_range("lobe separation", angle, "above zero and below 180 deg of the cam"))
}
