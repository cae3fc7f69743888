//! The lobes of a document, and the readings of a degree wheel.

use super::document::Text;
use super::readings::{Key, Readings};
use super::valve_sections::{Lobe, Wheel};
use crate::error::{Error, Result};
use crate::metrology::reading::COVERAGE_FACTOR;
use crate::units::{Angle, Dimensioned, Length, find};
use crate::valvetrain::CamAngle;
use crate::valvetrain::lift::{Flank, LiftCurve, Programme, Ramp, TableFit};
use crate::valvetrain::timing::{ValveEvents, ValveKind, ValveTiming};
use crate::valvetrain::wheel::{MidpointAgainst, WheelFit, WheelReadings, WheelUncertainty, WheelZero};

/// A figure that the lobe's programme needs.
fn needed<Q: Dimensioned>(text: &Option<Text>, field: &str, r: &Readings) -> Result<Q> {
    r.needed(field, text, "this programme needs it")
}

fn cam(text: &Option<Text>, field: &str, r: &Readings) -> Result<CamAngle> {
    needed(text, field, r).map(CamAngle::of_cam)
}

/// The follower's lift against the cam angle; with how a table's curve stands to its readings.
pub(super) fn lobe(doc: &Lobe, field: &str, r: &Readings) -> Result<(LiftCurve, Option<TableFit>)> {
    let name = |n: &str| format!("{field}.{n}");
    let programme = match doc.programme.trim() {
        "3-4-5" => Programme::Polynomial345,
        "4-5-6-7" => Programme::Polynomial4567,
        "cycloidal" => Programme::Cycloidal,
        "harmonic" => Programme::Harmonic,
        "polynomial" => {
            let lift = needed(&doc.lift, &name("lift"), r)?;
            let half = cam(&doc.opening, &name("opening"), r)?;
            stray(
                doc,
                field,
                &["closing", "dwell", "ramp_height", "ramp_length", "angles", "lifts", "deviation"],
                r,
            )?;
            return LiftCurve::polynomial(&doc.exponents, lift, half)
                .map(|curve| (curve, None))
                .map_err(|e| lobe_error(e, field, "exponents", r));
        }
        "table" => return table(doc, field, r),
        other => {
            let error = Error::OutOfRange {
                field: "programme".into(),
                value: format!("\"{}\"", other.chars().take(40).collect::<String>()),
                allowed: "3-4-5, 4-5-6-7, cycloidal, harmonic, polynomial or table".into(),
            };
            return Err(r.place(error, &name("programme")));
        }
    };
    stray(doc, field, &["exponents", "angles", "lifts", "deviation"], r)?;
    flanks(doc, programme, field, r).map(|curve| (curve, None))
}

fn flanks(doc: &Lobe, programme: Programme, field: &str, r: &Readings) -> Result<LiftCurve> {
    let name = |n: &str| format!("{field}.{n}");
    let placed = |n: &str| {
        let field = name(n);
        move |e: Error| r.place(e, &field)
    };
    let ramp = match (&doc.ramp_height, &doc.ramp_length) {
        (None, None) => None,
        (height, length) => {
            let height: Length = needed(height, &name("ramp_height"), r)?;
            let length = cam(length, &name("ramp_length"), r)?;
            Some(Ramp::new(height, length).map_err(placed("ramp_height"))?)
        }
    };
    let flank = |length: CamAngle, n: &str| -> Result<Flank> {
        let flank = Flank::new(programme, length).map_err(placed(n))?;
        Ok(ramp.map_or(flank, |ramp| flank.with_ramp(ramp)))
    };
    let opening = cam(&doc.opening, &name("opening"), r)?;
    let closing = match &doc.closing {
        Some(_) => cam(&doc.closing, &name("closing"), r)?,
        None => opening,
    };
    let dwell = match &doc.dwell {
        Some(_) => cam(&doc.dwell, &name("dwell"), r)?,
        None => CamAngle::of_cam(Angle::from_si(0.0)),
    };
    let lift = needed(&doc.lift, &name("lift"), r)?;
    LiftCurve::of_flanks(lift, flank(opening, "opening")?, flank(closing, "closing")?, dwell)
        .map_err(|e| lobe_error(e, field, "lift", r))
}

