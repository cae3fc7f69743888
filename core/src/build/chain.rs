//! The chain: readings to figures, each a closure over the core's own functions.

use super::balance_keys::BalanceKeys;
use super::document::{Display, Document, Limit as LimitText};
use super::keys::Keys;
use super::lines::Lines;
use super::matching::Asked;
use super::operation::Machining;
use super::readings::{Point, Readings, Seen};
use super::states::Thermal;
use super::terms::What;
use super::tolerances::{self, Drawn};
use super::valve_keys::ValveTrainKeys;
use crate::error::{Error, Result};
use crate::metrology::Limits;
use crate::study::order_factors;
use crate::units::quantity_of;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where a figure belongs.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Place {
    /// Of what: engine, cylinder, main or throw.
    pub kind: PlaceKind,
    /// Which one, from 1; absent for the engine.
    pub index: Option<usize>,
    /// The place in words, such as "cylinder 3".
    pub label: String,
    /// What else tells it apart, such as an angle around the bore.
    pub detail: Option<String>,
}

/// What a figure belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PlaceKind {
    /// The engine as a whole.
    Engine,
    /// A cylinder.
    Cylinder,
    /// A main bearing.
    Main,
    /// A crank throw.
    Throw,
    /// A bolt, or a group of equal ones.
    Bolt,
    /// A press fit, or a hole and a shaft.
    Fit,
}

impl Place {
    pub(super) fn engine() -> Self {
        Self { kind: PlaceKind::Engine, index: None, label: "engine".into(), detail: None }
    }

    /// The place counted from zero.
    pub(super) fn nth(kind: PlaceKind, i: usize) -> Self {
        let word = match kind {
            PlaceKind::Engine => "engine",
            PlaceKind::Cylinder => "cylinder",
            PlaceKind::Main => "main",
            PlaceKind::Throw => "throw",
            PlaceKind::Bolt => "bolt",
            PlaceKind::Fit => "fit",
        };
        Self { kind, index: Some(i + 1), label: format!("{word} {}", i + 1), detail: None }
    }

    /// The place counted from zero, with a name of the document's own.
    pub(super) fn named(kind: PlaceKind, i: usize, name: &str) -> Self {
        Self { label: name.into(), ..Self::nth(kind, i) }
    }

    pub(super) fn with(mut self, detail: impl Into<String>) -> Self {
        self.detail = Some(detail.into());
        self
    }
}

/// Shared by the states of temperature that a figure exists in.
pub(super) type Formula = Arc<dyn Fn(&Point<'_>) -> Result<f64> + Send + Sync>;

/// One figure of the chain.
pub(super) struct Figure {
    pub(super) what: What,
    pub(super) place: Place,
    /// The state of temperatures, by its number; absent when as measured.
    pub(super) state: Option<usize>,
    /// The entry to name when the formula refuses.
    pub(super) field: &'static str,
    pub(super) formula: Formula,
    pub(super) cuts: Vec<Machining>,
    pub(super) limit: Option<Limit>,
}

/// Limits of a figure, and whose they are.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Limit {
    pub(super) limits: Limits,
    pub(super) target: Option<f64>,
    pub(super) whose: String,
    /// Whether nobody set it: beyond it parts overlap, or data end.
    pub(super) natural: bool,
}

impl Figure {
    /// What it is and where, in words.
    pub(super) fn label(&self, thermal: &Thermal) -> String {
        let state = self.state.and_then(|s| thermal.states.get(s)).map(|s| format!(", {}", s.name));
        let detail = self.place.detail.as_ref().map(|d| format!(", {d}"));
        let (state, detail) = (state.unwrap_or_default(), detail.unwrap_or_default());
        format!("{}, {}{detail}{state}", self.what.term().term, self.place.label)
    }
}

/// A figure that could not be computed, and what it needs.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct NotComputed {
    /// The trade's term.
    pub term: &'static str,
    /// The entries that are missing, or why it was left out.
    pub needs: String,
}

