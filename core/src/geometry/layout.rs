//! How the cylinders stand: bank angles, throw angles, firing intervals, displacement.

use super::Cylinder;
use crate::error::{Error, Result, finite};
use crate::units::{Angle, Dimensioned, Volume};
use core::f64::consts::PI;

const TURN: f64 = 2.0 * PI;

/// How many turns of the crank a working cycle takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cycle {
    /// Two turns.
    FourStroke,
    /// One turn.
    TwoStroke,
}

impl Cycle {
    fn turns(self) -> f64 {
        match self {
            Self::FourStroke => 2.0,
            Self::TwoStroke => 1.0,
        }
    }
}

/// One cylinder's bank and throw.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Angle of the cylinder axis about the crank, positive in running direction.
    pub bank_angle: Angle,
    /// Angle of its crank throw, from the same zero, with the crank at zero.
    pub throw_angle: Angle,
}

/// All cylinders of an engine, cylinder 1 first.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    stations: Vec<Station>,
    cycle: Cycle,
}

impl Layout {
    /// Any bank and throw angles.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without cylinders, [`Error::NotFinite`].
    pub fn explicit(stations: Vec<Station>, cycle: Cycle) -> Result<Self> {
        if stations.is_empty() {
            return Err(Error::WrongLength {
                field: "cylinders".into(),
                found: 0,
                expected: "at least 1".into(),
            });
        }
        for s in &stations {
            finite("bank angle", s.bank_angle)?;
            finite("throw angle", s.throw_angle)?;
        }
        Ok(Self { stations, cycle })
    }

    /// Cylinders in line, one throw angle each.
    ///
    /// # Errors
    /// As [`Layout::explicit`].
    pub fn inline(throw_angles: &[Angle], cycle: Cycle) -> Result<Self> {
        let bank_angle = Angle::from_si(0.0);
        let station = |throw_angle: &Angle| Station { bank_angle, throw_angle: *throw_angle };
        Self::explicit(throw_angles.iter().map(station).collect(), cycle)
    }

    /// A vee of this included angle, two rods to a crankpin: cylinders 1 and 2 on the first pin, 3 and 4 on the second, odd
    /// ones on the bank at plus half the angle, even ones at minus half.
    ///
    /// # Errors
    /// As [`Layout::explicit`].
    pub fn vee(bank_angle: Angle, pin_angles: &[Angle], cycle: Cycle) -> Result<Self> {
        let pair = |pin: &Angle| {
            [0.5, -0.5].map(|half| Station { bank_angle: bank_angle * half, throw_angle: *pin })
        };
        Self::explicit(pin_angles.iter().flat_map(pair).collect(), cycle)
    }

    /// Opposed banks, one throw angle for each cylinder, odd ones on the bank at +90 deg, even ones at -90 deg.
    ///
    /// # Errors
    /// As [`Layout::explicit`].
    pub fn flat(throw_angles: &[Angle], cycle: Cycle) -> Result<Self> {
        let station = |(i, throw_angle): (usize, &Angle)| Station {
            bank_angle: Angle::from_si(if i % 2 == 0 { PI / 2.0 } else { -PI / 2.0 }),
            throw_angle: *throw_angle,
        };
        Self::explicit(throw_angles.iter().enumerate().map(station).collect(), cycle)
    }

    /// How many cylinders.
    pub fn len(&self) -> usize {
        self.stations.len()
    }

    /// Never true: a layout has a cylinder.
    pub fn is_empty(&self) -> bool {
        self.stations.is_empty()
    }

    /// Bank and throw of every cylinder.
    pub fn stations(&self) -> &[Station] {
        &self.stations
    }

    /// The crank angle, 0 to 360 deg, at which a cylinder (from 1) has its throw in line with its axis: top dead centre without
    /// pin offset. Bank angle - throw angle.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a cylinder the engine does not have.
    pub fn top_dead_centre(&self, cylinder: usize) -> Result<Angle> {
        let station = cylinder.checked_sub(1).and_then(|i| self.stations.get(i));
        let station = station.ok_or_else(|| Error::OutOfRange {
            field: "cylinder".into(),
            value: cylinder.to_string(),
            allowed: format!("1 to {}", self.len()),
        })?;
        Ok(Angle::from_si(turn_rest((station.bank_angle - station.throw_angle).si())))
    }

    /// Crank angle from each cylinder of a firing order to the next, the last to the first.
    ///
    /// Top dead centres fix each interval up to whole turns. It is the least above zero, and turns are added, one at a
    /// time to the shortest interval, until the sum is the cycle.
    ///
    /// # Errors
    /// [`Error::WrongLength`] or [`Error::OutOfRange`] unless the order names every cylinder once;
    /// [`Error::OutOfRange`] where the intervals cannot add up to the cycle.
    pub fn firing_intervals(&self, order: &[usize]) -> Result<Vec<Angle>> {
        check_firing_order(order, self.len())?;
        let dead_centres = order.iter().map(|c| self.top_dead_centre(*c)).collect::<Result<Vec<_>>>()?;
        let next = dead_centres.iter().cycle().skip(1);
        let mut intervals: Vec<f64> = dead_centres
            .iter()
            .zip(next)
            .map(|(from, to)| above_zero(turn_rest((*to - *from).si())))
            .collect();
        self.fill_cycle(&mut intervals)?;
        Ok(intervals.into_iter().map(Angle::from_si).collect())
    }

