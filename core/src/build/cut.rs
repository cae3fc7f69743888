//! What to cut: the chain solved for one thing a machine can change, then run again with it.

use super::chain::{Chain, Figure, Limit};
use super::operation::Machining;
use super::readings::Point;
use super::sheet::{Evaluated, Judgement, Printed};
use crate::solve::bracketed;
use crate::units::Unit;
use serde::Serialize;

/// One reading before and after a cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// The entry of the document.
    pub reading: String,
    /// As measured.
    pub from: Printed,
    /// After the cut.
    pub to: Printed,
}

/// A proposed cut and what it does to the whole sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cut {
    /// The operation.
    pub operation: &'static str,
    /// The readings it moves.
    pub changes: Vec<Change>,
    /// By how much each is moved.
    pub by: Printed,
    /// The finding afterwards.
    pub result: Printed,
    /// Its verdict afterwards.
    pub verdict: Judgement,
    /// Other findings that it brings in.
    pub mends: Vec<String>,
    /// Other findings that it puts out, or leaves in doubt.
    pub breaks: Vec<String>,
    /// Other findings of the same readings that were out and stay out, or in doubt.
    pub leaves: Vec<String>,
    /// What to mind.
    pub hazard: &'static str,
}

/// The cuts that bring the i-th figure in, those that break the least first, or why there is none.
pub(super) fn cuts(chain: &Chain, i: usize, done: &[Evaluated]) -> Result<Vec<Cut>, &'static str> {
    let (Some(figure), Some(now)) = (chain.figures.get(i), done.get(i)) else {
        return Err("there is no such figure");
    };
    if figure.cuts.is_empty() {
        return Err(figure.what.without_cut());
    }
    let Some(aim) = figure.limit.as_ref().and_then(|l| aim(chain, figure, l, now)) else {
        return Err(
            "the uncertainty is as wide as the limits, so that no cut could be proved; measure better first",
        );
    };
    let tried = figure.cuts.iter().filter_map(|way| try_cut(chain, i, way, aim, done));
    let mut found: Vec<Cut> = tried.collect();
    found.sort_by_key(|cut| (cut.breaks.len(), cut.leaves.len()));
    if found.is_empty() {
        Err("no operation within its reach brings this figure in; another part")
    } else {
        Ok(found)
    }
}

/// Where a cut should bring the figure: to the target where one is set and safely inside, else to the middle of
/// the zone that the guard bands leave, else one printed digit inside the only limit.
fn aim(chain: &Chain, figure: &Figure, limit: &Limit, now: &Evaluated) -> Option<f64> {
    let (lower, upper) = limit.limits.acceptance(now.budget.standard)?;
    let inside = |t: &f64| lower.is_none_or(|l| *t >= l) && upper.is_none_or(|u| *t <= u);
    if let Some(target) = limit.target.filter(inside) {
        return Some(target);
    }
    let unit = chain.unit(&figure.what.term());
    let digit = step(unit);
    match (lower, upper) {
        (Some(l), Some(u)) => Some((l + u) / 2.0),
        (Some(l), None) => Some(l + digit),
        (None, Some(u)) => Some(u - digit),
        (None, None) => None,
    }
}

/// The last printed digit of a unit, SI.
fn step(unit: &Unit) -> f64 {
    unit.difference_to_si(10f64.powi(-(unit.decimals as i32)))
}

fn try_cut(chain: &Chain, i: usize, way: &Machining, aim: f64, done: &[Evaluated]) -> Option<Cut> {
    let figure = chain.figures.get(i)?;
    let first = *way.keys.first()?;
    let unit = chain.readings.entries.get(first)?.unit;
    let delta = whole_steps(unit, solve(chain, figure, way, aim)?);
    if delta == 0.0 {
        return None;
    }
    let values = chain.moved(way, delta);
    chain.possible(&values).ok()?;
    let after = chain.evaluate(figure, &values).ok()?;
    if !matches!(after.judgement, Judgement::Pass | Judgement::Clear) {
        return None;
    }
    let Others { mends, breaks, leaves } = others(chain, i, way, &values, done);
    Some(Cut {
        operation: way.operation.name(),
        changes: chain.changes(way, &values),
        by: Printed::change(unit, delta, way.operation.one_way()),
        result: Printed::new(chain.unit(&figure.what.term()), after.value()),
        verdict: after.judgement,
        mends,
        breaks,
        leaves,
        hazard: way.operation.hazard(),
    })
}

