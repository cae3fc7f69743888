//! Trial runs of the document: the unbalance they find stands where a balancing machine's readings would.

use super::balance_sections::{Trials, Vibration};
use super::readings::{Key, Readings};
use crate::balance::influence::{
    InfluenceSurvey, PhaseConvention, ReadingUncertainty, TrialRun, VibrationReading,
};
use crate::balance::unbalance::UnbalanceVector;
use crate::error::{Error, Result};
use crate::metrology::reading::COVERAGE_FACTOR;
use crate::units::{Angle, Dimensioned, Ratio, Unbalance, find};

const FIELD: &str = "balance.trials";

fn vibrations(all: &[Vibration], field: &str, r: &Readings) -> Result<Vec<VibrationReading>> {
    r.exact_length(field, all.len(), 2, "sensor")?;
    let one = |(i, v): (usize, &Vibration)| {
        let field = format!("{field}[{}]", i + 1);
        let amplitude: Ratio = r.exact(&format!("{field}.amplitude"), &v.amplitude)?;
        let phase: Angle = r.exact(&format!("{field}.phase"), &v.phase)?;
        VibrationReading::new(amplitude.si(), phase).map_err(|e| r.place(e, &field))
    };
    all.iter().enumerate().map(one).collect()
}

fn runs(t: &Trials, r: &Readings) -> Result<Vec<TrialRun>> {
    let mut all = Vec::new();
    for (i, run) in t.runs.iter().enumerate() {
        let field = format!("{FIELD}.runs[{}]", i + 1);
        let name = |n: &str| format!("{field}.{n}");
        let amount: Unbalance = r.exact(&name("weight"), &run.weight)?;
        let weight = UnbalanceVector::heavy_at(amount, r.exact(&name("at"), &run.at)?)
            .map_err(|e| r.place(e, &name("weight")))?;
        let mut weights = vec![UnbalanceVector::none(); 2];
        match run.plane.checked_sub(1).and_then(|plane| weights.get_mut(plane)) {
            Some(place) => *place = weight,
            None => {
                let (value, allowed) = (run.plane.to_string(), "1 or 2".to_owned());
                let error = Error::OutOfRange { field: "plane".into(), value, allowed };
                return Err(r.place(error, &name("plane")));
            }
        }
        all.push(TrialRun::new(weights, vibrations(&run.readings, &name("readings"), r)?, run.stays));
    }
    Ok(all)
}

/// The unbalance that trial runs find in both planes, of the crank as it stands after them: amount and angle, with their uncertainty.
pub(super) fn found(t: &Trials, r: &mut Readings) -> Result<[(Key<Unbalance>, Key<Angle>); 2]> {
    let convention = match t.phase.trim() {
        "lead" => PhaseConvention::Lead,
        "lag" => PhaseConvention::Lag,
        other => {
            let allowed = "lead, counted in the sense of the weights' angles, or lag, against it".into();
            let error = Error::OutOfRange { field: "phase".into(), value: other.into(), allowed };
            return Err(r.place(error, "balance.trials.phase"));
        }
    };
    // As everywhere in a document, what is stated is expanded.
    let relative = match &t.relative_uncertainty {
        Some(text) => r.exact::<Ratio>("balance.trials.relative_uncertainty", text)? / COVERAGE_FACTOR,
        None => Ratio::from_si(0.0),
    };
    let phase = match &t.phase_uncertainty {
        Some(text) => r.exact::<Angle>("balance.trials.phase_uncertainty", text)? / COVERAGE_FACTOR,
        None => Angle::from_si(0.0),
    };
    let placed = |e: Error| r.place(e, FIELD);
    let baseline = vibrations(&t.baseline, "balance.trials.baseline", r)?;
    let survey = InfluenceSurvey::new(baseline, runs(t, r)?, convention).map_err(placed)?;
    let survey = survey.with_uncertainty(ReadingUncertainty::polar(relative, phase).map_err(placed)?);
    let correction = survey.correct().map_err(placed)?;
    let (amounts, angles) = (find("g mm").map_err(placed)?, find("deg").map_err(placed)?);
    let mut keys = Vec::new();
    let rows = correction.weights.iter().zip(&correction.uncertainty.weights);
    for ((weight, u), word) in rows.zip(["first plane", "second plane"]) {
        let heavy = weight.opposite();
        let spread = |standard: f64| (standard > 0.0).then_some(COVERAGE_FACTOR * standard);
        let name = format!("unbalance found by trials, {word}");
        let amount = r.found::<Unbalance>(&name, FIELD, amounts, heavy.amount().si(), spread(u.amount.si()));
        let turn = u.angle.map_or(0.0, |a| a.si());
        let name = format!("angle found by trials, {word}");
        keys.push((amount, r.found::<Angle>(&name, FIELD, angles, heavy.angle().si(), spread(turn))));
    }
    <[_; 2]>::try_from(keys).map_err(|k| {
        let (field, found, expected) = ("planes of the trials".into(), k.len(), "2".into());
        r.place(Error::WrongLength { field, found, expected }, FIELD)
    })
}
