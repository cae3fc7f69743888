//! Draws of all readings for a block of samples.

use super::definition::Sampling;
use super::distribution::{Distribution, held};
use super::normal::{distribution, inverse, pair};
use super::random::{counter, stream, uniform, word};
use crate::study::wide::{Work, wide};

/// Samples that are drawn and evaluated together.
pub(super) const BLOCK: usize = 256;

/// Makes x of a deviate or a uniform number u: offset + scale u, not above some value.
#[derive(Debug, Clone, Copy)]
struct Line {
    offset: f64,
    scale: f64,
    most: f64,
}

impl Line {
    /// As it is.
    const SAME: Self = Self { offset: 0.0, scale: 1.0, most: f64::INFINITY };
}

/// What a uniform number becomes.
#[derive(Debug, Clone, Copy)]
enum Bend {
    Triangular { low: f64, mode: f64, high: f64 },
    Truncated { mean: f64, deviation: f64, low: f64, high: f64, below: f64, held: f64 },
    Line(Line),
}

/// One thing to do to the columns of a block.
#[derive(Debug, Clone)]
enum Step {
    /// Two streams to two columns of normal deviates.
    Normals { to: [usize; 2], start: [u64; 2], lines: [Line; 2] },
    /// A stream to a column of uniform numbers.
    Uniform { to: usize, start: u64, line: Line },
    /// A column becomes the sum of itself and those before it in a row of a triangle.
    Mix { to: usize, own: f64, others: Vec<(usize, f64)> },
    /// A column of deviates becomes a normal reading.
    Line { to: usize, line: Line },
    /// A column of deviates becomes uniform by the distribution function of sign times the deviate.
    Rank { to: usize, sign: f64 },
    /// A column of uniform numbers becomes a reading.
    Bend { to: usize, bend: Bend },
}

/// Draws blocks of samples.
#[derive(Debug, Clone)]
pub(super) struct Draws {
    steps: Vec<Step>,
    counters: Vec<u64>,
    columns: Vec<Vec<f64>>,
}

impl Distribution {
    /// From a uniform number.
    fn bend(&self) -> Bend {
        match *self {
            // A normal reading is made of its deviate.
            Self::Normal { .. } => Bend::Line(Line::SAME),
            Self::Uniform { low, high } => Bend::Line(Line { offset: low, scale: high - low, most: high }),
            Self::Triangular { low, mode, high } => Bend::Triangular { low, mode, high },
            Self::Truncated { mean, deviation, low, high } => {
                let (below, held, mirrored) = held((low - mean) / deviation, (high - mean) / deviation);
                let deviation = if mirrored { -deviation } else { deviation };
                Bend::Truncated { mean, deviation, low, high, below, held }
            }
        }
    }
}

impl Draws {
    /// Of a set of streams: sets have no stream in common.
    pub(super) fn new(sampling: &Sampling, set: u64) -> Self {
        let readings = sampling.readings();
        let mixed = |place: &usize| sampling.mixing().is_some_and(|m| m.places.contains(place));
        let is_normal = |place: &usize| {
            readings.get(*place).is_some_and(|(_, d)| matches!(d, Distribution::Normal { .. }))
        };
        let line_of = |place: usize| match readings.get(place) {
            Some((_, Distribution::Normal { mean, deviation })) => {
                Line { offset: *mean, scale: *deviation, most: f64::INFINITY }
            }
            _ => Line::SAME,
        };
        let mut streams = (0..).map(|i| stream(sampling.seed(), (set << 32) + i));
        let mut next = || streams.next().unwrap_or_default();
        let mut steps = Vec::new();
        let (deviates, others): (Vec<usize>, Vec<usize>) =
            (0..readings.len()).partition(|place| mixed(place) || is_normal(place));
        for two in deviates.chunks(2) {
            // An odd one is drawn with a column that nobody reads.
            let [a, b] = [two.first(), two.get(1)].map(|p| p.copied().unwrap_or(readings.len()));
            let lines = [a, b].map(|place| if mixed(&place) { Line::SAME } else { line_of(place) });
            steps.push(Step::Normals { to: [a, b], start: [next(), next()], lines });
        }
        for place in others {
            let bend = readings.get(place).map_or(Bend::Line(Line::SAME), |(_, d)| d.bend());
            let line = if let Bend::Line(line) = bend { line } else { Line::SAME };
            steps.push(Step::Uniform { to: place, start: next(), line });
            if !matches!(bend, Bend::Line(_)) {
                steps.push(Step::Bend { to: place, bend });
            }
        }
        if let Some(mixing) = sampling.mixing() {
            // From the last row up, so that each still finds the independent deviates of those before it.
            for (place, row) in mixing.places.iter().zip(&mixing.rows).rev() {
                let others = mixing.places.iter().copied().zip(row.iter().copied());
                let others = others.take(row.len().saturating_sub(1)).collect();
                let own = row.last().copied().unwrap_or(1.0);
                steps.push(Step::Mix { to: *place, own, others });
            }
            for place in &mixing.places {
                if is_normal(place) {
                    steps.push(Step::Line { to: *place, line: line_of(*place) });
                } else if let Some((_, reading)) = readings.get(*place) {
                    let bend = reading.bend();
                    // A truncated one that is drawn from the mirrored tail falls with its uniform number.
                    let falls = matches!(bend, Bend::Truncated { deviation, .. } if deviation < 0.0);
                    steps.push(Step::Rank { to: *place, sign: if falls { -1.0 } else { 1.0 } });
                    steps.push(Step::Bend { to: *place, bend });
                }
            }
        }
        Self { steps, counters: vec![0; BLOCK], columns: vec![vec![0.0; BLOCK]; readings.len() + 1] }
    }

