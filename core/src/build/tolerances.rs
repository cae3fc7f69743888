//! Drawing tolerances of the entries, and the stacks of the figures that follow.

use super::chain::{Chain, Figure};
use super::document::Text;
use super::readings::{Point, Readings, Seen};
use super::sheet::Printed;
use super::terms::What;
use crate::clearance::ToleranceClass;
use crate::error::{Error, Result};
use crate::metrology::Limits;
use crate::metrology::stack::{Distribution, Sampled, Stack, Tolerance, sample, stack};
use crate::units::{Dimension, Dimensioned, Length, Unit, quantity_of};
use serde::Serialize;
use std::collections::BTreeMap;

/// Trials behind each row of a sheet.
const SHEET_TRIALS: usize = 10_000;

/// One reading's part in a stack.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contributor {
    /// The entry of the document.
    pub reading: String,
    /// Its share in the sum of squares, 0 to 1.
    pub share: f64,
    /// What half its tolerance zone does to the figure.
    pub effect: Printed,
}

/// A figure over the drawing tolerances of its readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ToleranceStack {
    /// The figure, by its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// Where.
    #[serde(rename = "where")]
    pub place: String,
    /// With every reading at the nominal value of its drawing, or as it stands in the document.
    pub nominal: Printed,
    /// With every reading in the middle of its zone.
    pub middle: Printed,
    /// Worst case, least.
    pub worst_least: Printed,
    /// Worst case, greatest.
    pub worst_greatest: Printed,
    /// Root of the sum of squares, least.
    pub rss_least: Printed,
    /// Root of the sum of squares, greatest.
    pub rss_greatest: Printed,
    /// How the readings were spread: "normal" or "rectangular".
    pub distribution: &'static str,
    /// How many trials were sampled.
    pub trials: usize,
    /// Mean of the trials.
    pub sampled_mean: Printed,
    /// Standard deviation of the trials.
    pub sampled_standard: Printed,
    /// The 0.135 % quantile of the trials.
    pub sampled_least: Printed,
    /// The 99.865 % quantile of the trials.
    pub sampled_greatest: Printed,
    /// The share of the trials outside the limits, where there are any.
    pub outside: Option<f64>,
    /// The limits, where there are any.
    pub lower: Option<Printed>,
    /// The limits, where there are any.
    pub upper: Option<Printed>,
    /// Whether the worst case keeps the limits.
    pub worst_case_holds: Option<bool>,
    /// Every toleranced reading behind the figure, the largest effect first.
    pub contributors: Vec<Contributor>,
}

impl ToleranceStack {
    /// The stack as JSON, indented.
    pub fn to_json(&self) -> String {
        // A tree of strings and finite numbers always serialises.
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

/// The drawing's figure of a reading: its nominal value, where the drawing states one, and its tolerance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drawn {
    /// The reading itself where nothing is stated.
    nominal: Option<f64>,
    tolerance: Tolerance,
}

impl Drawn {
    const EXACT: Self = Self { nominal: None, tolerance: Tolerance::EXACT };

    fn is_exact(&self) -> bool {
        self.tolerance == Tolerance::EXACT
    }
}

/// Takes the tolerances in: one for each reading.
pub(super) fn read(doc: &BTreeMap<String, Text>, r: &Readings) -> Result<Vec<Drawn>> {
    let mut all = vec![Drawn::EXACT; r.entries.len()];
    for (name, text) in doc {
        let field = format!("tolerances.{name}");
        let mut found = false;
        for (entry, place) in r.entries.iter().zip(&mut all) {
            let rest = entry.field.strip_prefix(name.as_str());
            if rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('[') || rest.starts_with(", ")) {
                found = true;
                *place = drawn(&text.0, entry.unit.dimension, name).map_err(|e| r.place(e, &field))?;
            }
        }
        if !found {
            let likeness = |f: &str| strsim::jaro(f, name);
            let written = r.entries.iter().filter(|e| e.written).map(|e| e.field.as_str());
            let near = written.max_by(|a, b| likeness(a).total_cmp(&likeness(b))).unwrap_or("");
            let near = near.split('[').next().unwrap_or("");
            let remedy = format!("the document has no such entry; did you mean {near}?");
            return Err(r.place(Error::UnknownKey { field: field.clone(), remedy }, &field));
        }
    }
    Ok(all)
}

fn refused(text: &str) -> Error {
    Error::Unreadable {
        value: text.chars().take(40).collect(),
        reason: "a tolerance is written as +/- 0.01 mm, as +0.02/-0.01 mm or, for a length, as a nominal size and a class such as 84 mm H7; \
                 a nominal size may stand before the others too, as 84 mm +0.02/-0.01 mm"
            .into(),
    }
}

