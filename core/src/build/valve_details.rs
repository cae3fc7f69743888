//! What stands behind one kind of valve: its lobe with derivatives, the readings it was made from, the rocker's geometry, the throat.

use super::chain::Chain;
use super::readings::Point;
use super::sheet::Printed;
use super::terms::What;
use super::valve_keys::ValveKeys;
use crate::error::Result;
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::CamAngle;
use crate::valvetrain::lift::TableFit;
use crate::valvetrain::rocker::Rocker;
use crate::valvetrain::wheel::{UncertaintyFrom, WheelFit};
use serde::Serialize;

const MM: f64 = 1e3;
/// Crank degrees by which durations of wheel and lobe may differ: a worn lobe, play and the indicator make a few (common practice, no source).
const WHEEL_AND_LOBE: f64 = 5.0;
/// No valve of a four-stroke engine is open so long, in crank degrees (common practice, no source).
const LONGEST: f64 = 400.0;

/// The follower's motion at one cam angle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LobePoint {
    /// From the nose.
    pub cam_deg: f64,
    /// Lift of the follower.
    pub lift_mm: f64,
    /// Per cam degree.
    pub velocity_mm_per_deg: f64,
    /// Per cam degree squared.
    pub acceleration_mm_per_deg2: f64,
    /// Per cam degree cubed.
    pub jerk_mm_per_deg3: f64,
}

/// How a lobe read as a table stands to its readings: what smoothing cost.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableRow {
    /// Where the nose was found in the table.
    pub nose_deg: f64,
    /// Root mean square of readings less curve.
    pub rms: Printed,
    /// The reading farthest from the curve.
    pub largest: Printed,
    /// Its angle, as in the table.
    pub largest_at_deg: f64,
    /// What smoothing took off the top; below zero where the nose lies between readings.
    pub peak_lost: Printed,
    /// Angles of the table where the acceleration jumps so that the flank keeps rising or falling.
    pub kinks_deg: Vec<f64>,
}

/// What the degree wheel gave at one lift.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WheelRow {
    /// The lift at the valve.
    pub lift: Printed,
    /// Midway between opening and closing, from overlap top dead centre.
    pub midpoint_deg: f64,
    /// From opening to closing.
    pub duration_deg: f64,
    /// What the lobe, rocker and lash of the document give there; none where the valve never lifts so far.
    pub lobe_duration_deg: Option<f64>,
    /// Reading less what the line says.
    pub opening_residual_deg: f64,
    /// The same of the closing.
    pub closing_residual_deg: f64,
}

/// What the degree wheel gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WheelTable {
    /// Lift by lift.
    pub lifts: Vec<WheelRow>,
    /// Standard uncertainty of the centreline.
    pub standard_deg: f64,
    /// "stated" of the readings, or their larger "scatter".
    pub uncertainty_from: &'static str,
    /// (closing - opening flank) / (closing + opening flank); none from one lift.
    pub asymmetry: Option<f64>,
    /// Its standard uncertainty.
    pub asymmetry_standard: Option<f64>,
    /// The latest less the earliest midpoint.
    pub midpoint_spread_deg: f64,
}

/// The rocker over the lift of its lobe.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RockerRow {
    /// Valve lift by lifter lift at the seat, at half and at full lift of the lifter.
    pub ratio: [f64; 3],
    /// How wide the contact wanders over the stem's tip.
    pub sweep: Printed,
    /// Middle of the sweep from the stem's axis, positive away from the pivot.
    pub off_centre: Printed,
    /// The pushrod as it is.
    pub pushrod: Printed,
    /// The pushrod with which the contact wanders least; none where there is none.
    pub pushrod_of_least_sweep: Option<Printed>,
    /// The pushrod with which the middle of the sweep is on the stem's axis; none where no length brings it there.
    pub pushrod_of_centred_sweep: Option<Printed>,
}