    /// The columns of the readings, by place, for a block of samples from the first on.
    pub(super) fn draw(&mut self, first: u64) -> &[Vec<f64>] {
        for (i, c) in self.counters.iter_mut().enumerate() {
            *c = counter(first.wrapping_add(i as u64));
        }
        for step in &self.steps {
            let (to, other) = match step {
                Step::Normals { to: [a, b], .. } => (*a, Some(*b)),
                Step::Uniform { to, .. }
                | Step::Mix { to, .. }
                | Step::Line { to, .. }
                | Step::Rank { to, .. }
                | Step::Bend { to, .. } => (*to, None),
            };
            let mut out = take(&mut self.columns, to);
            let mut second = other.map(|other| take(&mut self.columns, other)).unwrap_or_default();
            let (counters, columns) = (&self.counters, &self.columns);
            wide(Block { step, counters, columns, out: &mut out, second: &mut second });
            put(&mut self.columns, to, out);
            if let Some(other) = other {
                put(&mut self.columns, other, second);
            }
        }
        &self.columns
    }
}

pub(super) fn take(columns: &mut [Vec<f64>], place: usize) -> Vec<f64> {
    columns.get_mut(place).map(core::mem::take).unwrap_or_default()
}

pub(super) fn put(columns: &mut [Vec<f64>], place: usize, column: Vec<f64>) {
    if let Some(slot) = columns.get_mut(place) {
        *slot = column;
    }
}

struct Block<'b> {
    step: &'b Step,
    counters: &'b [u64],
    columns: &'b [Vec<f64>],
    out: &'b mut [f64],
    second: &'b mut [f64],
}

impl Work for Block<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        let Self { step, counters, columns, out, second } = self;
        match step {
            Step::Normals { start: [start, other], lines: [line, next], .. } => {
                for ((a, b), c) in out.iter_mut().zip(second).zip(counters) {
                    let (x, y) = pair(word(*start, *c), word(*other, *c));
                    *a = line.offset + line.scale * x;
                    *b = next.offset + next.scale * y;
                }
            }
            Step::Uniform { start, line, .. } => {
                for (x, c) in out.iter_mut().zip(counters) {
                    *x = on(*line, uniform(word(*start, *c)));
                }
            }
            Step::Mix { own, others, .. } => {
                out.iter_mut().for_each(|x| *x *= own);
                for (place, weight) in others {
                    let other = columns.get(*place).map(Vec::as_slice).unwrap_or_default();
                    for (x, z) in out.iter_mut().zip(other) {
                        *x += weight * z;
                    }
                }
            }
            Step::Line { line, .. } => out.iter_mut().for_each(|x| *x = on(*line, *x)),
            Step::Rank { sign, .. } => out.iter_mut().for_each(|x| *x = distribution(sign * *x)),
            Step::Bend { bend, .. } => bend.bend(out),
        }
    }
}

#[inline(always)]
fn on(line: Line, x: f64) -> f64 {
    let y = line.offset + line.scale * x;
    if y < line.most { y } else { line.most }
}

impl Bend {
    #[inline(always)]
    fn bend(self, out: &mut [f64]) {
        match self {
            Self::Line(line) => out.iter_mut().for_each(|x| *x = on(line, *x)),
            Self::Triangular { low, mode, high } => {
                let width = high - low;
                // Of a triangle without width there is nothing on either side.
                let share = if width > 0.0 { (mode - low) / width } else { 0.0 };
                let (rise, fall) = (width * (mode - low), width * (high - mode));
                for x in out.iter_mut() {
                    let u = *x;
                    let rises = u < share;
                    let square = if rises { u * rise } else { (1.0 - u) * fall };
                    let root = square.sqrt();
                    let y = if rises { low + root } else { high - root };
                    let y = if y < low { low } else { y };
                    *x = if y > high { high } else { y };
                }
            }
            Self::Truncated { mean, deviation, low, high, below, held } => {
                for x in out.iter_mut() {
                    let y = mean + deviation * inverse(below + *x * held);
                    let y = if y < low { low } else { y };
                    *x = if y > high { high } else { y };
                }
            }
        }
    }
}
