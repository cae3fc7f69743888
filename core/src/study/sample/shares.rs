//! One pass over samples that are drawn twice: the sums of which shares of the variance are made.

use super::bits::{self, names};
use super::chain::Chain;
use super::definition::Sampling;
use super::draw::{BLOCK, Draws};
use super::engine::{Possible, blocks};
use super::farm;
use super::tally::LANES;
use crate::study::figure::Figure;
use crate::study::output::Output;
use crate::study::wide::{Work, wide};
use serde::{Deserialize, Serialize};

/// What is asked of a pass.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Sharing {
    pub(super) samples: u64,
    #[serde(with = "names")]
    pub(super) outputs: Vec<Output>,
    /// By output: what its values are less by when they are summed.
    #[serde(with = "bits")]
    pub(super) shifts: Vec<f64>,
}

/// Sums of d, d^2 and d v, where d are half squared differences of two columns, and v those of both from a shift: what a ratio d / v and its error are made of.
#[derive(Debug, Clone, Copy, Default, Serialize, Deserialize)]
pub(super) struct Ratio {
    #[serde(with = "bits")]
    d: f64,
    #[serde(with = "bits")]
    dd: f64,
    #[serde(with = "bits")]
    dv: f64,
}

impl Ratio {
    fn append(&mut self, part: &Self) {
        self.d += part.d;
        self.dd += part.dd;
        self.dv += part.dv;
    }
}

/// Sums of one output over many samples.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(super) struct Sums {
    pub(super) used: u64,
    /// Of the values of both sets, less the shift.
    #[serde(with = "bits")]
    value: f64,
    #[serde(with = "bits")]
    v: f64,
    #[serde(with = "bits")]
    vv: f64,
    /// By reading: of the second set, and of the first, against the first with that column of the second.
    pub(super) readings: Vec<[Ratio; 2]>,
}

impl Sums {
    pub(super) fn new(readings: usize) -> Self {
        Self { readings: vec![Default::default(); readings], ..Self::default() }
    }

    pub(super) fn append(&mut self, part: &Self) {
        self.used += part.used;
        self.value += part.value;
        self.v += part.v;
        self.vv += part.vv;
        for (all, part) in self.readings.iter_mut().flatten().zip(part.readings.iter().flatten()) {
            all.append(part);
        }
    }

    pub(super) fn variance(&self) -> f64 {
        let n = self.used as f64;
        let mean = self.value / (2.0 * n);
        self.v / n - mean * mean
    }

    /// Mean of d over the variance, and its standard error by the delta method.
    pub(super) fn ratio(&self, of: &Ratio) -> (f64, f64) {
        let (n, variance) = (self.used as f64, self.variance());
        let ratio = of.d / n / variance;
        // The variance of d - ratio v.
        let square = (of.dd - 2.0 * ratio * of.dv + ratio * ratio * self.vv) / n;
        let off = (of.d - ratio * self.v) / n;
        (ratio, ((square - off * off).max(0.0) / (n - 1.0)).sqrt() / variance)
    }
}

/// Half squared distances of both columns from a shift, to a column; what is not used has none. The sums of it, its square and the values.
struct Squares<'s> {
    columns: [&'s [f64]; 2],
    used: &'s [u64],
    shift: f64,
    squares: &'s mut [f64],
}

impl Work for Squares<'_> {
    type Output = [f64; 3];

    #[inline(always)]
    fn call(self) -> [f64; 3] {
        let Self { columns: [a, b], used, shift, squares } = self;
        let mut sums = [[0.0; LANES]; 3];
        let [first, second, third] = &mut sums;
        let ((a, _), (b, _)) = (a.as_chunks::<LANES>(), b.as_chunks::<LANES>());
        let ((used, _), (squares, _)) = (used.as_chunks::<LANES>(), squares.as_chunks_mut::<LANES>());
        for (((a, b), used), squares) in a.iter().zip(b).zip(used).zip(squares) {
            let lanes = first.iter_mut().zip(second.iter_mut()).zip(third.iter_mut());
            for ((((sums, a), b), used), to) in lanes.zip(a).zip(b).zip(used).zip(squares) {
                let ((value, v), vv) = sums;
                let (x, y) = (*a - shift, *b - shift);
                let (sum, square) = (x + y, (x * x + y * y) / 2.0);
                let square = if *used != 0 { square } else { 0.0 };
                *value += if *used != 0 { sum } else { 0.0 };
                *v += square;
                *vv += square * square;
                *to = square;
            }
        }
        sums.map(|lanes| lanes.iter().sum())
    }
}

/// Half squared differences of two columns against the squares.
struct Differences<'s> {
    columns: [&'s [f64]; 2],
    used: &'s [u64],
    squares: &'s [f64],
}