/// A lobe that is too long is so by its flanks, whichever entry else the error of a curve stands at.
fn lobe_error(error: Error, field: &str, otherwise: &str, r: &Readings) -> Error {
    let long = error.field().is_some_and(|f| f.ends_with("length of the lobe"));
    r.place(error, &format!("{field}.{}", if long { "opening" } else { otherwise }))
}

/// A table of lifts, as read or smoothed by its standard deviation.
fn table(doc: &Lobe, field: &str, r: &Readings) -> Result<(LiftCurve, Option<TableFit>)> {
    stray(
        doc,
        field,
        &["lift", "opening", "closing", "dwell", "ramp_height", "ramp_length", "exponents"],
        r,
    )?;
    let name = |n: &str| format!("{field}.{n}");
    let each = |texts: &[Text], n: &str| -> Result<Vec<f64>> {
        let one = |(i, t): (usize, &Text)| match n {
            "angles" => r.exact::<Angle>(&format!("{field}.{n}[{}]", i + 1), t).map(Dimensioned::si),
            _ => r.exact::<Length>(&format!("{field}.{n}[{}]", i + 1), t).map(Dimensioned::si),
        };
        texts.iter().enumerate().map(one).collect()
    };
    let angles: Vec<CamAngle> =
        each(&doc.angles, "angles")?.into_iter().map(|a| CamAngle::of_cam(Angle::from_si(a))).collect();
    let lifts: Vec<Length> = each(&doc.lifts, "lifts")?.into_iter().map(Length::from_si).collect();
    r.exact_length(&name("lifts"), lifts.len(), angles.len(), "angle")?;
    let read = match &doc.deviation {
        Some(text) => LiftCurve::smoothed(&angles, &lifts, r.exact(&name("deviation"), text)?),
        None => LiftCurve::interpolated(&angles, &lifts),
    };
    read.map(|m| (m.curve, Some(m.fit))).map_err(|e| r.place(e, &name("lifts")))
}

/// Refuses figures that the programme has no use for.
fn stray(doc: &Lobe, field: &str, unused: &[&str], r: &Readings) -> Result<()> {
    let there = |n: &&&str| match **n {
        "lift" => doc.lift.is_some(),
        "opening" => doc.opening.is_some(),
        "closing" => doc.closing.is_some(),
        "dwell" => doc.dwell.is_some(),
        "ramp_height" => doc.ramp_height.is_some(),
        "ramp_length" => doc.ramp_length.is_some(),
        "exponents" => !doc.exponents.is_empty(),
        "angles" => !doc.angles.is_empty(),
        "lifts" => !doc.lifts.is_empty(),
        _ => doc.deviation.is_some(),
    };
    match unused.iter().find(there) {
        None => Ok(()),
        Some(extra) => {
            let field = format!("{field}.{extra}");
            let remedy = "this programme has no such figure".into();
            Err(r.place(Error::UnknownKey { field: field.clone(), remedy }, &field))
        }
    }
}

