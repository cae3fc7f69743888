//! Where each value of a study is known: the stages, their steps and tests, and the corners that bound what is not known yet.

use super::boxes::Bounded;
use super::definition::Study;
use super::figure::Figure;
use super::given::StudyLimit;
use super::output::Direction;
use super::plan::{MOST_INPUTS, Shape, Value, visit};
use super::stage::{BLOCK, Bound, Stage, Step};

/// A stage of fewer lanes takes one more axis, even where a limit is tested before it.
const ENOUGH: usize = 16;

/// A value, or what it comes to where the figures that are not known at a stage stand at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Key {
    value: Value,
    corner: Option<Corner>,
}

/// The figures that are not known at a stage are where a limited output is least, or greatest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Corner {
    stage: usize,
    limit: usize,
    greatest: bool,
}

/// Where each value is known, and its places.
struct Layout<'s> {
    study: &'s Study,
    shape: Shape,
    stages: Vec<Stage>,
    bounded: Vec<Bounded>,
    values: Vec<Key>,
    /// By value: the stage at which it is known; none for what no axis changes.
    known: Vec<Option<usize>>,
    /// By value: the place in each stage that takes or gives it.
    places: Vec<Vec<Option<usize>>>,
}

/// Groups of axes: the innermost first up to a block, none across a limit that is tested before it.
fn groups(study: &Study, shape: Shape) -> Vec<core::ops::Range<usize>> {
    let lens: Vec<usize> = study.axes().iter().map(|(_, a)| a.len()).collect();
    let mut tested = vec![false; lens.len()];
    for limit in study.limits() {
        let mut last = None;
        visit(Value::Output(limit.output), shape, &mut |value| {
            if let Value::Figure(figure) = value {
                last = last.max(study.axis_of(figure));
            }
        });
        if let Some(there) = last.and_then(|axis| tested.get_mut(axis)) {
            *there = true;
        }
    }
    let mut groups = Vec::new();
    let mut end = lens.len();
    while end > 0 {
        let mut start = end - 1;
        let mut lanes = lens.get(start).copied().unwrap_or(1);
        while let Some(next) = start.checked_sub(1) {
            let more = lanes * lens.get(next).copied().unwrap_or(1);
            if more > BLOCK || (tested.get(next) == Some(&true) && lanes >= ENOUGH) {
                break;
            }
            (start, lanes) = (next, more);
        }
        groups.push(start..end);
        end = start;
    }
    groups.reverse();
    if groups.is_empty() {
        groups.push(0..0);
    }
    groups
}

/// The stages of a study, the outermost first, and how many values they hand on.
pub(super) fn stages(study: &Study, shape: Shape) -> (Vec<Stage>, usize) {
    let lens: Vec<usize> = study.axes().iter().map(|(_, a)| a.len()).collect();
    let stage = |axes: core::ops::Range<usize>| {
        let lanes = lens.get(axes.clone()).unwrap_or_default().iter().product();
        let stride = lens.iter().skip(axes.end).map(|l| *l as u128).product();
        Stage::new(axes, lanes, stride)
    };
    let mut layout = Layout {
        study,
        shape,
        stages: groups(study, shape).into_iter().map(stage).collect(),
        bounded: study.limits().iter().map(|l| Bounded::new(l.output, shape)).collect(),
        values: Vec::new(),
        known: Vec::new(),
        places: Vec::new(),
    };
    for (place, limit) in study.limits().iter().enumerate() {
        layout.test(*limit);
        for s in 0..layout.stages.len() {
            layout.bound(place, *limit, s);
        }
    }
    for stage in &mut layout.stages {
        split(stage);
    }
    (layout.stages, layout.values.len())
}

/// Parts the steps that the tests of a stage take from those that only stages after it take.
fn split(stage: &mut Stage) {
    let mut needed: Vec<usize> = stage.tests.iter().map(|(place, _)| *place).collect();
    let [tested, handed, _] = &mut stage.steps;
    for step in core::mem::take(tested).into_iter().rev() {
        if needed.contains(&step.out) {
            needed.extend(step.inputs.iter().take(step.count));
            tested.push(step);
        } else {
            handed.push(step);
        }
    }
    tested.reverse();
    handed.reverse();
}