impl Work for Differences<'_> {
    type Output = Ratio;

    #[inline(always)]
    fn call(self) -> Ratio {
        let Self { columns: [a, b], used, squares } = self;
        let mut sums = [[0.0; LANES]; 3];
        let [first, second, third] = &mut sums;
        let ((a, _), (b, _)) = (a.as_chunks::<LANES>(), b.as_chunks::<LANES>());
        let ((used, _), (squares, _)) = (used.as_chunks::<LANES>(), squares.as_chunks::<LANES>());
        for (((a, b), used), squares) in a.iter().zip(b).zip(used).zip(squares) {
            let lanes = first.iter_mut().zip(second.iter_mut()).zip(third.iter_mut());
            for ((((sums, a), b), used), square) in lanes.zip(a).zip(b).zip(used).zip(squares) {
                let ((all, dd), dv) = sums;
                let off = *a - *b;
                let d = if *used != 0 { off * off / 2.0 } else { 0.0 };
                *all += d;
                *dd += d * d;
                *dv += d * *square;
            }
        }
        let [d, dd, dv] = sums.map(|lanes| lanes.iter().sum());
        Ratio { d, dd, dv }
    }
}

/// What a thread keeps from block to block.
pub(super) struct State {
    sets: [Draws; 2],
    chain: Chain,
    possible: Possible,
    used: Vec<u64>,
    squares: Vec<f64>,
    /// By set of columns (both sets, then the first with one column of the second for each reading) and output.
    values: Vec<Vec<Vec<f64>>>,
    /// By set of columns: the rows that are possible.
    drawn: Vec<Vec<u64>>,
}

impl State {
    fn new(sampling: &Sampling, outputs: &[Output]) -> Self {
        let sets = sampling.readings().len() + 2;
        Self {
            sets: [0, 1].map(|set| Draws::new(sampling, set)),
            chain: Chain::new(sampling.study(), outputs),
            possible: Possible::new(sampling),
            used: vec![0; BLOCK],
            squares: vec![0.0; BLOCK],
            values: vec![vec![vec![f64::NAN; BLOCK]; outputs.len()]; sets],
            drawn: vec![vec![0; BLOCK]; sets],
        }
    }

    /// Draws and evaluates a block with every set of columns.
    fn run(&mut self, first: u64, count: usize) {
        let [a, b] = self.sets.each_mut().map(|set| set.draw(first));
        for (place, (values, drawn)) in self.values.iter_mut().zip(&mut self.drawn).enumerate() {
            let exchanged = place.checked_sub(2);
            let columns: [&[f64]; Figure::ALL.len()] = core::array::from_fn(|i| {
                let set = if place == 1 || exchanged == Some(i) { b } else { a };
                set.get(i).map(Vec::as_slice).unwrap_or_default()
            });
            self.possible.mark(&columns, drawn);
            drawn.iter_mut().skip(count).for_each(|mark| *mark = 0);
            self.chain.run(&columns);
            for (output, to) in values.iter_mut().enumerate() {
                to.copy_from_slice(self.chain.output(output, &columns));
            }
        }
    }

    /// Adds the block to the sums of an output.
    fn add(&mut self, output: usize, shift: f64, sums: &mut Sums) {
        let Self { values, drawn, used, squares, chain, .. } = self;
        used.fill(1);
        for (values, drawn) in values.iter().zip(drawn.iter()) {
            let values = values.get(output).map(Vec::as_slice).unwrap_or_default();
            for ((used, x), possible) in used.iter_mut().zip(values).zip(drawn) {
                *used &= possible & u64::from(x.is_finite());
            }
        }
        sums.used += used.iter().sum::<u64>();
        let column =
            |set: usize| values.get(set).and_then(|v| v.get(output)).map(Vec::as_slice).unwrap_or_default();
        let (a, b) = (column(0), column(1));
        let [value, v, vv] = wide(Squares { columns: [a, b], used, shift, squares });
        (sums.value, sums.v, sums.vv) = (sums.value + value, sums.v + v, sums.vv + vv);
        for (reading, [first, total]) in sums.readings.iter_mut().enumerate() {
            if !chain.depends(output, reading) {
                continue;
            }
            let exchanged = column(reading + 2);
            first.append(&wide(Differences { columns: [b, exchanged], used, squares }));
            total.append(&wide(Differences { columns: [a, exchanged], used, squares }));
        }
    }
}

impl farm::Work for Sharing {
    const NAME: &'static str = "shares";
    type State = State;
    type Part = Vec<Sums>;

    fn samples(&self) -> u64 {
        self.samples
    }

    fn outputs(&self) -> &[Output] {
        &self.outputs
    }

    fn state(&self, sampling: &Sampling) -> State {
        State::new(sampling, &self.outputs)
    }

    fn part(&self, state: &mut State, part: u64) -> Vec<Sums> {
        let mut sums = vec![Sums::new(state.drawn.len() - 2); self.outputs.len()];
        for (first, count) in blocks(part, self.samples) {
            state.run(first, count);
            for (place, (sums, shift)) in sums.iter_mut().zip(&self.shifts).enumerate() {
                state.add(place, *shift, sums);
            }
        }
        sums
    }
}
