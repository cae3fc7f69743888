//! One figure to be matched: its table of values, the levels they lie on, and how nearly it is a sum over place and parts.

use super::{MOST_PLACES, MOST_TYPES, SAME, at};
use crate::error::{Error, Result};

/// The part of each type at one place; types that are not there are zero.
pub(super) type Parts = [usize; MOST_TYPES];

/// The largest magnitude of a value, so that no sum or difference is infinite.
const LARGEST: f64 = 1e100;

/// One figure to be evened out over the places.
///
/// It may depend on the place and on one part of each of up to three types; its limits, if any, must hold at every place.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchedFigure {
    pub(super) places: usize,
    pub(super) types: usize,
    /// How far the index moves for the next part of each type; zero for types it does not depend on.
    pub(super) strides: Parts,
    block: usize,
    values: Vec<f64>,
    /// The different values, in order.
    pub(super) levels: Vec<f64>,
    /// Differences below this are none.
    pub(super) same: f64,
    /// Lower and upper limit, with the room that [`SAME`] allows.
    pub(super) limits: (f64, f64),
    /// The share of each place and, from [`MOST_PLACES`] times its type on, of each part in the value.
    place_effects: Vec<f64>,
    part_effects: Vec<f64>,
    /// The largest distance of a value from the sum of its shares.
    pub(super) departure: f64,
}

/// An [`Error::OutOfRange`] for a count.
pub(super) fn count_out_of_range(field: &str, value: impl ToString, allowed: impl Into<String>) -> Error {
    Error::OutOfRange { field: field.into(), value: value.to_string(), allowed: allowed.into() }
}

/// Refuses more places or types than can be matched.
pub(super) fn check_counts(places: usize, types: usize) -> Result<()> {
    if !(1..=MOST_PLACES).contains(&places) {
        return Err(count_out_of_range("number of places", places, format!("1 to {MOST_PLACES}")));
    }
    if !(1..=MOST_TYPES).contains(&types) {
        return Err(count_out_of_range("number of part types", types, format!("1 to {MOST_TYPES}")));
    }
    Ok(())
}

impl MatchedFigure {
    /// Evaluates `value(place, parts)` once for every combination that it depends on: n^(1 + k) evaluations for n places and k types.
    ///
    /// `depends` lists the types, from zero; `parts` has an index for each type, zero for the types the figure does not depend on;
    /// `limits` are the lower and the upper one, in the unit of the values.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for 0 or more than 16 places, for 0 or more than 4 types, for more than 3 types depended on, for a type
    /// that is not there or named twice, for a lower limit above the upper, and for magnitudes above 1e100; [`Error::NotFinite`] for a value or a limit that is no
    /// finite number; whatever `value` returns.
    pub fn new(
        places: usize,
        types: usize,
        depends: &[usize],
        limits: (Option<f64>, Option<f64>),
        value: impl Fn(usize, &[usize]) -> Result<f64>,
    ) -> Result<Self> {
        check_counts(places, types)?;
        let (strides, block) = strides(places, types, depends)?;
        let mut values = Vec::with_capacity(places * block);
        for place in 0..places {
            for combination in 0..block {
                let parts = parts_of(combination, places, &strides);
                values.push(finite(value(place, parts.get(..types).unwrap_or(&parts))?)?);
            }
        }
        let largest = values.iter().fold(0.0, |most: f64, v| most.max(v.abs()));
        // Above zero, so that an empty window stays empty where every value is zero.
        let same = (SAME * largest).max(f64::MIN_POSITIVE);
        let levels = snap(&mut values, same);
        let limits = checked_limits(limits, same)?;
        let mut figure = Self {
            places,
            types,
            strides,
            block,
            values,
            levels,
            same,
            limits,
            place_effects: Vec::new(),
            part_effects: vec![0.0; MOST_TYPES * MOST_PLACES],
            departure: 0.0,
        };
        figure.fit();
        Ok(figure)
    }

    /// Whether the figure depends on a type.
    pub(super) fn depends_on(&self, kind: usize) -> bool {
        at(&self.strides, kind) > 0
    }

    /// The value at an index that the strides lead to.
    pub(super) fn value_at(&self, place: usize, offset: usize) -> f64 {
        at(&self.values, place * self.block + offset)
    }

    /// The value of a place with its parts.
    pub(super) fn value(&self, place: usize, parts: &Parts) -> f64 {
        self.value_at(place, parts.iter().zip(self.strides).map(|(part, stride)| part * stride).sum())
    }

    /// The least and the greatest value over the places.
    pub(super) fn extremes(&self, order: &[Parts]) -> (f64, f64) {
        let values = order.iter().enumerate().map(|(place, parts)| self.value(place, parts));
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
    }

    /// The greatest value less the least.
    pub(super) fn spread(&self, order: &[Parts]) -> f64 {
        let (low, high) = self.extremes(order);
        high - low
    }

    /// Whether the limits hold at every place.
    pub(super) fn holds(&self, order: &[Parts]) -> bool {
        let (low, high) = self.extremes(order);
        low >= self.limits.0 && high <= self.limits.1
    }

