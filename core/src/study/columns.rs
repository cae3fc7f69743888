//! Designs that are listed row by row, the limits they must hold, and questions asked of all of them.

use super::best::Best;
use super::definition::part_of;
use super::figure::Figure;
use super::given::{Given, StudyLimit};
use super::output::Output;
use super::program::Program;
use super::rows::write_marks;
use super::sieve::{Desk, Found, Sieve};
use super::source::{Slices, Source};
use super::top::{BestOf, Shared, Top};
use super::wide::{Arch, Work, wide};
use super::workers::Workers;
use crate::error::{Error, Result};
use crate::units::{Dimension, Unit};

/// Designs listed row by row, from columns or computed from the row number, and their limits. Rows are numbered from 0; those of a part as in the whole.
#[derive(Debug, Clone)]
pub struct Listed<S> {
    pub(super) given: Given,
    pub(super) source: S,
    limits: Vec<StudyLimit>,
    pub(super) arch: Arch,
}

/// Designs given as columns, one for each varied figure.
pub type Columns<'c> = Listed<Slices<'c>>;

/// How many rows there are, and how many are feasible or refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// All rows.
    pub rows: u64,
    /// Those that hold every limit.
    pub feasible: u64,
    /// Those in which a varied figure is no number or one that it cannot be, or whose rod is too short for its crank to turn. They are not feasible, and count as
    /// excluded by no limit.
    pub refused: u64,
}

impl Tally {
    pub(super) fn sum<'t>(parts: impl IntoIterator<Item = &'t Self>) -> Self {
        parts.into_iter().fold(Self::default(), |all, part| Self {
            rows: all.rows + part.rows,
            feasible: all.feasible + part.feasible,
            refused: all.refused + part.refused,
        })
    }
}

/// What one pass over all rows tells.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Filtered {
    /// How many.
    pub tally: Tally,
    /// The feasible rows, rising.
    pub rows: Vec<u64>,
    /// The best of them, the better first, of equal ones the lower row.
    pub best: Vec<Best>,
}

/// Refuses a unit of another dimension.
pub(super) fn check_unit(name: &str, dimension: Dimension, unit: Option<&Unit>) -> Result<()> {
    match unit {
        Some(unit) if unit.dimension != dimension => Err(Error::WrongDimension {
            value: format!("{name} in {}", unit.symbol),
            found: unit.dimension,
            expected: dimension,
            example: dimension.example(),
        }),
        _ => Ok(()),
    }
}

/// Rows that a thread works on before it takes others.
pub(super) const PART: u64 = 1 << 15;

impl<'c> Columns<'c> {
    /// Fixed figures, columns of equal length, one for each varied figure, and limits; all in study units.
    ///
    /// The values of the columns are not checked here: rows that are no engine are refused one by one, and counted.
    ///
    /// # Errors
    /// As [`super::Study::new`] for figures and limits; [`Error::WrongLength`] for columns of different lengths.
    ///
    /// # Example
    /// ```
    /// use swept::study::{BestOf, Columns, Figure, Goal, Output, StudyLimit, Workers};
    /// let (bore, stroke) = ([86.0, 84.0, f64::NAN, 92.0], [86.0, 90.0, 90.0, 94.0]);
    /// let limit = StudyLimit { output: Output::Displacement, lower: None, upper: Some(2.0e6) };
    /// let columns = vec![(Figure::Bore, &bore[..]), (Figure::Stroke, &stroke[..])];
    /// let study = Columns::new(&[(Figure::Cylinders, 4.0)], columns, vec![limit])?;
    /// let best = BestOf { k: 1, output: Output::Displacement, goal: Goal::Maximise };
    /// let found = study.filter(Some(best), &Workers::default())?;
    /// assert_eq!((found.rows, found.best[0].row, found.tally.refused), (vec![0, 1], 0, 1));
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn new(
        fixed: &[(Figure, f64)],
        columns: Vec<(Figure, &'c [f64])>,
        limits: Vec<StudyLimit>,
    ) -> Result<Self> {
        Self::in_units(fixed, columns.into_iter().map(|(f, c)| (f, None, c)).collect(), limits)
    }

    /// The same with columns that may be in a written unit, such as cm3; they are converted block by block, as [`super::taken`] does it.
    ///
    /// # Errors
    /// As [`Columns::new`]; [`Error::WrongDimension`] for a unit of another dimension than its figure.
    pub fn in_units(
        fixed: &[(Figure, f64)],
        columns: Vec<(Figure, Option<&'static Unit>, &'c [f64])>,
        limits: Vec<StudyLimit>,
    ) -> Result<Self> {
        if let Some((first, rest)) = columns.split_first()
            && let Some(other) = rest.iter().find(|(_, _, c)| c.len() != first.2.len())
        {
            return Err(Error::WrongLength {
                field: other.0.name().into(),
                found: other.2.len(),
                expected: format!("{}, as {}", first.2.len(), first.0.name()),
            });
        }
        for (figure, unit, _) in &columns {
            check_unit(figure.name(), figure.dimension(), *unit)?;
        }
        let given = Given::new(fixed, columns.iter().map(|(f, _, _)| *f).collect())?;
        // Only figures that are all fixed: the others are looked at row by row.
        given.check_turns(|_| None)?;
        let slices: Vec<_> = columns.iter().map(|(_, unit, c)| (*unit, *c)).collect();
        let source = Slices::new(&given, &slices);
        Self::from_source(given, source, limits)
    }

    /// The same with rows numbered from another than 0, for columns that were cut out of longer ones.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where numbers would go beyond 2^63.
    pub fn starting(self, first: u64) -> Result<Self> {
        if first.checked_add(self.rows()).is_none_or(|end| end > 1 << 63) {
            let (field, value) = ("first row".into(), first.to_string());
            return Err(Error::OutOfRange { field, value, allowed: "row numbers up to 2^63".into() });
        }
        Ok(Self { source: self.source.starting(first), ..self })
    }
}

impl<S: Source> Listed<S> {
    pub(super) fn from_source(given: Given, source: S, limits: Vec<StudyLimit>) -> Result<Self> {
        given.check_limits(&limits)?;
        Ok(Self { given, source, limits, arch: Arch::new() })
    }

