//! Lift against cam angle: lobes of motion programmes, polynomial lobes, and measured tables.

use crate::error::{Result, finite, out_of_range};
use crate::solve::bracketed;
use crate::units::{Angle, Dimensioned, Length, written};
use crate::valvetrain::CamAngle;
use core::f64::consts::TAU;
use piece::Piece;

mod piece;
mod programme;
mod spline;
mod table;
#[cfg(test)]
mod tests;

pub(crate) use programme::rise_345;
pub use programme::{Flank, Programme, Ramp};
pub use table::{MeasuredLift, TableFit};

/// Lift at one angle of the cam, with its derivatives by the cam angle: lengths per radian of the cam, and per its square and cube.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lift {
    /// Lift, zero on the base circle, positive away from it.
    pub lift: Length,
    /// First derivative, per radian of the cam.
    pub velocity: Length,
    /// Second derivative, per radian squared.
    pub acceleration: Length,
    /// Third derivative, per radian cubed.
    pub jerk: Length,
}

/// Lift over a turn of the cam: one lobe, zero outside it, never falling up to the nose and never rising after it.
///
/// The nose is at the cam angle zero. Lobes of programmes come from [`LiftCurve::of_flanks`], polynomial ones from
/// [`LiftCurve::polynomial`], measured ones from [`LiftCurve::interpolated`] and [`LiftCurve::smoothed`].
#[derive(Debug, Clone, PartialEq)]
pub struct LiftCurve {
    pieces: Vec<Piece>,
    maximum: f64,
    /// Where the greatest lift begins and ends, rad; equal without a dwell.
    nose: (f64, f64),
    opens: f64,
    closes: f64,
}

/// A greatest or least value and the angle where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// Where.
    pub angle: CamAngle,
    /// What: per radian of the cam, or per radian squared.
    pub value: Length,
}

/// Greatest and least velocity and acceleration over the lobe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// Greatest velocity, on the opening flank.
    pub greatest_velocity: Extreme,
    /// Least velocity (the fastest closing), on the closing flank.
    pub least_velocity: Extreme,
    /// Greatest acceleration.
    pub greatest_acceleration: Extreme,
    /// Least acceleration (the greatest deceleration), where the spring must hold the valve train to the cam.
    pub least_acceleration: Extreme,
}

impl LiftCurve {
    fn of_pieces(pieces: Vec<Piece>, maximum: f64, nose: (f64, f64)) -> Self {
        let opens = pieces.first().map_or(0.0, |p| p.start);
        let closes = pieces.last().map_or(0.0, |p| p.end);
        Self { pieces, maximum, nose, opens, closes }
    }

    /// Lift, velocity, acceleration and jerk at a cam angle of any turn.
    ///
    /// Where a derivative jumps it is that of the following piece; all are zero outside the lobe.
    pub fn at(&self, angle: CamAngle) -> Lift {
        let angle = self.in_this_turn(angle.on_cam().si());
        if angle >= self.closes {
            return Lift::default();
        }
        let next = self.pieces.partition_point(|p| p.start <= angle);
        let Some(piece) = self.pieces.get(next.saturating_sub(1)) else { return Lift::default() };
        let [s, v, a, j] = piece.at(angle).map(Length::from_si);
        // Rounding must not lift the valve off its seat or above the nose.
        let lift = Length::from_si(s.si().clamp(0.0, self.maximum));
        Lift { lift, velocity: v, acceleration: a, jerk: j }
    }

    /// Lift at a cam angle of any turn.
    pub fn lift(&self, angle: CamAngle) -> Length {
        self.at(angle).lift
    }

    /// Greatest lift: that of the nose.
    pub fn maximum(&self) -> Length {
        Length::from_si(self.maximum)
    }

    /// Where the opening flank has the lift: negative, or zero at the nose.
    ///
    /// At zero lift it is where the lobe begins. Where the flank is flat at that lift it is one of its angles.
    ///
    /// # Errors
    /// [`Error::NotFinite`](crate::Error::NotFinite); [`Error::OutOfRange`](crate::Error::OutOfRange) for a lift below zero or above the
    /// nose's.
    pub fn opening_at(&self, lift: Length) -> Result<CamAngle> {
        self.crossing(lift, self.opens, self.nose.0)
    }

    /// Where the closing flank has the lift: positive, or zero at the nose.
    ///
    /// # Errors
    /// As [`LiftCurve::opening_at`].
    pub fn closing_at(&self, lift: Length) -> Result<CamAngle> {
        self.crossing(lift, self.closes, self.nose.1)
    }