    /// The level of an index.
    pub(super) fn level(&self, index: usize) -> f64 {
        at(&self.levels, index)
    }

    /// Whether every value of the table lies in a window.
    pub(super) fn always_within(&self, (low, high): (f64, f64)) -> bool {
        self.levels.first().is_some_and(|v| *v >= low) && self.levels.last().is_some_and(|v| *v <= high)
    }

    /// The least window that holds the same levels; `None` if it holds none.
    pub(super) fn tightened(&self, (low, high): (f64, f64)) -> Option<(f64, f64)> {
        let first = self.levels.partition_point(|v| *v < low);
        let past = self.levels.partition_point(|v| *v <= high);
        let last = past.checked_sub(1).filter(|last| *last >= first)?;
        Some((self.level(first), self.level(last)))
    }

    /// The share of a place in the value.
    pub(super) fn place_effect(&self, place: usize) -> f64 {
        at(&self.place_effects, place)
    }

    /// The share of a part in the value; zero for types the figure does not depend on.
    pub(super) fn part_effect(&self, kind: usize, part: usize) -> f64 {
        at(&self.part_effects, kind * MOST_PLACES + part)
    }

    /// Fits the shares by means over the table and takes the largest departure from their sum.
    fn fit(&mut self) {
        let cells = (self.places * self.block) as f64;
        let grand = self.values.iter().sum::<f64>() / cells;
        for block in self.values.chunks(self.block) {
            self.place_effects.push(block.iter().sum::<f64>() / self.block as f64);
        }
        let share = self.places as f64 / cells;
        let mut effects = vec![0.0; MOST_TYPES * MOST_PLACES];
        for kind in (0..self.types).filter(|kind| self.depends_on(*kind)) {
            for (index, v) in self.values.iter().enumerate() {
                let part = at(&parts_of(index % self.block, self.places, &self.strides), kind);
                if let Some(effect) = effects.get_mut(kind * MOST_PLACES + part) {
                    *effect += (v - grand) * share;
                }
            }
        }
        self.part_effects = effects;
        for (index, v) in self.values.iter().enumerate() {
            let parts = parts_of(index % self.block, self.places, &self.strides);
            let shares: f64 =
                parts.iter().enumerate().map(|(kind, part)| self.part_effect(kind, *part)).sum();
            self.departure = self.departure.max((v - self.place_effect(index / self.block) - shares).abs());
        }
    }
}

/// The stride of each type and the number of combinations at one place.
fn strides(places: usize, types: usize, depends: &[usize]) -> Result<(Parts, usize)> {
    if depends.len() > 3 {
        return Err(count_out_of_range("part types that a figure depends on", depends.len(), "0 to 3"));
    }
    let mut strides = [0; MOST_TYPES];
    let mut block = 1;
    for kind in depends {
        match strides.get_mut(*kind).filter(|stride| *kind < types && **stride == 0) {
            Some(stride) => *stride = block,
            None => {
                let allowed = format!("each of 0 to {} once", types - 1);
                return Err(count_out_of_range("part type that a figure depends on", kind, allowed));
            }
        }
        block *= places;
    }
    Ok((strides, block))
}

/// The parts of a combination; zero for types without a stride.
fn parts_of(combination: usize, places: usize, strides: &Parts) -> Parts {
    strides.map(|stride| combination.checked_div(stride).map_or(0, |parts| parts % places))
}

fn finite(value: f64) -> Result<f64> {
    if !value.is_finite() {
        return Err(Error::NotFinite { field: "figure to be matched".into(), value: value.to_string() });
    }
    if value.abs() > LARGEST {
        return Err(count_out_of_range(
            "figure to be matched",
            value,
            format!("magnitudes up to {LARGEST:e}"),
        ));
    }
    Ok(value)
}

fn checked_limits((lower, upper): (Option<f64>, Option<f64>), same: f64) -> Result<(f64, f64)> {
    let lower = lower.map(finite).transpose()?;
    let upper = upper.map(finite).transpose()?;
    let limits = (lower.unwrap_or(f64::NEG_INFINITY), upper.unwrap_or(f64::INFINITY));
    if limits.0 > limits.1 {
        return Err(count_out_of_range(
            "lower limit",
            limits.0,
            format!("the upper limit {} or less", limits.1),
        ));
    }
    Ok((limits.0 - same, limits.1 + same))
}

/// Gives all values that are the same but for rounding the least of them, and lists the levels left.
fn snap(values: &mut [f64], same: f64) -> Vec<f64> {
    let mut levels = values.to_vec();
    levels.sort_by(f64::total_cmp);
    let mut last = f64::NEG_INFINITY;
    levels.retain(|v| {
        let new = *v - last > same || last == f64::NEG_INFINITY;
        if new {
            last = *v;
        }
        new
    });
    for value in values {
        let past = levels.partition_point(|level| *level <= *value);
        *value = past.checked_sub(1).map_or(*value, |index| at(&levels, index));
    }
    levels
}
