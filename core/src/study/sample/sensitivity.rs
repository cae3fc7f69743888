//! Which reading the variance of an output comes from: by samples over the whole of the distributions, and by the slopes at the means.

use super::chain::Chain;
use super::definition::Sampling;
use super::draw::{BLOCK, Draws};
use super::engine::{PART, Possible, blocks, rounds};
use super::tally::LANES;
use crate::error::{Error, Result};
use crate::metrology::{Budget, propagate};
use crate::study::figure::Figure;
use crate::study::given::{check_value, turns};
use crate::study::output::Output;
use crate::study::program::Program;
use crate::study::wide::{Work, wide};
use crate::study::workers::Workers;

/// What of the variance of an output comes from one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variance {
    /// The reading.
    pub figure: Figure,
    /// First-order index: the share of the variance that the reading accounts for alone. An estimate: a small one may come out below zero.
    pub first: f64,
    /// Its standard error.
    pub first_error: f64,
    /// Total index: the share that it has a part in, alone or together with others.
    pub total: f64,
    /// Its standard error.
    pub total_error: f64,
}

/// Where the variance of an output comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// The output.
    pub output: Output,
    /// Samples that it could be told of with every reading exchanged.
    pub used: u64,
    /// The others.
    pub refused: u64,
    /// Its variance, in squared study units.
    pub variance: f64,
    /// By reading, in the order of the figures.
    pub readings: Vec<Variance>,
}

/// Sums of d, d^2 and d v, where d are half squared differences of two columns, and v those of both from a shift: what a ratio d / v and its error are made of.
#[derive(Debug, Clone, Copy, Default)]
struct Ratio {
    d: f64,
    dd: f64,
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
#[derive(Debug, Clone, Default)]
struct Sums {
    used: u64,
    /// Of the values of both sets, less the shift.
    value: f64,
    v: f64,
    vv: f64,
    /// By reading: of the second set, and of the first, against the first with that column of the second.
    readings: Vec<[Ratio; 2]>,
}

impl Sums {
    fn new(readings: usize) -> Self {
        Self { readings: vec![Default::default(); readings], ..Self::default() }
    }

    fn append(&mut self, part: &Self) {
        self.used += part.used;
        self.value += part.value;
        self.v += part.v;
        self.vv += part.vv;
        for (all, part) in self.readings.iter_mut().flatten().zip(part.readings.iter().flatten()) {
            all.append(part);
        }
    }

    fn variance(&self) -> f64 {
        let n = self.used as f64;
        let mean = self.value / (2.0 * n);
        self.v / n - mean * mean
    }

    /// Mean of d over the variance, and its standard error by the delta method.
    fn ratio(&self, of: &Ratio) -> (f64, f64) {
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
struct State {
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

impl Sampling {
    /// Which share of the variance of outputs comes from which reading: first-order and total indices, from so many samples drawn twice and once more for each
    /// reading. The readings must be independent. A reading that an output does not take has none of it, exactly.
    ///
    /// With A and B two sets of samples, and AB the first with the column of one reading from the second: first = 1 - mean (f(B) - f(AB))^2 / (2 V),
    /// total = mean (f(A) - f(AB))^2 / (2 V), V the variance of both sets. Standard errors by the delta method.
    ///
    /// # Errors
    /// As [`Sampling::sample`]; [`Error::OutOfRange`] for correlated readings.
    ///
    /// # Source
    /// Saltelli and others, Variance based sensitivity analysis of model output, Comput. Phys. Commun. 181 (2010) 259, table 2: the estimators of Jansen (from
    /// memory).
    pub fn sensitivity(
        &self,
        samples: u64,
        outputs: &[Output],
        workers: &Workers,
    ) -> Result<Vec<Sensitivity>> {
        self.check(samples, outputs)?;
        self.check_independent("shares of the variance")?;
        let shift = |output: &Output| {
            let value = self.study().output_of(0, *output)?;
            Ok(if value.is_finite() { value } else { 0.0 })
        };
        let shifts = outputs.iter().map(shift).collect::<Result<Vec<f64>>>()?;
        let empty = || vec![Sums::new(self.readings().len()); outputs.len()];
        let mut all = empty();
        let work = |state: &mut State, part: u64| {
            let mut sums = empty();
            for (first, count) in blocks(part, samples) {
                state.run(first, count);
                for (place, (sums, shift)) in sums.iter_mut().zip(&shifts).enumerate() {
                    state.add(place, *shift, sums);
                }
            }
            Ok(sums)
        };
        rounds(
            samples.div_ceil(PART),
            workers,
            || State::new(self, outputs),
            work,
            |part: Vec<Sums>| {
                all.iter_mut().zip(&part).for_each(|(all, part)| all.append(part));
            },
        )?;
        let chain = Chain::new(self.study(), outputs);
        let one = |(place, (output, sums)): (usize, (&Output, &Sums))| Sensitivity {
            output: *output,
            used: sums.used,
            refused: samples - sums.used,
            variance: sums.variance(),
            readings: self.variances(sums, |reading| chain.depends(place, reading)),
        };
        Ok(outputs.iter().zip(&all).enumerate().map(one).collect())
    }

    fn variances(&self, sums: &Sums, depends: impl Fn(usize) -> bool) -> Vec<Variance> {
        let one = |(reading, ((figure, _), [first, total])): (usize, (&(Figure, _), &[Ratio; 2]))| {
            if !depends(reading) {
                let figure = *figure;
                return Variance { figure, first: 0.0, first_error: 0.0, total: 0.0, total_error: 0.0 };
            }
            let ((rest, first_error), (total, total_error)) = (sums.ratio(first), sums.ratio(total));
            Variance { figure: *figure, first: 1.0 - rest, first_error, total, total_error }
        };
        self.readings().iter().zip(&sums.readings).enumerate().map(one).collect()
    }

    /// The standard uncertainty of an output by the linear propagation of those of its readings, with the part of each reading, in the order of the figures;
    /// [`Budget::share`] is its share of the variance. The readings must be independent.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that the output needs; [`Error::OutOfRange`] for correlated readings, and where the output is no number at the means.
    ///
    /// # Source
    /// JCGM 100:2008 (GUM), 5.1.2 (from memory), as [`propagate`].
    pub fn linear(&self, output: Output) -> Result<Budget> {
        self.check(1, &[output])?;
        self.check_independent("shares of the variance")?;
        let study = self.study();
        let program = Program::of(output, study.shape());
        let (means, deviations): (Vec<f64>, Vec<f64>) =
            self.readings().iter().map(|(_, d)| d.moments()).unzip();
        let fixed = Figure::ALL.map(|figure| study.fixed(figure).unwrap_or(f64::NAN));
        propagate(&means, &deviations, |values| {
            let mut figures = fixed;
            for ((figure, _), value) in self.readings().iter().zip(values) {
                check_value(*figure, *value)?;
                if let Some(slot) = figures.get_mut(figure.index()) {
                    *slot = *value;
                }
            }
            let [stroke, rod, offset] = [Figure::Stroke, Figure::RodLength, Figure::PinOffset]
                .map(|figure| figures.get(figure.index()).copied().unwrap_or(f64::NAN));
            let value = program.run(&figures);
            // Where one of the three is not given, nothing can be said of them.
            let known = !(stroke + rod + offset).is_nan();
            if value.is_finite() && (!known || turns(stroke, rod, offset)) {
                return Ok(value);
            }
            Err(Error::NotFinite { field: output.name().into(), value: value.to_string() })
        })
    }
}