/// The seat and the throat of a valve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ThroatRow {
    /// Free area of the throat, less the stem.
    pub area_cm2: f64,
    /// The lift from which the throat is narrower than the way past the seat; none where it never is.
    pub lift_for_throat: Option<Printed>,
    /// Least area of the way past the seat at the lift of the nose, no more than the throat.
    pub area_at_full_lift_cm2: f64,
}

/// What stands behind one kind of valve.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ValveDetails {
    /// The follower over its lobe, each cam degree.
    pub lobe: Vec<LobePoint>,
    /// The lobe's table, where it was read as one.
    pub table: Option<TableRow>,
    /// The degree wheel, where it was read.
    pub wheel: Option<WheelTable>,
    /// The rocker, where its geometry is known.
    pub rocker: Option<RockerRow>,
    /// Seat and throat, where they are known.
    pub throat: Option<ThroatRow>,
    /// What does not fit together, or was not used.
    pub remarks: Vec<String>,
}

pub(super) fn degrees(angle: Angle) -> f64 {
    angle.si().to_degrees()
}

impl Chain {
    /// What stands behind one kind of valve.
    pub(super) fn valve_details(&self, v: &ValveKeys, at: &Point<'_>) -> Result<ValveDetails> {
        let wheel = v.wheel.as_ref().map(|fit| self.wheel_table(fit, v, at));
        let remarks = self.valve_remarks(v, wheel.as_ref(), at)?;
        Ok(ValveDetails {
            remarks,
            lobe: lobe(v)?,
            table: v.table.as_ref().map(|fit| self.table_row(fit)),
            wheel,
            rocker: v.train(at)?.rocker().map(|r| self.rocker_row(r, v.curve.maximum())).transpose()?,
            throat: self.throat_row(v, at)?,
        })
    }

    pub(super) fn printed_length(&self, length: Length) -> Printed {
        Printed::new(self.unit(&What::ValveLift.term()), length.si())
    }

    /// What does not fit together, or was not used.
    fn valve_remarks(
        &self,
        v: &ValveKeys,
        wheel: Option<&WheelTable>,
        at: &Point<'_>,
    ) -> Result<Vec<String>> {
        let kind = v.kind.name();
        let mut told = Vec::new();
        for row in wheel.map(|w| w.lifts.as_slice()).unwrap_or_default() {
            let lift = &row.lift.text;
            match row.lobe_duration_deg {
                None => told.push(format!(
                    "{kind}: the wheel was read at {lift}, but by lobe, rocker and lash the valve never lifts so far"
                )),
                Some(lobe) if (row.duration_deg - lobe).abs() > WHEEL_AND_LOBE => told.push(format!(
                    "{kind}: at {lift} the wheel reads {:.1} deg of duration, lobe, rocker and lash give {lobe:.1} deg: another lobe, lash or rocker than \
                     written, or angles of the crank where the lobe's are of the cam",
                    row.duration_deg
                )),
                Some(_) => {}
            }
        }
        if let Some(keys) = &self.valves {
            let duration = degrees(v.timing(at.get(keys.checking_lift), at)?.duration());
            if duration > LONGEST {
                told.push(format!(
                    "{kind}: open for {duration:.0} deg of the crank beyond the checking lift; the angles of a lobe are of the cam, half those of the crank"
                ));
            }
        }
        if v.has_hot_lash() && self.thermal.states.is_empty() {
            told.push(format!(
                "{kind}: hot_lash is for states of temperatures, and the document has none; all is with the cold lash"
            ));
        }
        if v.lacks_tilt() {
            told.push(format!("{kind}: no tilt is written; the stem is taken as parallel to the bore"));
        }
        Ok(told)
    }

