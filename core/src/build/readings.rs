//! The readings of a document: every figure with its place, its unit and its uncertainty, once.

use super::document::{Each, Text};
use super::lines::Lines;
use super::parts::{self, Part};
use super::states::Thermal;
use crate::error::{Error, Result};
use crate::metrology::reading::{COVERAGE_FACTOR, parse_text};
use crate::units::{Dimension, Dimensioned, Length, MILLIMETRE, RATIO, Ratio, Unit, quantity_of};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::marker::PhantomData;

/// One figure of the document.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    pub(super) field: String,
    /// Whether it is an entry of the document, and not a further part that one entry speaks for.
    pub(super) written: bool,
    pub(super) line: Option<usize>,
    pub(super) unit: &'static Unit,
    pub(super) expanded: Option<f64>,
    /// What it may be, in the document and after a cut.
    pub(super) allowed: Allowed,
    /// The part whose growth it follows.
    pub(super) part: Option<Part>,
}

/// A reading of a known dimension; its value is found at a [`Point`].
#[derive(Debug)]
pub(super) struct Key<Q> {
    pub(super) index: usize,
    quantity: PhantomData<fn() -> Q>,
}

impl<Q> Clone for Key<Q> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<Q> Copy for Key<Q> {}

/// What a reading may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Allowed {
    Positive,
    NonNegative,
    Any,
    /// Inside these SI values, both open, and how to say so.
    Between(f64, f64, &'static str),
}

/// All readings of a document, in its order.
#[derive(Debug, Default)]
pub(super) struct Readings {
    pub(super) entries: Vec<Entry>,
    pub(super) values: Vec<f64>,
    pub(super) lines: Lines,
}

impl Readings {
    pub(super) fn new(lines: Lines) -> Self {
        Self { lines, ..Self::default() }
    }

    /// Takes one figure in.
    pub(super) fn one<Q: Dimensioned>(
        &mut self,
        field: &str,
        text: &Text,
        allowed: Allowed,
    ) -> Result<Key<Q>> {
        let line = self.lines.of(field);
        let raw = parse_text(&text.0, Q::DIMENSION).map_err(|e| e.at(line, field))?;
        check(raw.si, text.0.trim(), Q::DIMENSION, allowed).map_err(|e| e.at(line, field))?;
        let entry = Entry {
            field: field.into(),
            written: true,
            line,
            unit: raw.unit,
            expanded: raw.expanded_si,
            allowed,
            part: parts::belonging(field).filter(|_| Q::DIMENSION == Dimension::Length),
        };
        Ok(self.push(entry, raw.si))
    }

    /// What a proposed honing takes off a bore's diameter: no entry of the document, zero until a cut moves it.
    pub(super) fn stock(&mut self, cylinder: usize) -> Key<Length> {
        let entry = Entry {
            field: format!("hone stock on the diameter, cylinder {cylinder}"),
            written: false,
            line: None,
            unit: self.bore_unit(),
            expanded: None,
            allowed: Allowed::NonNegative,
            part: Some(parts::BORES),
        };
        self.push(entry, 0.0)
    }

    /// A factor of one with an expanded uncertainty, which belongs to an entry but is none of its own.
    pub(super) fn factor(&mut self, name: &str, of: &str, expanded: f64) -> Key<Ratio> {
        let entry = Entry {
            field: name.into(),
            written: false,
            line: self.lines.of(of),
            unit: &RATIO,
            expanded: Some(expanded),
            allowed: Allowed::Positive,
            part: None,
        };
        self.push(entry, 1.0)
    }

    /// A further part that one entry speaks for: the same figure with an uncertainty of its own.
    pub(super) fn copy<Q>(&mut self, key: Key<Q>, name: &str) -> Key<Q> {
        if let (Some(entry), Some(value)) = (self.entries.get(key.index), self.values.get(key.index)) {
            let (entry, value) = (Entry { field: name.into(), written: false, ..entry.clone() }, *value);
            return self.push(entry, value);
        }
        key
    }