/// All figures of one engine over one set of readings.
pub(super) struct Chain {
    pub(super) title: String,
    pub(super) display: Display,
    pub(super) readings: Readings,
    pub(super) keys: Keys,
    pub(super) thermal: Thermal,
    /// The drawing tolerance of each reading.
    pub(super) tolerances: Vec<Drawn>,
    /// What the document asks to be evened out.
    pub(super) matching: Option<Asked>,
    /// First- and second-order shaking force of all cylinders over that of one, where the layout is known.
    pub(super) order_factors: Option<[f64; 2]>,
    /// What is known of the balance.
    pub(super) balance: Option<Arc<BalanceKeys>>,
    /// What is known of the valve train.
    pub(super) valves: Option<Arc<ValveTrainKeys>>,
    pub(super) figures: Vec<Figure>,
    pub(super) not_computed: Vec<NotComputed>,
}

/// What a figure lacks that no position of the engine gives: every limit on it holds.
pub(super) const NEVER_MET: &str = "nothing: the valve never comes so far";

impl Chain {
    /// Builds the chain of a document.
    pub(super) fn new(doc: &Document, lines: Lines) -> Result<Self> {
        let mut readings = Readings::new(lines);
        if doc.schema != 1 {
            let error = Error::OutOfRange {
                field: "schema".into(),
                value: doc.schema.to_string(),
                allowed: "1".into(),
            };
            return Err(readings.place(error, "schema"));
        }
        let keys = Keys::read(doc, &mut readings)?;
        let thermal = Thermal::read(doc, &mut readings)?;
        let mut chain = Self {
            title: doc.title.clone(),
            display: doc.display,
            readings,
            keys,
            thermal,
            tolerances: Vec::new(),
            matching: None,
            order_factors: None,
            balance: None,
            valves: None,
            figures: Vec::new(),
            not_computed: Vec::new(),
        };
        let layout = chain.add_layout(doc)?;
        chain.order_factors = layout.as_ref().map(order_factors).transpose()?;
        chain.add_cylinders();
        chain.add_valves(doc)?;
        chain.add_walls();
        chain.add_bearings();
        chain.add_pistons_and_rings(doc.pins.fit);
        chain.add_crank();
        chain.add_masses();
        chain.add_balance(doc, layout.as_ref())?;
        chain.set_limits_from(0, &doc.limits, "limits")?;
        chain.add_bolts(doc)?;
        chain.add_press_fits(doc)?;
        chain.add_iso_fits(doc)?;
        chain.add_states()?;
        chain.matching = Asked::read(doc, &chain)?;
        chain.tolerances = tolerances::read(&doc.tolerances, &chain.readings)?;
        chain.figures.sort_by_key(|f| f.what);
        Ok(chain)
    }

