//! The valve train over the crank angle, for its pictures: lifts and clearances, events, springs, clearance against advance and lash.

use super::chain::Chain;
use super::readings::Point;
use super::sheet::Printed;
use super::valve_details::{ValveDetails, degrees};
use super::valve_keys::{ValveKeys, ValveTrainKeys};
use super::valve_meeting::Meeting;
use crate::error::Result;
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::CamAngle;
use crate::valvetrain::pocket::{AdvanceLimits, LeastClearance};
use crate::valvetrain::timing::overlap_area;
use serde::Serialize;

/// Both valves and the piston of the first cylinder at one crank angle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ValvePoint {
    /// From overlap top dead centre.
    pub crank_deg: f64,
    /// Lift of the intake valve.
    pub intake_lift_mm: f64,
    /// Lift of the exhaust valve.
    pub exhaust_lift_mm: f64,
    /// Distance of the piston below top dead centre.
    pub piston_mm: f64,
    /// Clearance of the intake valve to the piston along its stem, in the tightest cylinder.
    pub intake_clearance_mm: Option<f64>,
    /// Clearance of the exhaust valve to the piston along its stem, in the tightest cylinder.
    pub exhaust_clearance_mm: Option<f64>,
}

/// What the springs push and what it takes, at the speed of the document.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpringPoint {
    /// From the nose of the lobe.
    pub cam_deg: f64,
    /// What the springs push.
    pub available_n: f64,
    /// What keeps the parts on the cam.
    pub needed_n: f64,
}

/// Least clearance to the piston at one advance and lash.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MapPoint {
    /// Crank degrees from as installed; retard below zero.
    pub advance_deg: f64,
    /// Lash at the valve.
    pub lash_mm: f64,
    /// Least clearance along the stem, in the tightest cylinder.
    pub clearance_mm: f64,
}

/// One kind of valve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ValveSide {
    /// "intake" or "exhaust".
    pub kind: &'static str,
    /// Its events in words.
    pub events: String,
    /// Lash at the valve, cold.
    pub lash: Printed,
    /// Opening, from overlap top dead centre.
    pub opens_deg: f64,
    /// Its centreline, counted alike.
    pub centreline_deg: f64,
    /// Closing, counted alike.
    pub closes_deg: f64,
    /// The cylinder whose piston comes nearest.
    pub tightest: Option<usize>,
    /// Where the piston comes nearest there, and how near.
    pub least_clearance: Option<Printed>,
    /// The crank angle of that, from overlap top dead centre.
    pub least_at_deg: Option<f64>,
    /// Between which advances the limit of the document is kept, crank degrees from as installed.
    pub advance_limits_deg: Option<[f64; 2]>,
    /// Whether every advance looked at between them keeps it too.
    pub advance_unbroken: bool,
    /// The advances looked at, crank degrees from as installed: of the map and of the limits.
    pub advance_range_deg: [f64; 2],
    /// Clearance over advance and lash.
    pub map: Vec<MapPoint>,
    /// Springs over the lobe.
    pub springs: Vec<SpringPoint>,
    /// Lobe, readings, rocker, throat.
    pub details: ValveDetails,
}

/// The valve train, for its pictures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ValveTable {
    /// The lift at which events are stated.
    pub checking_lift: Printed,
    /// Crank angle for which both valves are open beyond it; below zero none.
    pub overlap_deg: f64,
    /// Area under the lesser of both lifts while both valves are open at all.
    pub overlap_area_mm_deg: f64,
    /// Over two turns of the crank.
    pub points: Vec<ValvePoint>,
    /// Intake and exhaust.
    pub sides: Vec<ValveSide>,
    /// What is heeded before the engine is turned or started.
    pub cautions: Vec<&'static str>,
}