    /// A reading as it was measured, exact, which no cut moves.
    pub(super) fn as_measured<Q>(&mut self, key: Key<Q>) -> Key<Q> {
        let name = self.entries.get(key.index).map_or(String::new(), |e| format!("{}, as measured", e.field));
        let copy = self.copy(key, &name);
        if let Some(entry) = self.entries.get_mut(copy.index) {
            entry.expanded = None;
        }
        copy
    }

    /// A figure that other entries of a table give, with its expanded uncertainty.
    pub(super) fn found<Q>(
        &mut self,
        name: &str,
        table: &str,
        unit: &'static Unit,
        si: f64,
        expanded: Option<f64>,
    ) -> Key<Q> {
        let entry = Entry {
            field: name.into(),
            written: true,
            line: self.lines.of(table),
            unit,
            expanded,
            allowed: Allowed::Any,
            part: None,
        };
        self.push(entry, si)
    }

    /// Adds an entry with its value.
    fn push<Q>(&mut self, entry: Entry, si: f64) -> Key<Q> {
        self.entries.push(entry);
        self.values.push(si);
        Key { index: self.values.len() - 1, quantity: PhantomData }
    }

    /// Lets a reading grow with a part.
    pub(super) fn belongs<Q>(&mut self, key: Key<Q>, part: Part) -> Key<Q> {
        if let Some(entry) = self.entries.get_mut(key.index) {
            entry.part = Some(part);
        }
        key
    }