/// Reads "+/- 0.01 mm", "+0.02/-0.01 mm", "84 mm +0.02/0 mm" or, for a length, "84 mm H7".
fn drawn(text: &str, dimension: Dimension, entry: &str) -> Result<Drawn> {
    let text = text.trim();
    if let Some((size, class)) =
        text.rsplit_once(' ').filter(|(_, class)| ToleranceClass::parse(class).is_ok())
    {
        if dimension != Dimension::Length {
            return Err(refused(text));
        }
        let (nominal, class) = (quantity_of(size, dimension)?.0, ToleranceClass::parse(class)?);
        fits_the_entry(&class, entry, text)?;
        let d = class.deviations(Length::from_si(nominal))?;
        return Ok(Drawn { nominal: Some(nominal), tolerance: Tolerance::new(d.lower.si(), d.upper.si())? });
    }
    // A nominal size ends in its unit, and something comes after it.
    let sign = |c: char| "+-\u{2212}\u{b1}".contains(c);
    let unit = text.find(|c: char| c.is_alphabetic()).filter(|_| !text.starts_with(sign));
    let end = unit.and_then(|at| Some(at + text.get(at..)?.find(char::is_whitespace)?));
    let Some((size, deviations)) = end.and_then(|at| text.split_at_checked(at)) else {
        return Ok(Drawn { nominal: None, tolerance: deviations_of(text, dimension)? });
    };
    let nominal = quantity_of(size, dimension)?.0;
    Ok(Drawn { nominal: Some(nominal), tolerance: deviations_of(deviations, dimension)? })
}

/// Refuses a shaft's class on a bore and a hole's class on what goes into one.
fn fits_the_entry(class: &ToleranceClass, entry: &str, text: &str) -> Result<()> {
    let bore = entry.contains("bore");
    let inside = ["journal", "crankpin", "diameter", "pins."].iter().any(|n| entry.contains(n)) && !bore;
    let allowed = match (bore, inside, class.is_hole()) {
        (true, _, false) => "a hole's class, in upper case, for a bore",
        (_, true, true) => "a shaft's class, in lower case, for what goes into a bore",
        _ => return Ok(()),
    };
    Err(Error::OutOfRange { field: "tolerance class".into(), value: text.into(), allowed: allowed.into() })
}

fn deviations_of(text: &str, dimension: Dimension) -> Result<Tolerance> {
    let text = text.trim();
    let difference = match dimension {
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    };
    for sign in ["+/-", "\u{b1}", "+-"] {
        if let Some(half) = text.strip_prefix(sign) {
            let si = quantity_of(half, difference)?.0;
            if si < 0.0 {
                let allowed = "zero or more after the sign".into();
                return Err(Error::OutOfRange { field: "tolerance".into(), value: text.into(), allowed });
            }
            return Tolerance::new(-si, si);
        }
    }
    let numbers = |c: char| c.is_ascii_digit() || "+-\u{2212}. /".contains(c);
    let end = text.find(|c| !numbers(c)).unwrap_or(text.len());
    let (figures, unit) = text.split_at_checked(end).ok_or_else(|| refused(text))?;
    let parts: Vec<&str> = figures.split(['/', ' ']).filter(|p| !p.is_empty()).collect();
    let [first, second] = parts.as_slice() else { return Err(refused(text)) };
    let signed = |t: &str| t.starts_with(['+', '-', '\u{2212}']) || t.chars().all(|c| "0.".contains(c));
    if !signed(first) || !signed(second) {
        return Err(refused(text));
    }
    let one = |t: &str| quantity_of(&format!("{t} {unit}"), difference).map(|(si, _)| si);
    let (a, b) = (one(first)?, one(second)?);
    Tolerance::new(a.min(b), a.max(b))
}

/// A figure with the readings behind it, their nominal values and tolerances, and the stack they make.
struct Stacked<'a> {
    figure: &'a Figure,
    readings: Vec<usize>,
    x: Vec<f64>,
    zones: Vec<Tolerance>,
    found: Stack,
}

/// How far the worst case stays inside the limits; below zero it leaves them.
fn margin(found: &Stack, limits: &Limits) -> f64 {
    let low = limits.lower().map_or(f64::INFINITY, |l| found.worst.0 - l);
    low.min(limits.upper().map_or(f64::INFINITY, |u| u - found.worst.1))
}