    fn table_row(&self, fit: &TableFit) -> TableRow {
        let fine = self.unit(&What::IntakeValveToPiston.term());
        let printed = |length: Length| Printed::difference(fine, length.si());
        TableRow {
            nose_deg: degrees(fit.nose.on_cam()),
            rms: printed(fit.rms),
            largest: printed(fit.largest),
            largest_at_deg: degrees(fit.largest_at.on_cam()),
            peak_lost: printed(fit.peak_lost),
            kinks_deg: fit.kinks.iter().map(|k| degrees(k.on_cam())).collect(),
        }
    }

    fn wheel_table(&self, fit: &WheelFit, v: &ValveKeys, at: &Point<'_>) -> WheelTable {
        let row = |l: &crate::valvetrain::wheel::WheelLift| WheelRow {
            lift: self.printed_length(l.lift),
            midpoint_deg: degrees(l.midpoint),
            duration_deg: degrees(l.duration),
            lobe_duration_deg: v.timing(l.lift, at).ok().map(|t| degrees(t.duration())),
            opening_residual_deg: degrees(l.opening_residual),
            closing_residual_deg: degrees(l.closing_residual),
        };
        WheelTable {
            lifts: fit.lifts.iter().map(row).collect(),
            standard_deg: degrees(fit.centreline_standard),
            uncertainty_from: match fit.uncertainty_from {
                UncertaintyFrom::Stated => "stated",
                UncertaintyFrom::Scatter => "scatter",
            },
            asymmetry: fit.asymmetry.map(|a| a.slope),
            asymmetry_standard: fit.asymmetry.map(|a| a.standard),
            midpoint_spread_deg: degrees(fit.midpoint_spread()),
        }
    }

    fn rocker_row(&self, rocker: &Rocker, lifter: Length) -> Result<RockerRow> {
        let ratio = |share: f64| Ok(rocker.derivatives(lifter * share)?.first);
        let sweep = rocker.sweep(rocker.valve_lift(lifter)?)?;
        let length = |of: Result<Rocker>| of.ok().map(|r| self.printed_length(r.pushrod_length()));
        Ok(RockerRow {
            ratio: [ratio(0.0)?, ratio(0.5)?, ratio(1.0)?],
            sweep: self.printed_length(sweep.width()),
            off_centre: self.printed_length(sweep.middle()),
            pushrod: self.printed_length(rocker.pushrod_length()),
            pushrod_of_least_sweep: length(rocker.least_sweep(lifter)),
            pushrod_of_centred_sweep: length(rocker.centred(lifter)),
        })
    }

    fn throat_row(&self, v: &ValveKeys, at: &Point<'_>) -> Result<Option<ThroatRow>> {
        const CM2: f64 = 1e4;
        let Some(poppet) = v.poppet(at)? else { return Ok(None) };
        Ok(Some(ThroatRow {
            area_cm2: poppet.throat_area().si() * CM2,
            lift_for_throat: poppet.lift_for_throat().ok().map(|lift| self.printed_length(lift)),
            area_at_full_lift_cm2: poppet.minimum_area(v.greatest_lift(at)?)?.si() * CM2,
        }))
    }
}

fn lobe(v: &ValveKeys) -> Result<Vec<LobePoint>> {
    let zero = Length::from_si(0.0);
    let (opens, closes) = (v.curve.opening_at(zero)?, v.curve.closing_at(zero)?);
    let whole = |angle: CamAngle| degrees(angle.on_cam());
    let (first, last) = (whole(opens).floor() as i32, whole(closes).ceil() as i32);
    let rad = 1f64.to_radians();
    let point = |cam: i32| {
        let l = v.curve.at(CamAngle::of_cam(Angle::from_si(f64::from(cam).to_radians())));
        LobePoint {
            cam_deg: f64::from(cam),
            lift_mm: l.lift.si() * MM,
            velocity_mm_per_deg: l.velocity.si() * MM * rad,
            acceleration_mm_per_deg2: l.acceleration.si() * MM * rad.powi(2),
            jerk_mm_per_deg3: l.jerk.si() * MM * rad.powi(3),
        }
    };
    Ok((first..=last).map(point).collect())
}