/// The change rounded to what is printed, so that the sheet's "to" is what was computed with.
fn whole_steps(unit: &Unit, delta: f64) -> f64 {
    let scale = 10f64.powi(unit.decimals as i32);
    unit.difference_to_si((unit.difference_from_si(delta) * scale).round() / scale)
}

/// The change that brings the figure to the aim, inside the operation's reach.
fn solve(chain: &Chain, figure: &Figure, way: &Machining, aim: f64) -> Option<f64> {
    let off = |delta: f64| -> crate::Result<f64> {
        let values = chain.moved(way, delta);
        Ok(chain.value(figure, &Point::new(&chain.readings, &values))? - aim)
    };
    let (low, high) = way.operation.reach();
    let (low, high) = (reachable(low, off), reachable(high, off));
    // Search each direction for itself, so that the smallest cut is found first.
    let down = bracketed("cut", low, 0.0, off).ok();
    let up = bracketed("cut", 0.0, high, off).ok();
    match (down, up) {
        (Some(d), Some(u)) => Some(if -d < u { d } else { u }),
        (d, u) => d.or(u),
    }
}

/// The end of the reach, drawn in until the chain can be evaluated there.
fn reachable(end: f64, off: impl Fn(f64) -> crate::Result<f64>) -> f64 {
    let mut end = end;
    for _ in 0..40 {
        if off(end).is_ok() {
            return end;
        }
        end /= 2.0;
    }
    0.0
}

/// What a cut does to other findings.
#[derive(Default)]
struct Others {
    mends: Vec<String>,
    breaks: Vec<String>,
    leaves: Vec<String>,
}

/// Which other findings the cut brings in, which it puts out, and which stay out.
fn others(chain: &Chain, i: usize, way: &Machining, values: &[f64], done: &[Evaluated]) -> Others {
    let mut all = Others::default();
    for (j, (figure, before)) in chain.figures.iter().zip(done).enumerate() {
        let touched = before.readings.iter().any(|r| way.keys.contains(r));
        if j == i || figure.limit.is_none() || !touched {
            continue;
        }
        let name = figure.label(&chain.thermal);
        let after = chain.evaluate(figure, values).map(|e| e.judgement);
        use Judgement::{CannotTell, Clear, Fail, Pass};
        match (before.judgement, after) {
            (_, Err(error)) => all.breaks.push(format!("{name}: {error}")),
            (Pass | Clear, Ok(Fail | CannotTell)) => all.breaks.push(name),
            (CannotTell, Ok(Fail)) => all.breaks.push(name),
            (Fail | CannotTell, Ok(Pass | Clear)) => all.mends.push(name),
            (Fail | CannotTell, Ok(Fail | CannotTell)) => all.leaves.push(name),
            _ => {}
        }
    }
    all
}

impl Chain {
    /// The readings with those of an operation moved by `delta`.
    fn moved(&self, way: &Machining, delta: f64) -> Vec<f64> {
        let mut values = self.readings.values.clone();
        for key in &way.keys {
            if let Some(value) = values.get_mut(*key) {
                *value += delta;
            }
        }
        values
    }

    fn changes(&self, way: &Machining, values: &[f64]) -> Vec<Change> {
        let change = |key: &usize| {
            let entry = self.readings.entries.get(*key)?;
            Some(Change {
                reading: entry.field.clone(),
                from: Printed::new(entry.unit, *self.readings.values.get(*key)?),
                to: Printed::new(entry.unit, *values.get(*key)?),
            })
        };
        way.keys.iter().filter_map(change).collect()
    }
}
