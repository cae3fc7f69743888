//! The build sheet: every figure with its uncertainty, its limit, its verdict and, failing, its cuts.

use super::balance_table::BalanceTable;
use super::chain::{Chain, Figure, Limit, NotComputed, Place, PlaceKind};
use super::cut::{Cut, cuts};
use super::document::Display;
use super::matching::MatchingTable;
use super::readings::{Point, Seen};
use super::selection::{Filing, Selection};
use super::terms::{Group, Term, What};
use super::tolerances::ToleranceStack;
use super::valve_table::ValveTable;
use crate::error::Result;
use crate::metrology::reading::COVERAGE_FACTOR;
use crate::metrology::{Budget, Verdict, conformance_probability, propagate, verdict};
use crate::units::Unit;
use serde::Serialize;

/// How many readings a finding's budget names.
const BUDGET_ROWS: usize = 5;

/// A value printed: SI, in a unit, and as text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Printed {
    /// The value in the unit.
    pub value: f64,
    /// The unit's symbol; empty for a ratio.
    pub unit: &'static str,
    /// Rounded to the decimals of the trade, with the unit.
    pub text: String,
    /// The value in SI base units.
    pub si: f64,
}

impl Printed {
    pub(super) fn new(unit: &'static Unit, si: f64) -> Self {
        Self { value: unit.from_si(si), unit: unit.symbol, text: unit.show(si), si }
    }

    /// A change of a reading, to the decimals of the reading itself; its text has a sign unless it can go one way only.
    pub(super) fn change(unit: &'static Unit, si: f64, one_way: bool) -> Self {
        let value = unit.difference_from_si(si);
        let plain = unit.rounded(value.abs(), unit.decimals);
        let sign = match (one_way, value < 0.0) {
            (true, _) => "",
            (false, true) => "-",
            (false, false) => "+",
        };
        Self { value, unit: unit.symbol, text: format!("{sign}{plain}"), si }
    }

    /// A difference or an uncertainty, with one decimal more.
    pub(super) fn difference(unit: &'static Unit, si: f64) -> Self {
        let value = unit.difference_from_si(si);
        Self { value, unit: unit.symbol, text: unit.rounded(value, unit.decimals + 1), si }
    }
}

/// The limits of a finding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PrintedLimits {
    /// The least allowed.
    pub lower: Option<Printed>,
    /// The greatest allowed.
    pub upper: Option<Printed>,
    /// Whose limits they are.
    pub whose: String,
}

/// The verdict on a finding, by the guard bands of ISO 14253-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Judgement {
    /// Inside its limits, proved.
    Pass,
    /// Inside a bound that nobody set, such as zero for a gap: parts do not meet, no more.
    Clear,
    /// Outside its limits, proved.
    Fail,
    /// The uncertainty is too large to tell.
    CannotTell,
    /// No limit is set.
    NoLimit,
}

impl From<Verdict> for Judgement {
    fn from(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Pass => Self::Pass,
            Verdict::Fail => Self::Fail,
            Verdict::CannotTell => Self::CannotTell,
        }
    }
}

/// One reading's part in a finding's uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetRow {
    /// The entry of the document.
    pub reading: String,
    /// Its line.
    pub line: Option<usize>,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
    /// What its standard uncertainty moves the finding by.
    pub contribution: Printed,
}

/// One figure of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// Its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// The part of the sheet it stands in.
    pub group: Group,
    /// Where it belongs.
    #[serde(rename = "where")]
    pub place: Place,
    /// The state of temperatures, by its name; absent when as measured.
    pub state: Option<String>,
    /// The value.
    pub value: Printed,
    /// Its expanded uncertainty (k = 2), where any reading behind it has one.
    pub expanded_uncertainty: Option<Printed>,
    /// Its limits.
    pub limits: Option<PrintedLimits>,
    /// Pass, fail, cannot tell, or no limit.
    pub verdict: Judgement,
    /// The probability that it is inside its limits (JCGM 106).
    pub conformance_probability: Option<f64>,
    /// The readings that dominate its uncertainty, largest first.
    pub budget: Vec<BudgetRow>,
    /// What would bring it in, where it fails.
    pub cuts: Vec<Cut>,
    /// Why there is no cut, where it fails and there is none.
    pub no_cut: Option<&'static str>,
}

/// The spread of one figure over its places.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spread {
    /// Its name in documents.
    pub what: &'static str,
    /// The trade's term.
    pub term: &'static str,
    /// The state of temperatures, by its name; absent when as measured.
    pub state: Option<String>,
    /// The unit's symbol.
    pub unit: &'static str,
    /// The least value.
    pub least: Printed,
    /// Where it is.
    pub least_where: String,
    /// The greatest value.
    pub greatest: Printed,
    /// Where it is.
    pub greatest_where: String,
    /// Greatest less least.
    pub range: Printed,
}