/// The centreline that a degree wheel finds, counted as the document counts it (intake after, exhaust before overlap top dead centre), with its
/// uncertainty.
pub(super) fn wheel(
    doc: &Wheel,
    kind: ValveKind,
    field: &str,
    r: &mut Readings,
) -> Result<(Key<Angle>, WheelFit)> {
    let table = format!("{field}.wheel");
    let name = |n: &str| format!("{table}.{n}");
    let (openings, closings) = (
        read_angles(&doc.openings, &name("openings"), r)?,
        read_angles(&doc.closings, &name("closings"), r)?,
    );
    let lifts: Vec<Length> = doc
        .lifts
        .iter()
        .enumerate()
        .map(|(i, t)| r.exact(&format!("{table}.lifts[{}]", i + 1), t))
        .collect::<Result<_>>()?;
    r.exact_length(&name("openings"), openings.len(), lifts.len(), "lift")?;
    r.exact_length(&name("closings"), closings.len(), lifts.len(), "lift")?;
    let (mut opens, mut closes) = (Vec::new(), Vec::new());
    for ((i, lift), ((opening, _), (closing, _))) in
        lifts.iter().enumerate().zip(openings.iter().zip(&closings))
    {
        let events = ValveEvents { kind, opening: *opening, closing: *closing };
        let timing = ValveTiming::from_events(events, *lift)
            .map_err(|e| r.place(e, &format!("{table}.openings[{}]", i + 1)))?;
        opens.push(timing.opening());
        closes.push(timing.closing());
    }
    let of = |all: &[(Angle, Option<Angle>)]| all.iter().map(|(_, u)| *u).collect::<Option<Vec<Angle>>>();
    let uncertainty = match (of(&openings), of(&closings)) {
        (Some(openings), Some(closings)) => WheelUncertainty::Each { openings, closings },
        _ if openings.iter().chain(&closings).all(|(_, u)| u.is_none()) => {
            WheelUncertainty::Common(Angle::from_si(0.0))
        }
        _ => {
            let bare = |all: &[(Angle, Option<Angle>)]| all.iter().position(|(_, u)| u.is_none());
            let field = match (bare(&openings), bare(&closings)) {
                (Some(i), _) => name(&format!("openings[{}]", i + 1)),
                (None, i) => name(&format!("closings[{}]", i.unwrap_or_default() + 1)),
            };
            let remedy =
                "its uncertainty, as the others have it: of all readings of the wheel, or of none".into();
            return Err(r.place(Error::MissingKey { field: "+/-".into(), remedy }, &field));
        }
    };
    let readings =
        WheelReadings::new(&lifts, &opens, &closes, &uncertainty).map_err(|e| r.place(e, &table))?;
    let readings = match zero(doc, &table, r)? {
        Some(zero) => readings.with_zero(zero),
        None => readings,
    };
    let against = if lifts.len() > 1 { MidpointAgainst::HalfDuration } else { MidpointAgainst::Lift };
    let fit = readings.fit(against).map_err(|e| r.place(e, &table))?;
    let sign = if kind == ValveKind::Intake { 1.0 } else { -1.0 };
    let spread = COVERAGE_FACTOR * fit.centreline_standard.si();
    let degrees = find("deg").map_err(|e| r.place(e, &table))?;
    let name = format!("{} centreline found by the wheel", kind.name());
    let found = r.found(&name, &table, degrees, sign * fit.centreline.si(), (spread > 0.0).then_some(spread));
    Ok((found, fit))
}

/// The error of the wheel's zero, as stated or from a positive stop.
fn zero(doc: &Wheel, table: &str, r: &Readings) -> Result<Option<WheelZero>> {
    let one = |n: &str, text| r.exact_with_uncertainty::<Angle>(&format!("{table}.{n}"), text);
    let still = Angle::from_si(0.0);
    let made = match (&doc.zero, &doc.stop_before, &doc.stop_after) {
        (None, None, None) => return Ok(None),
        (Some(text), None, None) => {
            let (offset, standard) = one("zero", text)?;
            WheelZero::new(offset, standard.unwrap_or(still))
        }
        (None, Some(before), Some(after)) => {
            let ((before, u), (after, v)) = (one("stop_before", before)?, one("stop_after", after)?);
            let standard = u.unwrap_or(still).max(v.unwrap_or(still));
            WheelZero::from_positive_stop(before, after, standard)
        }
        _ => {
            let remedy = "the wheel's zero, or stop_before with stop_after of a positive stop".into();
            return Err(r.place(Error::MissingKey { field: format!("{table}.zero"), remedy }, table));
        }
    };
    made.map(Some).map_err(|e| r.place(e, &format!("{table}.zero")))
}

/// Angles with their standard uncertainty where stated.
fn read_angles(texts: &[Text], field: &str, r: &Readings) -> Result<Vec<(Angle, Option<Angle>)>> {
    let one = |(i, text): (usize, &Text)| r.exact_with_uncertainty(&format!("{field}[{}]", i + 1), text);
    texts.iter().enumerate().map(one).collect()
}