    /// The unit the first bore was written in.
    fn bore_unit(&self) -> &'static Unit {
        let bore = self.entries.iter().find(|e| e.field.starts_with("block.bore"));
        bore.map_or(&MILLIMETRE, |e| e.unit)
    }

    /// Takes a figure that may be absent.
    pub(super) fn maybe<Q: Dimensioned>(
        &mut self,
        field: &str,
        text: &Option<Text>,
        allowed: Allowed,
    ) -> Result<Option<Key<Q>>> {
        text.as_ref().map(|t| self.one(field, t, allowed)).transpose()
    }

    /// Takes one figure for all of `count` places, or a list with one for each.
    pub(super) fn each<Q: Dimensioned>(
        &mut self,
        field: &str,
        each: &Each,
        count: usize,
        of: &str,
        allowed: Allowed,
    ) -> Result<Vec<Key<Q>>> {
        match each {
            Each::One(text) => Ok(vec![self.one(field, text, allowed)?; count]),
            Each::Many(texts) => {
                self.length(field, texts.len(), count, of)?;
                self.list(field, texts, allowed)
            }
        }
    }

    /// Takes a list of figures in, however many.
    pub(super) fn list<Q: Dimensioned>(
        &mut self,
        field: &str,
        texts: &[Text],
        allowed: Allowed,
    ) -> Result<Vec<Key<Q>>> {
        let one = |(i, text): (usize, &Text)| self.one(&format!("{field}[{}]", i + 1), text, allowed);
        texts.iter().enumerate().map(one).collect()
    }

    /// An exact figure of the setup, which is no reading.
    pub(super) fn exact<Q: Dimensioned>(&self, field: &str, text: &Text) -> Result<Q> {
        let read = quantity_of(&text.0, Q::DIMENSION).map(|(si, _)| Q::from_si(si));
        read.map_err(|e| self.place(e, field))
    }

    /// A figure that goes into another reading, with its standard uncertainty where stated.
    pub(super) fn exact_with_uncertainty<Q: Dimensioned>(
        &self,
        field: &str,
        text: &Text,
    ) -> Result<(Q, Option<Q>)> {
        let raw = parse_text(&text.0, Q::DIMENSION).map_err(|e| self.place(e, field))?;
        Ok((Q::from_si(raw.si), raw.expanded_si.map(|u| Q::from_si(u / COVERAGE_FACTOR))))
    }

    /// An exact figure that must be there, with what to say where it is not.
    pub(super) fn needed<Q: Dimensioned>(&self, field: &str, text: &Option<Text>, remedy: &str) -> Result<Q> {
        match text {
            Some(text) => self.exact(field, text),
            None => {
                let error = Error::MissingKey { field: field.into(), remedy: remedy.into() };
                Err(self.place(error, field))
            }
        }
    }

    /// As [`Readings::each`], where the entry may be absent.
    pub(super) fn maybe_each<Q: Dimensioned>(
        &mut self,
        field: &str,
        each: &Option<Each>,
        count: usize,
        of: &str,
        allowed: Allowed,
    ) -> Result<Option<Vec<Key<Q>>>> {
        each.as_ref().map(|e| self.each(field, e, count, of, allowed)).transpose()
    }

    /// As [`Readings::maybe_each`], for parts that are changed one by one: one figure for all becomes a reading for each,
    /// with an uncertainty of its own.
    pub(super) fn parts<Q: Dimensioned>(
        &mut self,
        field: &str,
        each: &Option<Each>,
        count: usize,
        of: &str,
        allowed: Allowed,
    ) -> Result<Option<Vec<Key<Q>>>> {
        let Some(Each::One(text)) = each else {
            return self.maybe_each(field, each, count, of, allowed);
        };
        let first = self.one(field, text, allowed)?;
        let others = (1..count).map(|i| self.copy(first, &format!("{field}, {of} {}", i + 1)));
        Ok(Some(core::iter::once(first).chain(others).collect()))
    }

    /// Refuses a list of another length, where one figure for all would do too.
    pub(super) fn length(&self, field: &str, found: usize, count: usize, of: &str) -> Result<()> {
        self.length_of(field, found, count, format!("{count}, one for each {of}, or a single figure for all"))
    }

    /// Refuses a list of another length.
    pub(super) fn exact_length(&self, field: &str, found: usize, count: usize, of: &str) -> Result<()> {
        self.length_of(field, found, count, format!("{count}, one for each {of}"))
    }

    fn length_of(&self, field: &str, found: usize, count: usize, expected: String) -> Result<()> {
        if found == count {
            return Ok(());
        }
        let error = Error::WrongLength { field: field.into(), found, expected };
        Err(error.at(self.lines.of(field), field))
    }

    /// Places an error of the chain in the document.
    pub(super) fn place(&self, error: Error, field: &str) -> Error {
        match error {
            placed @ Error::Document { .. } => placed,
            other => other.at(self.lines.of(field), field),
        }
    }

    /// The standard uncertainty of a reading, SI; zero where none is stated.
    pub(super) fn standard(&self, index: usize) -> f64 {
        self.entries.get(index).and_then(|e| e.expanded).map_or(0.0, |u| u / COVERAGE_FACTOR)
    }
}

/// Refuses a value that is not allowed, or of a size that is no engine's; `text` is the value as written.
pub(super) fn check(si: f64, text: &str, dimension: Dimension, allowed: Allowed) -> Result<()> {
    let (fine, words) = match allowed {
        Allowed::Positive => (si > 0.0, "above zero"),
        Allowed::NonNegative => (si >= 0.0, "zero or more"),
        Allowed::Any => (true, ""),
        Allowed::Between(low, high, words) => (si > low && si < high, words),
    };
    let (most, largest) = largest(dimension);
    let words = match (fine, si.abs() <= most) {
        (true, true) => return Ok(()),
        (true, false) => largest,
        (false, _) => words,
    };
    Err(Error::OutOfRange { field: "the figure".into(), value: text.into(), allowed: words.into() })
}