/// A figure evaluated: the value, its budget and its verdict.
pub(super) struct Evaluated {
    pub(super) budget: Budget,
    /// The readings behind it, rising.
    pub(super) readings: Vec<usize>,
    /// The value that was held against the limits: the limit itself within rounding of it.
    judged: f64,
    pub(super) judgement: Judgement,
}

impl Evaluated {
    pub(super) fn value(&self) -> f64 {
        self.budget.value
    }
}

impl Chain {
    /// Evaluates a figure at these readings and differentiates it by each uncertain one.
    pub(super) fn evaluate(&self, figure: &Figure, values: &[f64]) -> Result<Evaluated> {
        let seen = Seen::default();
        let here = Point::new(&self.readings, values);
        self.value(figure, &here.noting(&seen))?;
        let readings: Vec<usize> = seen.readings.into_inner().into_iter().collect();
        let x: Vec<f64> = readings.iter().filter_map(|i| values.get(*i)).copied().collect();
        let u: Vec<f64> = readings.iter().map(|i| self.readings.standard(*i)).collect();
        let budget = propagate(&x, &u, |moved| self.value(figure, &here.moved(&readings, moved)))?;
        let rounding = self.rounding(figure, &readings, budget.value, values);
        let judged = figure.limit.as_ref().map_or(budget.value, |l| l.limits.snapped(budget.value, rounding));
        let verdict_of = |l: &Limit| match verdict(judged, budget.standard, &l.limits) {
            Verdict::Pass if l.natural => Judgement::Clear,
            other => other.into(),
        };
        let judgement = figure.limit.as_ref().map_or(Judgement::NoLimit, verdict_of);
        Ok(Evaluated { budget, readings, judged, judgement })
    }

    /// What rounding may have left in a figure: a few units in the last place of the largest reading of its dimension.
    fn rounding(&self, figure: &Figure, readings: &[usize], value: f64, values: &[f64]) -> f64 {
        let dimension = figure.what.term().dimension;
        let alike = readings.iter().filter_map(|i| Some((self.readings.entries.get(*i)?, values.get(*i)?)));
        let sizes = alike.filter(|(e, _)| e.unit.dimension == dimension).map(|(_, v)| v.abs());
        8.0 * f64::EPSILON * sizes.fold(value.abs(), f64::max)
    }

    pub(super) fn unit(&self, term: &Term) -> &'static Unit {
        term.unit(self.display).unwrap_or(&crate::units::MILLIMETRE)
    }

    pub(super) fn finding(&self, figure: &Figure, done: &Evaluated) -> Finding {
        let term = figure.what.term();
        let unit = self.unit(&term);
        let standard = done.budget.standard;
        let print = |si: &f64| Printed::new(unit, *si);
        Finding {
            what: term.name,
            term: term.term,
            group: term.group,
            place: figure.place.clone(),
            state: self.state_name(figure),
            value: Printed::new(unit, done.value()),
            expanded_uncertainty: (standard > 0.0)
                .then(|| Printed::difference(unit, done.budget.expanded(COVERAGE_FACTOR))),
            limits: figure.limit.as_ref().map(|l| PrintedLimits {
                lower: l.limits.lower().as_ref().map(print),
                upper: l.limits.upper().as_ref().map(print),
                whose: l.whose.clone(),
            }),
            verdict: done.judgement,
            conformance_probability: figure
                .limit
                .as_ref()
                .map(|l| conformance_probability(done.judged, standard, &l.limits)),
            budget: self.budget_rows(done, unit),
            cuts: Vec::new(),
            no_cut: None,
        }
    }

    fn budget_rows(&self, done: &Evaluated, unit: &'static Unit) -> Vec<BudgetRow> {
        let contributions = done.readings.iter().zip(&done.budget.contributions);
        let mut rows: Vec<BudgetRow> = contributions
            .enumerate()
            .filter(|(_, (_, part))| **part != 0.0)
            .filter_map(|(i, (reading, part))| {
                let entry = self.readings.entries.get(*reading)?;
                Some(BudgetRow {
                    reading: entry.field.clone(),
                    line: entry.line,
                    share: done.budget.share(i),
                    contribution: Printed::difference(unit, part.abs()),
                })
            })
            .collect();
        rows.sort_by(|a, b| b.share.total_cmp(&a.share));
        rows.truncate(BUDGET_ROWS);
        rows
    }

    /// The spread of every figure with more than one place.
    fn spreads(&self, done: &[Evaluated]) -> Vec<Spread> {
        let all: Vec<(&Figure, f64)> = self.figures.iter().zip(done).map(|(f, d)| (f, d.value())).collect();
        let states = || core::iter::once(None).chain((0..self.thermal.states.len()).map(Some));
        let every = What::ALL.iter().flat_map(|what| states().map(move |state| (*what, state)));
        every.filter_map(|(what, state)| self.spread(what, state, &all)).collect()
    }

    /// The name of a figure's state.
    fn state_name(&self, figure: &Figure) -> Option<String> {
        figure.state.and_then(|s| self.thermal.states.get(s)).map(|s| s.name.clone())
    }

    fn spread(&self, what: What, state: Option<usize>, all: &[(&Figure, f64)]) -> Option<Spread> {
        let countable =
            |f: &Figure| matches!(f.place.kind, PlaceKind::Cylinder | PlaceKind::Main | PlaceKind::Throw);
        let these = || all.iter().filter(|(f, _)| f.what == what && f.state == state && countable(f));
        if these().count() < 2 {
            return None;
        }
        let least = these().min_by(|a, b| a.1.total_cmp(&b.1))?;
        let greatest = these().rev().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let term = what.term();
        let unit = self.unit(&term);
        // What rounding leaves is no spread.
        let range = greatest.1 - least.1;
        let range = if range <= 1e-12 * greatest.1.abs() { 0.0 } else { range };
        Some(Spread {
            what: term.name,
            term: term.term,
            state: self.state_name(least.0),
            unit: unit.symbol,
            least: Printed::new(unit, least.1),
            least_where: least.0.place.label.clone(),
            greatest: Printed::new(unit, greatest.1),
            greatest_where: greatest.0.place.label.clone(),
            range: Printed::difference(unit, range),
        })
    }

    /// The whole sheet.
    pub(super) fn sheet(&self) -> Result<Sheet> {
        let values = &self.readings.values;
        let done: Vec<Evaluated> =
            self.figures.iter().map(|f| self.evaluate(f, values)).collect::<Result<_>>()?;
        let mut findings: Vec<Finding> =
            self.figures.iter().zip(&done).map(|(f, d)| self.finding(f, d)).collect();
        for (i, finding) in findings.iter_mut().enumerate() {
            if finding.verdict == Judgement::Fail {
                match cuts(self, i, &done) {
                    Ok(found) => finding.cuts = found,
                    Err(reason) => finding.no_cut = Some(reason),
                }
            }
        }
        Ok(Sheet {
            schema: 1,
            swept: env!("CARGO_PKG_VERSION"),
            title: self.title.clone(),
            display: self.display,
            counts: Counts::of(&findings),
            design: self.design()?,
            spreads: self.spreads(&done),
            findings,
            selections: self.selections()?,
            filings: self.filings()?,
            balance: self.balance_table()?,
            valves: self.valve_table()?,
            matching: self.matching()?,
            stacks: self.stacks()?,
            not_computed: self.not_computed.clone(),
            walls: self.walls(),
            readings: self.printed_readings(),
            cautions: super::cautions::CAUTIONS.to_vec(),
        })
    }
}