/// Common practice, no source.
const CAUTIONS: [&str; 5] = [
    "Check the clearance of the valves on the engine itself: modelling clay on the crown or a dial indicator at each valve, both valves, every cylinder that was cut.",
    "Turn the engine by hand, by the crank, at least twice round before the starter turns it. Where it stops, stop: find out what met before going on.",
    "A valve spring is under load: use a spring compressor that fits, keep face and fingers out of its line, wear eye protection.",
    "The speed at which a spring no longer holds the valve is a kinematic estimate of stiff parts: it is no speed to run to.",
    "The limits and procedures of the makers of cam, springs, valves and pistons go before every figure here.",
];

const MM: f64 = 1e3;
/// Advances and lashes of the map.
const STEPS: i32 = 8;
/// Where the document states no range of advances, crank degrees either way.
const RANGE: f64 = 8.0;

fn radians(degrees: f64) -> Angle {
    Angle::from_si(degrees.to_radians())
}

impl Chain {
    /// The valve train, where the document has it.
    pub(super) fn valve_table(&self) -> Result<Option<ValveTable>> {
        let Some(keys) = &self.valves else { return Ok(None) };
        let at = Point::new(&self.readings, &self.readings.values);
        let timing = keys.timing(&at)?;
        let [intake, exhaust] = &keys.valves;
        let (a, b) = (intake.motion(&at)?, exhaust.motion(&at)?);
        let turn = radians(360.0);
        let area =
            overlap_area(-turn, turn, |c| a.at(c).unwrap_or_default(), |c| b.at(c).unwrap_or_default())?;
        let sides = [0, 1].map(|kind| self.valve_side(keys, kind, &at));
        let [first, second] = sides;
        let sides = vec![first?, second?];
        Ok(Some(ValveTable {
            checking_lift: self.printed_length(at.get(keys.checking_lift)),
            overlap_deg: degrees(timing.overlap()),
            overlap_area_mm_deg: area.si() * MM * 180.0 / core::f64::consts::PI,
            points: self.valve_points(keys, &sides, &at)?,
            sides,
            cautions: CAUTIONS.to_vec(),
        }))
    }

    fn valve_points(
        &self,
        keys: &ValveTrainKeys,
        sides: &[ValveSide],
        at: &Point<'_>,
    ) -> Result<Vec<ValvePoint>> {
        let [intake, exhaust] = &keys.valves;
        let (a, b) = (intake.motion(at)?, exhaust.motion(at)?);
        let Some(c) = self.keys.cylinders.first() else { return Ok(Vec::new()) };
        let cylinder = c.cylinder(at)?;
        let mut gaps = Vec::new();
        for (kind, side) in sides.iter().enumerate() {
            let meeting = side.tightest.and_then(|i| self.meeting(kind, i - 1));
            gaps.push(match meeting {
                Some(m) => m.gap(at)?,
                None => None,
            });
        }
        let clearance = |kind: usize, crank, lift| -> Result<Option<f64>> {
            let Some(Some(gap)) = gaps.get(kind) else { return Ok(None) };
            Ok(Some(gap.at(crank, lift)?.along_stem.si() * MM))
        };
        let point = |step: i32| -> Result<ValvePoint> {
            let crank = radians(f64::from(step));
            let (first, second) = (a.at(crank)?, b.at(crank)?);
            Ok(ValvePoint {
                crank_deg: f64::from(step),
                intake_lift_mm: first.si() * MM,
                exhaust_lift_mm: second.si() * MM,
                piston_mm: cylinder.piston_position(crank).si() * MM,
                intake_clearance_mm: clearance(0, crank, first)?,
                exhaust_clearance_mm: clearance(1, crank, second)?,
            })
        };
        (-360..=360).map(point).collect()
    }