    /// How many rows.
    pub fn rows(&self) -> u64 {
        let (first, end) = self.source.rows();
        end - first
    }

    /// The number of its first row, and the one before which its rows end: from 0 on, unless it is a part.
    pub fn numbers(&self) -> (u64, u64) {
        self.source.rows()
    }

    /// Part i of n of its rows, counted from 0: each row is in exactly one part, and the parts are in their order and as even as can be. Row numbers stay those of
    /// the whole, so that answers of parts merge to that of the whole: counts add, rows follow one another, the best of all are the best of the best.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for no part of that number.
    ///
    /// # Example
    /// ```
    /// use swept::study::{Figure, Scatter, Workers};
    /// let study = Scatter::new(&[], vec![(Figure::Bore, 80.0, 90.0)], 10, vec![])?;
    /// let part = study.partition(1, 3)?;
    /// assert_eq!((part.numbers(), part.feasible(&Workers::new(1))?), ((4, 7), vec![4, 5, 6]));
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn partition(&self, i: u64, n: u64) -> Result<Self> {
        let (first, end) = self.numbers();
        let (first, end) = part_of((first.into(), end.into()), i, n)?;
        Ok(self.between(first as u64, end as u64))
    }

    /// The same asked of some of its rows only, from one to before another, as far as it has them. Row numbers stay those of the whole.
    pub fn between(&self, first: u64, end: u64) -> Self {
        let (start, last) = self.numbers();
        let (first, end) = (first.clamp(start, last), end.clamp(start, last));
        let source = self.source.between(first, end.max(first));
        Self { given: self.given.clone(), source, limits: self.limits.clone(), arch: self.arch }
    }

    /// The limits.
    pub fn limits(&self) -> &[StudyLimit] {
        &self.limits
    }

    /// The varied figures of a row, in the order in which they were given.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a row that is not there.
    pub fn design(&self, row: u64) -> Result<Vec<(Figure, f64)>> {
        self.check_row(row)?;
        let value = |place: usize| {
            let mut value = [f64::NAN];
            self.source.some(self.arch, place, row, &[0], &mut value);
            let [value] = value;
            value
        };
        Ok(self.given.varied().iter().enumerate().map(|(place, f)| (*f, value(place))).collect())
    }

    /// Refuses a row that is not there.
    pub(super) fn check_row(&self, row: u64) -> Result<()> {
        let (first, end) = self.numbers();
        if (first..end).contains(&row) {
            return Ok(());
        }
        let (field, value) = ("row".into(), row.to_string());
        let from = if first > 0 { format!("from {first} to ") } else { String::new() };
        Err(Error::OutOfRange { field, value, allowed: format!("{from}below {end}") })
    }