    fn fill_cycle(&self, intervals: &mut [f64]) -> Result<()> {
        let turns = self.cycle.turns();
        let mut sum = (intervals.iter().sum::<f64>() / TURN).round();
        if sum > turns {
            return Err(Error::OutOfRange {
                field: "firing order".into(),
                value: format!("{:.0} deg for one round", sum * 360.0),
                allowed: format!(
                    "{:.0} deg, with these bank and throw angles (both positive in running direction)",
                    turns * 360.0
                ),
            });
        }
        while sum < turns {
            if let Some(shortest) = intervals.iter_mut().min_by(|a, b| a.total_cmp(b)) {
                *shortest += TURN;
            }
            sum += 1.0;
        }
        Ok(())
    }

    /// Displacement of the engine: the swept volume of one cylinder x how many there are.
    pub fn displacement(&self, cylinder: &Cylinder) -> Volume {
        cylinder.swept_volume() * self.len() as f64
    }
}

/// Refuses a firing order that does not name every cylinder from 1 once.
///
/// # Errors
/// [`Error::WrongLength`], [`Error::OutOfRange`].
pub fn check_firing_order(order: &[usize], cylinders: usize) -> Result<()> {
    if order.len() != cylinders {
        return Err(Error::WrongLength {
            field: "firing order".into(),
            found: order.len(),
            expected: format!("{cylinders}, every cylinder once"),
        });
    }
    match (1..=cylinders).find(|cylinder| !order.contains(cylinder)) {
        None => Ok(()),
        Some(absent) => Err(Error::OutOfRange {
            field: "firing order".into(),
            value: format!("{order:?}"),
            allowed: format!("every cylinder from 1 to {cylinders} once; {absent} is missing"),
        }),
    }
}

/// The angle less whole turns, 0 <= rest < 2 pi; what rounding leaves just below a turn is zero.
fn turn_rest(angle: f64) -> f64 {
    let rest = angle.rem_euclid(TURN);
    if TURN - rest < 1e-9 { 0.0 } else { rest }
}

/// A rest of (nearly) zero is a whole turn.
fn above_zero(rest: f64) -> f64 {
    if rest < 1e-9 { TURN } else { rest }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;

    fn deg(x: f64) -> Angle {
        Angle::from_si(x.to_radians())
    }

    fn degs(x: &[f64]) -> Vec<Angle> {
        x.iter().map(|x| deg(*x)).collect()
    }

    fn intervals(layout: &Layout, order: &[usize]) -> Vec<f64> {
        let all = layout.firing_intervals(order).unwrap();
        all.iter().map(|a| (a.si().to_degrees() * 1e6).round() / 1e6).collect()
    }

    #[test]
    fn in_line_engines_fire_evenly() {
        let four = Layout::inline(&degs(&[0.0, 180.0, 180.0, 0.0]), Cycle::FourStroke).unwrap();
        assert_eq!(intervals(&four, &[1, 3, 4, 2]), vec![180.0; 4]);
        let three = Layout::inline(&degs(&[0.0, 120.0, 240.0]), Cycle::FourStroke).unwrap();
        assert_eq!(intervals(&three, &[1, 2, 3]), vec![240.0; 3]);
        let twin = Layout::inline(&degs(&[0.0, 0.0]), Cycle::FourStroke).unwrap();
        assert_eq!(intervals(&twin, &[1, 2]), vec![360.0; 2]);
        let two_stroke = Layout::inline(&degs(&[0.0, 180.0]), Cycle::TwoStroke).unwrap();
        assert_eq!(intervals(&two_stroke, &[1, 2]), vec![180.0; 2]);
    }

    #[test]
    fn a_vee_twin_on_one_pin_fires_unevenly() {
        let twin = Layout::vee(deg(90.0), &degs(&[0.0]), Cycle::FourStroke).unwrap();
        assert_eq!(intervals(&twin, &[1, 2]), vec![270.0, 450.0]);
    }

    #[test]
    fn flat_four_and_vee_eight_fire_evenly() {
        let four = Layout::flat(&degs(&[0.0, 180.0, 180.0, 0.0]), Cycle::FourStroke).unwrap();
        assert_eq!(intervals(&four, &[1, 3, 2, 4]), vec![180.0; 4]);
        let eight = Layout::vee(deg(90.0), &degs(&[0.0, 90.0, 270.0, 180.0]), Cycle::FourStroke).unwrap();
        let order = [1, 8, 4, 3, 6, 5, 7, 2];
        assert_eq!(intervals(&eight, &order), vec![90.0; 8]);
    }

    #[test]
    fn an_order_that_cannot_be_is_refused() {
        let four = Layout::inline(&degs(&[0.0, 180.0, 180.0, 0.0]), Cycle::FourStroke).unwrap();
        assert_eq!(four.firing_intervals(&[1, 2, 3]).unwrap_err().kind(), ErrorKind::WrongLength);
        assert_eq!(four.firing_intervals(&[1, 2, 3, 3]).unwrap_err().kind(), ErrorKind::OutOfRange);
        assert_eq!(four.firing_intervals(&[1, 4, 2, 3]).unwrap_err().kind(), ErrorKind::OutOfRange);
        assert!(Layout::inline(&[], Cycle::FourStroke).is_err());
        assert!(four.top_dead_centre(0).is_err());
    }
}