impl Chain {
    /// The stack of every limited figure that tolerances touch, at the place where the worst case comes nearest to its limits.
    pub(super) fn stacks(&self) -> Result<Vec<ToleranceStack>> {
        let mut rows = Vec::new();
        if self.tolerances.iter().all(Drawn::is_exact) {
            return Ok(rows);
        }
        for what in What::ALL {
            let figures =
                self.figures.iter().filter(|f| f.what == what && f.state.is_none() && f.limit.is_some());
            let mut tightest: Option<(f64, Stacked<'_>)> = None;
            for figure in figures {
                let stacked = self.stacked(figure)?;
                let varies = stacked.found.effects.iter().any(|e| *e != 0.0);
                let margin =
                    figure.limit.as_ref().map_or(f64::INFINITY, |l| margin(&stacked.found, &l.limits));
                if varies && tightest.as_ref().is_none_or(|t| margin < t.0) {
                    tightest = Some((margin, stacked));
                }
            }
            if let Some((_, stacked)) = tightest {
                rows.push(self.sampled(&stacked, SHEET_TRIALS, Distribution::Normal)?);
            }
        }
        Ok(rows)
    }

    /// The figure of a name at a place, from 1.
    pub(super) fn figure(&self, what: &str, place: usize) -> Result<&Figure> {
        let known = What::named(what).map_err(|near| Error::UnknownKey {
            field: what.chars().take(60).collect(),
            remedy: format!("no figure has this name; did you mean {near}?"),
        })?;
        let mut all = self.figures.iter().filter(|f| f.what == known && f.state.is_none());
        let count = all.clone().count();
        all.nth(place.wrapping_sub(1)).ok_or_else(|| Error::OutOfRange {
            field: "place".into(),
            value: place.to_string(),
            allowed: match count {
                0 => format!("none: the document gives too little for {what}"),
                n => format!("1 to {n}"),
            },
        })
    }

    /// A figure over the readings behind it, at their nominal values and over their tolerances.
    fn stacked<'a>(&self, figure: &'a Figure) -> Result<Stacked<'a>> {
        let seen = Seen::default();
        let here = Point::new(&self.readings, &self.readings.values);
        self.value(figure, &here.noting(&seen))?;
        let readings: Vec<usize> = seen.readings.into_inner().into_iter().collect();
        let drawn = |i: &usize| self.tolerances.get(*i).copied().unwrap_or(Drawn::EXACT);
        let x: Vec<f64> = readings
            .iter()
            .filter_map(|i| drawn(i).nominal.or_else(|| self.readings.values.get(*i).copied()))
            .collect();
        let zones: Vec<Tolerance> = readings.iter().map(|i| drawn(i).tolerance).collect();
        let found = stack(&x, &zones, |moved| self.value(figure, &here.moved(&readings, moved)))?;
        Ok(Stacked { figure, readings, x, zones, found })
    }

    /// A figure's stack, sampled too.
    pub(super) fn tolerance_stack(
        &self,
        figure: &Figure,
        trials: usize,
        distribution: Distribution,
    ) -> Result<ToleranceStack> {
        self.sampled(&self.stacked(figure)?, trials, distribution)
    }

    fn sampled(&self, s: &Stacked<'_>, trials: usize, distribution: Distribution) -> Result<ToleranceStack> {
        let here = Point::new(&self.readings, &self.readings.values);
        let limits = s.figure.limit.as_ref().map(|l| &l.limits);
        let f = |moved: &[f64]| self.value(s.figure, &here.moved(&s.readings, moved));
        let sampled = sample(&s.x, &s.zones, distribution, trials, limits, f)?;
        Ok(self.printed_stack(s, &sampled, distribution))
    }

    fn printed_stack(
        &self,
        stacked: &Stacked<'_>,
        sampled: &Sampled,
        distribution: Distribution,
    ) -> ToleranceStack {
        let Stacked { figure, readings, found, .. } = stacked;
        let term = figure.what.term();
        let unit = self.unit(&term);
        let print = |si: f64| Printed::new(unit, si);
        let limits = figure.limit.as_ref().map(|l| &l.limits);
        let lower = limits.and_then(|l| l.lower());
        let upper = limits.and_then(|l| l.upper());
        let slack = 1e-12 * found.nominal.abs();
        let holds = |_: &_| {
            lower.is_none_or(|l| found.worst.0 >= l - slack)
                && upper.is_none_or(|u| found.worst.1 <= u + slack)
        };
        ToleranceStack {
            what: term.name,
            term: term.term,
            place: figure.place.label.clone(),
            nominal: print(found.nominal),
            middle: print(found.middle),
            worst_least: print(found.worst.0),
            worst_greatest: print(found.worst.1),
            rss_least: print(found.root_sum_square.0),
            rss_greatest: print(found.root_sum_square.1),
            distribution: match distribution {
                Distribution::Normal => "normal",
                Distribution::Rectangular => "rectangular",
            },
            trials: sampled.trials,
            sampled_mean: print(sampled.mean),
            sampled_standard: Printed::difference(unit, sampled.standard),
            sampled_least: print(sampled.quantiles.0),
            sampled_greatest: print(sampled.quantiles.1),
            outside: sampled.outside,
            lower: lower.map(print),
            upper: upper.map(print),
            worst_case_holds: limits.map(holds),
            contributors: self.contributors(found, readings, unit),
        }
    }

    fn contributors(&self, found: &Stack, readings: &[usize], unit: &'static Unit) -> Vec<Contributor> {
        let rows = readings.iter().zip(&found.effects).enumerate().filter(|(i, _)| found.share(*i) > 1e-6);
        let mut rows: Vec<Contributor> = rows
            .filter_map(|(i, (reading, effect))| {
                Some(Contributor {
                    reading: self.readings.entries.get(*reading)?.field.clone(),
                    share: found.share(i),
                    effect: Printed::difference(unit, effect.abs()),
                })
            })
            .collect();
        rows.sort_by(|a, b| b.share.total_cmp(&a.share));
        rows
    }
}