/// The largest magnitude that is read, SI, in words too: far above any engine, so that no figure overflows.
const fn largest(dimension: Dimension) -> (f64, &'static str) {
    match dimension {
        Dimension::Length => (100.0, "at most 100 m"),
        Dimension::Volume => (100.0, "at most 100 m3"),
        Dimension::Angle => (1e3, "at most 1000 rad"),
        Dimension::RotationalSpeed => (1e5, "at most 100000 rad/s"),
        Dimension::Pressure => (1e12, "at most 1000 GPa"),
        _ => (1e12, "at most 1e12 in SI units"),
    }
}

/// What a figure looks at.
#[derive(Debug, Default)]
pub(super) struct Seen {
    pub(super) readings: RefCell<BTreeSet<usize>>,
    pub(super) parts: RefCell<BTreeSet<Part>>,
}

/// A point at which the chain is evaluated: the readings as they stand, with some of them moved, in a state of temperatures.
#[derive(Clone, Copy)]
pub(super) struct Point<'a> {
    base: &'a [f64],
    moved: Option<(&'a [usize], &'a [f64])>,
    seen: Option<&'a Seen>,
    state: Option<(&'a Thermal, usize)>,
    entries: &'a [Entry],
}

impl<'a> Point<'a> {
    pub(super) fn new(readings: &'a Readings, base: &'a [f64]) -> Self {
        Self { base, moved: None, seen: None, state: None, entries: &readings.entries }
    }

    /// The readings named by `keys` (rising) at other values.
    pub(super) fn moved(self, keys: &'a [usize], values: &'a [f64]) -> Self {
        Self { moved: Some((keys, values)), ..self }
    }

    /// Notes what is looked at.
    pub(super) fn noting(self, seen: &'a Seen) -> Self {
        Self { seen: Some(seen), ..self }
    }

    /// The same readings in a state of temperatures.
    pub(super) fn in_state(self, thermal: &'a Thermal, state: usize) -> Self {
        Self { state: Some((thermal, state)), ..self }
    }

    /// The value of a reading at this point, grown with its part.
    pub(super) fn get<Q: Dimensioned>(&self, key: Key<Q>) -> Q {
        let part = self.entries.get(key.index).and_then(|e| e.part);
        Q::from_si(self.raw(key.index) * self.growth(part))
    }

    /// The value of a reading as it stands or as a cut leaves it, not grown, and not moved by its uncertainty.
    pub(super) fn standing<Q: Dimensioned>(&self, key: Key<Q>) -> Q {
        if let Some(seen) = self.seen {
            seen.readings.borrow_mut().insert(key.index);
        }
        Q::from_si(self.base.get(key.index).copied().unwrap_or(f64::NAN))
    }

    /// The sum of several readings at this point.
    pub(super) fn sum<Q: Dimensioned>(&self, keys: &[Key<Q>]) -> Q {
        Q::from_si(keys.iter().map(|key| self.get(*key).si()).sum())
    }

    /// The value of a reading at this point, grown with another part than its own.
    pub(super) fn get_as<Q: Dimensioned>(&self, key: Key<Q>, part: Part) -> Q {
        Q::from_si(self.raw(key.index) * self.growth(Some(part)))
    }

    /// Whether the parts have another temperature than when they were measured.
    pub(super) fn is_in_a_state(&self) -> bool {
        self.state.is_some()
    }

    fn growth(&self, part: Option<Part>) -> f64 {
        let Some(part) = part else { return 1.0 };
        if let Some(seen) = self.seen {
            seen.parts.borrow_mut().insert(part);
        }
        match self.state {
            None => 1.0,
            Some((thermal, state)) => thermal.growth(state, part, |index| self.raw(index)),
        }
    }

    fn raw(&self, index: usize) -> f64 {
        if let Some(seen) = self.seen {
            seen.readings.borrow_mut().insert(index);
        }
        let moved = self.moved.and_then(|(keys, values)| {
            let at = keys.binary_search(&index).ok()?;
            values.get(at)
        });
        moved.or_else(|| self.base.get(index)).copied().unwrap_or(f64::NAN)
    }
}