    /// How long the lift is exceeded: from the opening flank to the closing one.
    ///
    /// [`CamAngle::on_crank`] of it is the duration as the trade states it.
    ///
    /// # Errors
    /// As [`LiftCurve::opening_at`].
    pub fn duration_at(&self, lift: Length) -> Result<CamAngle> {
        let (from, to) = (self.opening_at(lift)?, self.closing_at(lift)?);
        Ok(CamAngle::of_cam(to.on_cam() - from.on_cam()))
    }

    /// Area under the curve: the lift integrated over the cam angle in radians.
    pub fn area(&self) -> Length {
        Length::from_si(self.pieces.iter().map(Piece::area).sum())
    }

    /// Greatest and least velocity and acceleration, with the first angle where each stands.
    ///
    /// Where the acceleration jumps both its values count.
    pub fn extremes(&self) -> Extremes {
        let zero =
            Extreme { angle: CamAngle::of_cam(Angle::from_si(self.opens)), value: Length::from_si(0.0) };
        let mut found = Extremes {
            greatest_velocity: zero,
            least_velocity: zero,
            greatest_acceleration: zero,
            least_acceleration: zero,
        };
        for piece in &self.pieces {
            visit_candidates(piece, |angle| found.take(angle, piece.at(angle)));
        }
        found
    }

    /// The angle moved by whole turns of the cam to the first place at or after the beginning of the lobe.
    fn in_this_turn(&self, angle: f64) -> f64 {
        if angle >= self.opens && angle < self.closes {
            return angle;
        }
        let turned = angle - TAU * ((angle - self.opens) / TAU).floor();
        // The quotient of an angle just before the lobe, turns away, can round to a whole number.
        if turned < self.opens { self.opens } else { turned }
    }

    /// The angle between one end of the lobe and the nose where the curve has the lift.
    fn crossing(&self, lift: Length, end: f64, nose: f64) -> Result<CamAngle> {
        let wanted = finite("lift", lift)?.si();
        if !(0.0..=self.maximum).contains(&wanted) {
            let allowed = format!("from zero to the lift of the nose, {}", written(self.maximum()));
            return Err(out_of_range("lift", lift, allowed));
        }
        let missing = |angle: f64| {
            // Exact at both ends, where rounding could take the change of sign away.
            if angle == nose {
                return Ok(self.maximum - wanted);
            }
            if angle == end {
                return Ok(-wanted);
            }
            Ok(self.lift(CamAngle::of_cam(Angle::from_si(angle))).si() - wanted)
        };
        if wanted == self.maximum {
            return Ok(CamAngle::of_cam(Angle::from_si(nose)));
        }
        Ok(CamAngle::of_cam(Angle::from_si(bracketed("cam angle", end, nose, missing)?)))
    }
}

impl Extremes {
    fn take(&mut self, angle: f64, [_, v, a, _]: [f64; 4]) {
        let better = |old: &mut Extreme, value: f64, is_better: bool| {
            if is_better {
                *old =
                    Extreme { angle: CamAngle::of_cam(Angle::from_si(angle)), value: Length::from_si(value) };
            }
        };
        let (most_v, least_v) = (self.greatest_velocity.value.si(), self.least_velocity.value.si());
        let (most_a, least_a) = (self.greatest_acceleration.value.si(), self.least_acceleration.value.si());
        better(&mut self.greatest_velocity, v, v > most_v);
        better(&mut self.least_velocity, v, v < least_v);
        better(&mut self.greatest_acceleration, a, a > most_a);
        better(&mut self.least_acceleration, a, a < least_a);
    }
}

/// Visits the places of a piece where velocity or acceleration can be greatest or least: the ends of its parts, and where the next
/// derivative changes sign between them.
fn visit_candidates(piece: &Piece, mut visit: impl FnMut(f64)) {
    let parts = piece.parts();
    let place = |i: u32| {
        if i == parts { piece.end } else { piece.start + piece.length() * f64::from(i) / f64::from(parts) }
    };
    visit(piece.start);
    for i in 0..parts {
        let (from, to) = (place(i), place(i + 1));
        // No change of sign, no candidate.
        for next in [|d: [f64; 4]| d[2], |d: [f64; 4]| d[3]] {
            if let Ok(root) = bracketed("cam angle", from, to, |angle| Ok(next(piece.at(angle)))) {
                visit(root);
            }
        }
        visit(to);
    }
}

/// A turn, with what rounding may add to degrees that sum up to it.
const TURN: f64 = TAU * (1.0 + 1e-9);

/// An angle in radians, written in degrees for a message.
fn degrees(rad: f64) -> String {
    format!("{:.4} deg", rad.to_degrees())
}
