//! The readings of a document: every figure with its place, its unit and its uncertainty, once.

use super::document::{Each, Text};
use super::lines::Lines;
use crate::error::{Error, Result};
use crate::metrology::reading::{COVERAGE_FACTOR, parse_text};
use crate::units::{Dimension, Dimensioned, Length, MILLIMETRE, Unit};
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
        self.entries.push(Entry {
            field: field.into(),
            written: true,
            line,
            unit: raw.unit,
            expanded: raw.expanded_si,
            allowed,
        });
        self.values.push(raw.si);
        Ok(Key { index: self.values.len() - 1, quantity: PhantomData })
    }

    /// What a proposed honing takes off a bore's diameter: no entry of the document, zero until a cut moves it.
    pub(super) fn stock(&mut self, cylinder: usize) -> Key<Length> {
        self.entries.push(Entry {
            field: format!("hone stock on the diameter, cylinder {cylinder}"),
            written: false,
            line: None,
            unit: self.bore_unit(),
            expanded: None,
            allowed: Allowed::NonNegative,
        });
        self.values.push(0.0);
        Key { index: self.values.len() - 1, quantity: PhantomData }
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
                texts
                    .iter()
                    .enumerate()
                    .map(|(i, text)| self.one(&format!("{field}[{}]", i + 1), text, allowed))
                    .collect()
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
        let mut keys = vec![self.one(field, text, allowed)?];
        for i in 1..count {
            keys.push(self.one(field, text, allowed)?);
            if let Some(entry) = self.entries.last_mut() {
                entry.field = format!("{field}, {of} {}", i + 1);
                entry.written = false;
            }
        }
        Ok(Some(keys))
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

/// A point at which the chain is evaluated: the readings as they stand, with some of them moved.
pub(super) struct Point<'a> {
    base: &'a [f64],
    moved: Option<(&'a [usize], &'a [f64])>,
    seen: Option<&'a RefCell<BTreeSet<usize>>>,
}

impl<'a> Point<'a> {
    pub(super) fn new(base: &'a [f64]) -> Self {
        Self { base, moved: None, seen: None }
    }

    /// The readings named by `keys` (rising) at other values.
    pub(super) fn moved(base: &'a [f64], keys: &'a [usize], values: &'a [f64]) -> Self {
        Self { base, moved: Some((keys, values)), seen: None }
    }

    /// Notes which readings are looked at.
    pub(super) fn noting(base: &'a [f64], seen: &'a RefCell<BTreeSet<usize>>) -> Self {
        Self { base, moved: None, seen: Some(seen) }
    }

    /// The value of a reading at this point.
    pub(super) fn get<Q: Dimensioned>(&self, key: Key<Q>) -> Q {
        if let Some(seen) = self.seen {
            seen.borrow_mut().insert(key.index);
        }
        let moved = self.moved.and_then(|(keys, values)| {
            let at = keys.binary_search(&key.index).ok()?;
            values.get(at)
        });
        let value = moved.or_else(|| self.base.get(key.index));
        Q::from_si(value.copied().unwrap_or(f64::NAN))
    }
}