    /// An output of one row; no number where the row is refused.
    ///
    /// # Errors
    /// As [`Listed::design`]; [`Error::MissingKey`] for a figure that it needs.
    pub fn output_of(&self, row: u64, output: Output) -> Result<f64> {
        self.given.check_output(output)?;
        let design = self.design(row)?;
        if self.source.refuse(self.arch, row, &mut [1]) > 0 {
            return Ok(f64::NAN);
        }
        let program = Program::of(output, self.given.shape());
        Ok(program.run(&self.given.design(design.into_iter().map(|(_, value)| value))))
    }

    /// How many rows are feasible, and how many are refused: exact.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn count(&self, workers: &Workers) -> Result<Tally> {
        Ok(self.sifted(None, false, workers)?.0)
    }

    /// The feasible rows, rising.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub fn feasible(&self, workers: &Workers) -> Result<Vec<u64>> {
        Ok(self.filter(None, workers)?.rows)
    }

    /// The best feasible rows, the better first, of equal ones the lower row. Rows whose output is no number are left out.
    ///
    /// # Errors
    /// [`Error::MissingKey`] for a figure that the output needs; [`Error::Stopped`].
    pub fn best(&self, best: BestOf, workers: &Workers) -> Result<Vec<Best>> {
        Ok(self.sifted(Some(best), false, workers)?.2)
    }

    /// Count, feasible rows and the best of them in one pass.
    ///
    /// # Errors
    /// As [`Listed::best`].
    pub fn filter(&self, best: Option<BestOf>, workers: &Workers) -> Result<Filtered> {
        let mut rows = Vec::new();
        let slot = &mut rows;
        let (tally, best) = self.filter_to(
            best,
            move |feasible| {
                *slot = vec![0u64; feasible];
                Ok(slot.as_mut_slice())
            },
            workers,
        )?;
        Ok(Filtered { tally, rows, best })
    }

    /// The same with the feasible rows written where the caller says, once it is known how many there are.
    ///
    /// # Errors
    /// As [`Listed::best`]; [`Error::WrongLength`] for a room of another length; the error of the caller.
    pub fn filter_to<'r>(
        &self,
        best: Option<BestOf>,
        room: impl FnOnce(usize) -> Result<&'r mut [u64]>,
        workers: &Workers,
    ) -> Result<(Tally, Vec<Best>)> {
        let (tally, parts, best) = self.sifted(best, true, workers)?;
        let rows = room(tally.feasible as usize)?;
        if rows.len() as u64 != tally.feasible {
            let (field, expected) = ("room for rows".into(), tally.feasible.to_string());
            return Err(Error::WrongLength { field, found: rows.len(), expected });
        }
        let (mut rest, mut slices) = (rows, Vec::with_capacity(parts.len()));
        for part in &parts {
            let Some((own, after)) = rest.split_at_mut_checked(part.tally.feasible as usize) else { break };
            slices.push(own);
            rest = after;
        }
        let (start, _) = self.numbers();
        let write = |(): &mut (), ((place, part), to): ((u64, &Found), &mut [u64])| {
            wide(Rows { first: start + place * PART, bits: &part.bits, to });
            Ok(())
        };
        let places: Vec<_> = (0..).zip(&parts).zip(slices).collect();
        Workers::new(workers.threads()).each(places.into_iter(), || (), write)?;
        Ok((tally, best))
    }

    fn sifted(
        &self,
        best: Option<BestOf>,
        bits: bool,
        workers: &Workers,
    ) -> Result<(Tally, Vec<Found>, Vec<Best>)> {
        if let Some(best) = best {
            self.given.check_output(best.output)?;
        }
        let sieve = Sieve::new(&self.given, &self.limits, best, S::COMPUTED);
        let top = best.map(|b| Top::new(b.k, b.goal));
        let shared = Shared::new(top.clone());
        let (start, end) = self.numbers();
        let parts = workers.each(
            0..self.rows().div_ceil(PART) as usize,
            || Desk::new(&sieve, top.clone()),
            |desk, part| {
                let first = start + part as u64 * PART;
                let found = desk.sift(&self.source, self.arch, (first, (first + PART).min(end)), bits);
                shared.take(&mut desk.top);
                Ok(found)
            },
        )?;
        let tally = Tally::sum(parts.iter().map(|part| &part.tally));
        Ok((tally, parts, shared.best()))
    }
}

/// Writes the rows whose bits are set, from a first on.
struct Rows<'r> {
    first: u64,
    bits: &'r [u64],
    to: &'r mut [u64],
}

impl Work for Rows<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        write_marks(self.first, self.bits, self.to);
    }
}