    /// Adds a figure.
    pub(super) fn add(
        &mut self,
        what: What,
        place: Place,
        field: &'static str,
        cuts: Vec<Machining>,
        formula: impl Fn(&Point<'_>) -> Result<f64> + Send + Sync + 'static,
    ) {
        let formula = Arc::new(formula);
        self.figures.push(Figure { what, place, state: None, field, formula, cuts, limit: None });
    }

    /// Adds every clearance in every state of temperatures that the document gives enough for, with the limits of the state.
    fn add_states(&mut self) -> Result<()> {
        for state in 0..self.thermal.states.len() {
            let first = self.figures.len();
            for i in 0..first {
                self.add_in_state(i, state)?;
            }
            let Some(keys) = self.thermal.states.get(state) else { continue };
            let (limits, field) = (keys.limits.clone(), format!("states.{}.limits", keys.name));
            self.set_limits_from(first, &limits, &field)?;
        }
        Ok(())
    }

    fn add_in_state(&mut self, i: usize, state: usize) -> Result<()> {
        let Some(cold) = self.figures.get(i).filter(|f| f.state.is_none() && f.what.has_states()) else {
            return Ok(());
        };
        let seen = Seen::default();
        self.value(cold, &Point::new(&self.readings, &self.readings.values).noting(&seen))?;
        let parts = seen.parts.into_inner();
        let Some(keys) = self.thermal.states.get(state) else { return Ok(()) };
        let press = parts.iter().any(|p| *p >= super::parts::COUNT);
        let lacks = self.thermal.lacks(keys, parts.into_iter());
        let what = cold.what;
        if !lacks.is_empty() {
            // A press fit without temperatures in a state is not asked about there.
            if !press {
                let needs = format!("in the state {}: {}", keys.name, lacks.join(", "));
                self.lacks(what, &needs);
            }
            return Ok(());
        }
        let hot = Figure {
            what,
            place: cold.place.clone(),
            state: Some(state),
            field: cold.field,
            formula: cold.formula.clone(),
            cuts: cold.cuts.clone(),
            // A limit holds for what it was set for: strength, too, is another when hot.
            limit: None,
        };
        self.figures.push(hot);
        Ok(())
    }

    /// Limits the figure that was added last.
    pub(super) fn limit_last(&mut self, lower: Option<f64>, upper: Option<f64>, whose: String) -> Result<()> {
        self.limit_last_by(Limit { limits: Limits::new(lower, upper)?, target: None, whose, natural: false });
        Ok(())
    }

    /// Bounds the figure that was added last from above by what nobody set.
    pub(super) fn bound_last(&mut self, upper: f64, whose: String) -> Result<()> {
        let limits = Limits::new(None, Some(upper))?;
        self.limit_last_by(Limit { limits, target: None, whose, natural: true });
        Ok(())
    }

    fn limit_last_by(&mut self, limit: Limit) {
        if let Some(figure) = self.figures.last_mut() {
            figure.limit = Some(limit);
        }
    }

    /// Notes, once, that a figure cannot be computed.
    pub(super) fn lacks(&mut self, what: What, needs: &str) {
        let note = NotComputed { term: what.term().term, needs: needs.into() };
        if !self.not_computed.contains(&note) {
            self.not_computed.push(note);
        }
    }

    /// The value of a figure, an error placed at its entry.
    pub(super) fn value(&self, figure: &Figure, at: &Point<'_>) -> Result<f64> {
        let at = match figure.state {
            Some(state) => at.in_state(&self.thermal, state),
            None => *at,
        };
        let value = (figure.formula)(&at).map_err(|e| self.readings.place(e, figure.field))?;
        if value.is_finite() {
            return Ok(value);
        }
        let error = Error::NotFinite { field: figure.what.term().term.into(), value: value.to_string() };
        Err(self.readings.place(error, figure.field))
    }

    /// Sets the limits of a table on the figures that were added from the `first` on.
    pub(super) fn set_limits_from(
        &mut self,
        first: usize,
        limits: &BTreeMap<String, LimitText>,
        table: &str,
    ) -> Result<()> {
        for (name, text) in limits {
            let field = format!("{table}.{name}");
            let what = What::named(name).map_err(|near| {
                let error = Error::UnknownKey {
                    field: field.clone(),
                    remedy: format!("no figure has this name; did you mean {near}?"),
                };
                self.readings.place(error, &field)
            })?;
            self.set_limit(first, what, &field, text)?;
        }
        Ok(())
    }

    /// Where parts overlap and no limit is set, zero is one: such a figure must not pass in silence. A gap in a state of temperatures, which
    /// nobody has measured, always has it.
    pub(super) fn set_natural_limits(&mut self) -> Result<()> {
        let natural = |chain: &Self, f: &Figure| {
            let value = chain.value(f, &Point::new(&chain.readings, &chain.readings.values))?;
            Ok(f.limit.is_none() && f.what.is_a_gap() && (value < 0.0 || f.state.is_some()))
        };
        let bound = self.figures.iter().map(|f| natural(self, f)).collect::<Result<Vec<bool>>>()?;
        for (figure, bound) in self.figures.iter_mut().zip(bound) {
            let (limits, natural) = match figure.what {
                _ if figure.limit.is_some() => continue,
                What::BoltProofShare => ((None, Some(1.0)), false),
                What::BoltSeparationMargin => ((Some(1.0), None), false),
                _ if bound => ((Some(0.0), None), true),
                _ => continue,
            };
            let whose = figure.what.natural_limit().to_owned();
            figure.limit =
                Some(Limit { limits: Limits::new(limits.0, limits.1)?, target: None, whose, natural });
        }
        Ok(())
    }

    fn set_limit(&mut self, first: usize, what: What, field: &str, text: &LimitText) -> Result<()> {
        let places: Vec<usize> = (first..self.figures.len())
            .filter(|i| self.figures.get(*i).is_some_and(|f| f.what == what))
            .collect();
        if places.is_empty() {
            let needs = self.not_computed.iter().rev().find(|n| n.term == what.term().term);
            if needs.is_some_and(|n| n.needs == NEVER_MET) {
                return Ok(());
            }
            let error = Error::OutOfRange {
                field: "the limit".into(),
                value: format!("on {}", what.term().term),
                allowed: format!(
                    "on figures that the document gives enough for; this one needs {}",
                    needs.map_or(what.needs(), |n| &n.needs)
                ),
            };
            return Err(self.readings.place(error, field));
        }
        let own = |i: &usize| self.figures.get(*i).is_some_and(|f| f.limit.is_some());
        if what == What::ResidualUnbalance && places.iter().any(own) {
            let remedy =
                "balance.permissible or balance.grade is the limit already; the drill plan keeps to that"
                    .into();
            return Err(self.readings.place(Error::UnknownKey { field: field.into(), remedy }, field));
        }
        for i in places {
            let limit = self.limit_at(i, what, field, text)?;
            if let Some(figure) = self.figures.get_mut(i) {
                figure.limit = Some(limit);
            }
        }
        Ok(())
    }

    /// The limit of the i-th figure.
    fn limit_at(&self, i: usize, what: What, field: &str, text: &LimitText) -> Result<Limit> {
        if let Some(rule) = &text.rule {
            return self.rule_limit(i, what, field, text, rule);
        }
        let read = |name: &str, entry: &Option<super::document::Text>| {
            let field = format!("{field}.{name}");
            let one = |t: &super::document::Text| quantity_of(&t.0, what.term().dimension).map(|q| q.0);
            let value = entry.as_ref().map(one).transpose();
            value.map_err(|e| self.readings.place(e, &field))
        };
        let (lower, upper) = (read("lower", &text.lower)?, read("upper", &text.upper)?);
        let target = read("target", &text.target)?;
        if let (Some(l), Some(u), Some(low), Some(high)) = (lower, upper, &text.lower, &text.upper)
            && l > u
        {
            let allowed = format!("at most the upper limit, {}", high.0);
            let error = Error::OutOfRange { field: "lower".into(), value: low.0.clone(), allowed };
            return Err(self.readings.place(error, &format!("{field}.lower")));
        }
        let limits = Limits::new(lower, upper).map_err(|e| self.readings.place(e, field))?;
        let outside = |t: f64| lower.is_some_and(|l| t < l) || upper.is_some_and(|u| t > u);
        if target.is_some_and(outside) {
            let error = Error::OutOfRange {
                field: "target".into(),
                value: text.target.as_ref().map_or_else(String::new, |t| t.0.clone()),
                allowed: "inside the limits".into(),
            };
            return Err(self.readings.place(error, &format!("{field}.target")));
        }
        Ok(Limit {
            limits,
            target,
            whose: text.whose.clone().unwrap_or_else(|| "the document's, owner not named".into()),
            natural: false,
        })
    }
}