impl Layout<'_> {
    /// Tests a limit at the stage where its output is known.
    fn test(&mut self, limit: StudyLimit) {
        let value = self.add(Key { value: Value::Output(limit.output), corner: None });
        let known = self.known.get(value).copied().flatten().unwrap_or_default();
        let place = self.place(value, known);
        if let Some(stage) = self.stages.get_mut(known) {
            stage.tests.push((place, limit));
        }
    }

    /// Bounds a limited output at a stage that changes it and after which it is changed still, where its directions tell the corners.
    fn bound(&mut self, place: usize, limit: StudyLimit, s: usize) {
        let Some(bounded) = self.bounded.get(place).cloned() else { return };
        let (mut here, mut later, mut told) = (false, false, true);
        for figure in Figure::ALL.into_iter().filter(|f| bounded.depends_on(*f)) {
            let Some(stage) = self.stage_of(figure) else { continue };
            here |= stage == s;
            later |= stage > s;
            let is_a_cylinder_s = matches!(figure, Figure::Bore | Figure::Stroke);
            told &= stage <= s
                || (bounded.direction(figure) != Direction::Either
                    && !(is_a_cylinder_s && limit.output.is_a_compression_ratio()));
        }
        if !(here && later && told) {
            return;
        }
        let mut end = |greatest: bool| {
            let corner = Corner { stage: s, limit: place, greatest };
            let value = self.add(Key { value: Value::Output(limit.output), corner: Some(corner) });
            self.place(value, s)
        };
        let (least, greatest) = (end(false), end(true));
        let to_the_bit = limit.output.is_monotone_to_the_bit(self.shape.offset);
        if let Some(stage) = self.stages.get_mut(s) {
            stage.bounds.push(Bound { least, greatest, limit, to_the_bit, bit: 1 << place });
        }
    }

    /// The stage of a figure's axis.
    fn stage_of(&self, figure: Figure) -> Option<usize> {
        let axis = self.study.axis_of(figure)?;
        self.stages.iter().position(|s| s.axes.contains(&axis))
    }

    /// The key of a value in a corner: no corner where all that it takes is known there.
    fn in_corner(&self, value: Value, corner: Option<Corner>) -> Key {
        let mut unknown = false;
        if let Some(corner) = corner {
            visit(value, self.shape, &mut |value| {
                if let Value::Figure(figure) = value {
                    unknown |= self.stage_of(figure).is_some_and(|stage| stage > corner.stage);
                }
            });
        }
        Key { value, corner: corner.filter(|_| unknown) }
    }

    /// Adds a value and all that it takes; its place among the values.
    fn add(&mut self, key: Key) -> usize {
        if let Some(there) = self.values.iter().position(|v| *v == key) {
            return there;
        }
        let inputs: Vec<usize> = key
            .value
            .inputs(self.shape)
            .into_iter()
            .map(|value| self.add(self.in_corner(value, key.corner)))
            .collect();
        let known = match (key.value, key.corner) {
            (_, Some(corner)) => Some(corner.stage),
            (Value::Figure(figure), None) => self.stage_of(figure),
            _ => {
                let known = inputs.iter().filter_map(|i| self.known.get(*i).copied().flatten()).max();
                Some(known.unwrap_or_default())
            }
        };
        let index = self.values.len();
        self.values.push(key);
        self.known.push(known);
        self.places.push(vec![None; self.stages.len()]);
        if let (Some(s), false) = (known, matches!(key.value, Value::Figure(_))) {
            let mut places = [0; MOST_INPUTS];
            for (place, input) in places.iter_mut().zip(&inputs) {
                *place = self.place(*input, s);
            }
            let out = self.place(index, s);
            let phase = if key.corner.is_some() { 2 } else { 0 };
            if let Some(steps) = self.stages.get_mut(s).and_then(|stage| stage.steps.get_mut(phase)) {
                steps.push(Step { value: key.value, inputs: places, count: inputs.len(), out });
            }
        }
        index
    }

    /// The place of a value in a stage, with a buffer of its own and what brings it there.
    fn place(&mut self, value: usize, s: usize) -> usize {
        if let Some(place) = self.places.get(value).and_then(|p| p.get(s)).copied().flatten() {
            return place;
        }
        let before = self.known.get(value).copied().flatten().filter(|from| *from < s);
        let there = before.map(|from| (from, self.place(value, from)));
        if let Some((from, there)) = there
            && let Some(stage) = self.stages.get_mut(from)
            && !stage.exports.iter().any(|(_, v)| *v == value)
        {
            stage.exports.push((there, value));
        }
        let corner = self.values.get(value).and_then(|key| match (key.value, key.corner) {
            (Value::Figure(figure), Some(corner)) => Some(self.at_corner(figure, corner)),
            _ => None,
        });
        let Some(stage) = self.stages.get_mut(s) else { return 0 };
        let place = stage.add_buffer();
        if before.is_some() {
            stage.imports.push((value, place));
        }
        match (corner, self.values.get(value).map(|key| key.value)) {
            (Some(end), _) => stage.fill(place, end),
            (None, Some(Value::Figure(figure))) => stage.write(self.study, figure, place),
            _ => {}
        }
        if let Some(slot) = self.places.get_mut(value).and_then(|p| p.get_mut(s)) {
            *slot = Some(place);
        }
        place
    }

    /// The end of an axis at which a limited output is least, or greatest.
    fn at_corner(&self, figure: Figure, corner: Corner) -> f64 {
        let axis = self.study.axis_of(figure).and_then(|axis| self.study.axes().get(axis));
        let (low, high) = axis.map_or((f64::NAN, f64::NAN), |(_, axis)| axis.range(0, axis.len()));
        let falls = self.bounded.get(corner.limit).is_some_and(|b| b.direction(figure) == Direction::Falls);
        if falls != corner.greatest { high } else { low }
    }
}
