//! The designs that no other beats in all objectives.

use super::best::Goal;
use super::definition::Study;
#[cfg(test)]
use super::keep::Course;
use super::keep::Keep;
use super::output::Output;
use super::search::{MOST_BOXES, Open, Search, order};
use super::workers::Workers;
use crate::error::{Error, Result};
use std::collections::BinaryHeap;

/// A feasible design that no other feasible design beats: none is as good in all objectives and better in one.
#[derive(Debug, Clone, PartialEq)]
pub struct Efficient {
    /// Its row: of designs with the same objectives the lowest.
    pub row: u128,
    /// Its objectives, in study units, in the order asked for.
    pub values: Vec<f64>,
}

/// The most objectives.
const MOST_OBJECTIVES: usize = 8;

/// Whether one has no worse objective than another; both as numbers that are greater for a better one.
fn covers(one: &[f64], other: &[f64]) -> bool {
    one.iter().zip(other).all(|(a, b)| a >= b)
}

/// Designs that do not beat one another, the best by the first objective first.
#[derive(Debug, Default)]
struct Front(Vec<(Vec<f64>, u128)>);

impl Front {
    /// Those that are at least as good as some value by the first objective.
    fn ahead(&self, values: &[f64]) -> &[(Vec<f64>, u128)] {
        let end = self.0.partition_point(|(v, _)| v.first() >= values.first());
        self.0.get(..end).unwrap_or_default()
    }

    /// The values of one of them that is as good in all objectives, and better in one or of a lower row.
    fn better(&self, values: &[f64], row: u128) -> Option<&Vec<f64>> {
        let ahead = self.ahead(values);
        // Of two objectives the second rises as the first falls: the last ahead has the most of it.
        let asked = if values.len() == 2 { ahead.get(ahead.len().saturating_sub(1)..) } else { Some(ahead) };
        let better = |(v, r): &&(Vec<f64>, u128)| covers(v, values) && (v.as_slice() != values || *r <= row);
        asked.unwrap_or_default().iter().find(better).map(|(v, _)| v)
    }

    /// Whether one of them is.
    fn beats(&self, values: &[f64], row: u128) -> bool {
        self.better(values, row).is_some()
    }

    /// Adds a design that none of them beats.
    fn add(&mut self, values: Vec<f64>, row: u128) {
        self.0.retain(|(v, _)| !covers(&values, v));
        let place = self.ahead(&values).len();
        self.0.insert(place, (values, row));
    }

    /// In their order: the better by the first objective first, of equal ones the lower row, whichever was found first.
    fn designs(mut self, objectives: &[(Output, Goal)]) -> Vec<Efficient> {
        let first = |(values, row): &(Vec<f64>, u128)| (values.first().copied().unwrap_or(f64::NAN), *row);
        self.0.sort_by(|a, b| order(first(b), first(a)));
        let signed = |values: Vec<f64>| {
            values.into_iter().zip(objectives).map(|(v, (_, goal))| goal.better(v)).collect()
        };
        self.0.into_iter().map(|(values, row)| Efficient { row, values: signed(values) }).collect()
    }
}

/// What a part has that neither what was known before nor the part itself beats.
#[derive(Debug, Default)]
pub(super) struct PartFront {
    front: Front,
    /// What beat the last design that was beaten: mostly it beats the next as well.
    last: Option<Vec<f64>>,
}

impl Keep for Front {
    type Found = PartFront;

    fn may_hold(&self, open: &Open) -> bool {
        !self.beats(&open.ideal, open.first)
    }

    fn offer(&self, found: &mut PartFront, row: u128, values: &[f64]) {
        let last = found.last.as_ref();
        if last.is_some_and(|last| covers(last, values) && last.as_slice() != values) {
            return;
        }
        match self.better(values, row).or_else(|| found.front.better(values, row)) {
            Some(better) => found.last = Some(better.clone()),
            None => found.front.add(values.to_vec(), row),
        }
    }

    fn take(&mut self, found: PartFront) {
        for (values, row) in found.front.0 {
            if !self.beats(&values, row) {
                self.add(values, row);
            }
        }
    }
}

/// Of designs that no other of their part beats, those that none of any part beats, in the order of [`Study::pareto`].
pub fn efficient_of(mut parts: Vec<Efficient>, objectives: &[(Output, Goal)]) -> Vec<Efficient> {
    let mut front = Front::default();
    parts.sort_by_key(|design| design.row);
    for design in parts {
        let better = |(v, (_, goal)): (&f64, &(Output, Goal))| goal.better(*v);
        let values: Vec<f64> = design.values.iter().zip(objectives).map(better).collect();
        if !front.beats(&values, design.row) {
            front.add(values, design.row);
        }
    }
    front.designs(objectives)
}

impl Study {
    /// The feasible designs that no other feasible design beats in all objectives, each to be as great or as small as can be: exact. Of designs with equal objectives
    /// the lowest row stands for all; designs of which an objective is no number are left out. The best by the first objective comes first, of equal ones the lower row.
    ///
    /// Boxes of the grid are looked at in the order of the sum of the best they can hold in each objective; a box is left where a design found is as good as all that
    /// it can hold. Where they are too many, the feasible rows are walked, and each design is compared with those found; whole parts of the grid are left where what
    /// was found is as good as all that they can hold. Both ways come to the same designs.
    ///
    /// # Errors
    /// As [`Study::best`]; [`Error::WrongLength`] for fewer than two objectives or more than eight.
    pub fn pareto(&self, objectives: &[(Output, Goal)], workers: &Workers) -> Result<Vec<Efficient>> {
        self.pareto_within(objectives, (MOST_BOXES, workers))
    }

    /// The same, looking at so many boxes at most.
    pub(super) fn pareto_within(
        &self,
        objectives: &[(Output, Goal)],
        (most, workers): (u64, &Workers),
    ) -> Result<Vec<Efficient>> {
        if !(2..=MOST_OBJECTIVES).contains(&objectives.len()) {
            let (field, expected) = ("objectives".into(), format!("2 to {MOST_OBJECTIVES}"));
            return Err(Error::WrongLength { field, found: objectives.len(), expected });
        }
        let mut front = Front::default();
        self.keep_best(objectives, &mut front, front_by_boxes, (most, workers))?;
        Ok(front.designs(objectives))
    }
}

#[cfg(test)]
impl Study {
    /// The same by the walk alone, the first parts of so many rows.
    pub(super) fn pareto_walked(
        &self,
        objectives: &[(Output, Goal)],
        (part, workers): (u128, &Workers),
    ) -> Result<Vec<Efficient>> {
        let mut front = Front::default();
        self.keep_best_walked(
            &self.search(objectives)?,
            objectives,
            &mut front,
            (part, &Course::endless(self)?, workers),
        )?;
        Ok(front.designs(objectives))
    }
}

/// The front from the boxes of a grid, looking at so many at most.
fn front_by_boxes(search: &Search, front: &mut Front, most: u64, workers: &Workers) -> Result<()> {
    let mut heap = BinaryHeap::from(search.boxes());
    let mut looked = 0;
    while let Some(open) = heap.pop() {
        if front.beats(&open.ideal, open.first) {
            continue;
        }
        search.look(&mut looked, most, workers)?;
        if let Some(axis) = search.axis_of(&open) {
            let worth = |half: &Open| !front.beats(&half.ideal, half.first);
            heap.extend(search.halves(&open, axis).into_iter().flatten().filter(worth));
            continue;
        }
        let values = search.values(&open);
        if !values.iter().any(|v| v.is_nan()) && !front.beats(&values, open.first) {
            front.add(values, open.first);
        }
    }
    Ok(())
}