/// How many findings have which verdict.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Inside, proved.
    pub pass: usize,
    /// Inside bounds that nobody set.
    pub clear: usize,
    /// Outside, proved.
    pub fail: usize,
    /// Not proved either way.
    pub cannot_tell: usize,
    /// Without a limit.
    pub no_limit: usize,
}

impl Counts {
    fn of(findings: &[Finding]) -> Self {
        let count = |verdict| findings.iter().filter(|f| f.verdict == verdict).count();
        Self {
            pass: count(Judgement::Pass),
            clear: count(Judgement::Clear),
            fail: count(Judgement::Fail),
            cannot_tell: count(Judgement::CannotTell),
            no_limit: count(Judgement::NoLimit),
        }
    }
}

/// A build sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// The version of this form.
    pub schema: u32,
    /// The version of the library.
    pub swept: &'static str,
    /// The document's title.
    pub title: String,
    /// The system of units it is printed in.
    pub display: Display,
    /// Verdicts counted.
    pub counts: Counts,
    /// The first cylinder, for plots.
    pub design: super::design::Design,
    /// Every figure.
    pub findings: Vec<Finding>,
    /// Spreads over cylinders, mains, throws.
    pub spreads: Vec<Spread>,
    /// Shells chosen from the grades that can be had.
    pub selections: Vec<Selection>,
    /// What to file off each ring.
    pub filings: Vec<Filing>,
    /// Bob weights, shaking forces, unbalance and where to drill, where the document has them.
    pub balance: Option<BalanceTable>,
    /// The valve train over the crank angle, for its pictures.
    pub valves: Option<ValveTable>,
    /// Which part goes where, where the document asks.
    pub matching: Option<MatchingTable>,
    /// Figures over the drawing tolerances of their readings, each at the place where the worst case comes nearest to its limits.
    pub stacks: Vec<ToleranceStack>,
    /// Figures that the document gives too little for.
    pub not_computed: Vec<NotComputed>,
    /// Wall readings around the bores, as read and at the finish bore.
    pub walls: Vec<super::design::Walls>,
    /// Every reading of the document.
    pub readings: Vec<super::design::PrintedReading>,
    /// What to mind.
    pub cautions: Vec<&'static str>,
}

impl Sheet {
    /// The sheet as JSON, indented.
    pub fn to_json(&self) -> String {
        // A tree of strings and finite numbers always serialises.
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}