    fn valve_side(&self, keys: &ValveTrainKeys, kind: usize, at: &Point<'_>) -> Result<ValveSide> {
        let [intake, exhaust] = &keys.valves;
        let (v, timing) = match kind {
            0 => (intake, keys.timing(at)?.intake()),
            _ => (exhaust, keys.timing(at)?.exhaust()),
        };
        let range = keys.range.unwrap_or([radians(-RANGE), radians(RANGE)]);
        let mut side = ValveSide {
            kind: v.kind.name(),
            events: timing.events().to_string(),
            lash: self.printed_length(v.lash(at)),
            opens_deg: degrees(timing.opening()),
            centreline_deg: degrees(timing.centreline()),
            closes_deg: degrees(timing.closing()),
            tightest: None,
            least_clearance: None,
            least_at_deg: None,
            advance_limits_deg: None,
            advance_unbroken: true,
            advance_range_deg: range.map(degrees),
            map: Vec::new(),
            springs: self.spring_points(v, at)?,
            details: self.valve_details(v, at)?,
        };
        if let Some((least, meeting)) = self.tightest(kind, at)? {
            side.tightest = Some(meeting.cylinder + 1);
            side.least_clearance = Some(self.printed_length(least.clearance));
            side.least_at_deg = Some(degrees(least.crank));
            if let Some(limits) = self.advance_limits(&meeting, range, at)? {
                side.advance_limits_deg = Some([degrees(limits.least), degrees(limits.greatest)]);
                side.advance_unbroken = limits.unbroken;
            }
            side.map = map(&meeting, range, at)?;
        }
        Ok(side)
    }

    /// The piston that comes nearest to this kind of valve, and how near.
    fn tightest(&self, kind: usize, at: &Point<'_>) -> Result<Option<(LeastClearance, Meeting)>> {
        let mut best: Option<(LeastClearance, Meeting)> = None;
        for i in 0..self.keys.cylinders.len() {
            let Some(meeting) = self.meeting(kind, i) else { return Ok(None) };
            let Some(least) = meeting.least(at)? else { return Ok(None) };
            if best.as_ref().is_none_or(|(nearest, _)| least.clearance < nearest.clearance) {
                best = Some((least, meeting));
            }
        }
        Ok(best)
    }

    /// Between which advances the limit that the document sets is kept.
    fn advance_limits(
        &self,
        m: &Meeting,
        range: [Angle; 2],
        at: &Point<'_>,
    ) -> Result<Option<AdvanceLimits>> {
        let figure = |f: &&super::chain::Figure| f.what == m.what() && f.state.is_none();
        let limit =
            self.figures.iter().find(figure).and_then(|f| f.limit.as_ref()).and_then(|l| l.limits.lower());
        let Some(limit) = limit else { return Ok(None) };
        let [low, high] = range;
        match m.advance_limits(Length::from_si(limit), low, high, at) {
            // No advance of the range keeps it: the finding itself says by how much.
            Err(crate::Error::NoSolution { .. }) => Ok(None),
            found => found,
        }
    }

    fn spring_points(&self, v: &ValveKeys, at: &Point<'_>) -> Result<Vec<SpringPoint>> {
        let (Some(moving), Some(speed)) = (&v.moving, self.keys.speed) else { return Ok(Vec::new()) };
        if v.springs.is_empty() {
            return Ok(Vec::new());
        }
        let (control, motion) = (v.control(moving, at)?, v.motion_on_cam(at)?);
        let point = |step: i32| {
            let cam_deg = f64::from(step) / 2.0;
            let forces = control.forces(motion(CamAngle::of_cam(radians(cam_deg))), at.get(speed))?;
            Ok(SpringPoint { cam_deg, available_n: forces.available.si(), needed_n: forces.needed.si() })
        };
        (-180..=180).map(point).collect()
    }
}

/// Least clearance over the range of advances, and over lashes from none to twice what is set.
fn map(m: &Meeting, [low, high]: [Angle; 2], at: &Point<'_>) -> Result<Vec<MapPoint>> {
    let most = m.lash(at) * 2.0;
    let mut all = Vec::new();
    for row in 0..=STEPS {
        let lash = most * (f64::from(row) / f64::from(STEPS));
        for column in 0..=STEPS {
            let advance = low + (high - low) * (f64::from(column) / f64::from(STEPS));
            if let Some(least) = m.least_with(lash, advance, at)? {
                all.push(MapPoint {
                    advance_deg: degrees(advance),
                    lash_mm: lash.si() * MM,
                    clearance_mm: least.clearance.si() * MM,
                });
            }
        }
        if most.si() == 0.0 {
            break;
        }
    }
    Ok(all)
}
