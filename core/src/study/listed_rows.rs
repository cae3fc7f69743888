//! What stands in the rows of listed designs, by name.

use super::columns::Listed;
use super::figure::Figure;
use super::named::{Named, not_known};
use super::output::Output;
use super::program::Program;
use super::source::Source;
use super::wide::BLOCK;
use crate::error::{Error, Result};

impl<S: Source + Clone> Listed<S> {
    /// The same asked of so many rows from the first only, numbered from 0 again: for questions a block of rows at a time.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for rows that are not there.
    ///
    /// # Example
    /// ```
    /// use swept::study::{Columns, Figure, Output, Workers};
    /// let (bore, stroke) = ([86.0, 84.0, 82.0], [86.0, 90.0, 82.0]);
    /// let all = Columns::new(&[], vec![(Figure::Bore, &bore[..]), (Figure::Stroke, &stroke[..])], vec![])?;
    /// let last = all.slice(1, 2)?;
    /// assert_eq!((last.rows(), last.output_of(1, Output::BoreStrokeRatio)?), (2, 1.0));
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn slice(&self, first: u64, rows: u64) -> Result<Self> {
        let all = self.rows();
        if first > all || rows > all - first {
            let (field, value) = ("rows".into(), format!("{rows} from row {first} on"));
            return Err(Error::OutOfRange { field, value, allowed: format!("those of the {all} there are") });
        }
        Ok(Self { source: self.source.slice(first, rows), ..self.clone() })
    }
}

impl<S: Source> Listed<S> {
    /// The figures that are known: those that vary in their order, then the fixed ones, with those that have a value where nothing is said.
    pub fn figures(&self) -> Vec<Figure> {
        self.given.figures()
    }

    /// The outputs whose figures are all known.
    pub fn known_outputs(&self) -> Vec<Output> {
        self.given.outputs()
    }

    /// The known figure of a name, else the output.
    ///
    /// # Errors
    /// As [`super::Study::named`].
    pub fn named(&self, name: &str) -> Result<Named> {
        self.given.named(name)
    }

    /// What stands in each row of some, in study units. Figures are as they are given, outputs of refused rows are no number.
    ///
    /// # Errors
    /// As [`Listed::output_of`]; [`Error::MissingKey`] for a figure that is not known.
    pub fn values_of(&self, rows: &[u64], named: Named) -> Result<Vec<f64>> {
        rows.iter().try_for_each(|row| self.check_row(*row))?;
        let mut out = vec![f64::NAN; rows.len()];
        match named {
            Named::Figure(figure) => {
                let known = self.given.fixed(figure).is_some() || self.given.place_of(figure).is_some();
                known.then_some(()).ok_or_else(|| not_known(figure.name()))?;
                self.figure_of(rows, figure, &mut out);
            }
            Named::Output(output) => {
                self.given.check_output(output)?;
                let program = Program::of(output, self.given.shape());
                let mut room = program.room(BLOCK.min(rows.len()));
                for (rows, out) in rows.chunks(BLOCK).zip(out.chunks_mut(BLOCK)) {
                    for figure in program.figures() {
                        if let Some(column) = room.get_mut(figure.index()) {
                            self.figure_of(rows, figure, column);
                        }
                    }
                    program.run_block(&mut room, out);
                    for (row, out) in rows.iter().zip(out) {
                        if self.source.refuse(self.arch, *row, &mut [1]) > 0 {
                            *out = f64::NAN;
                        }
                    }
                }
            }
        }
        Ok(out)
    }

    fn figure_of(&self, rows: &[u64], figure: Figure, to: &mut [f64]) {
        match self.given.place_of(figure) {
            None => to.fill(self.given.fixed(figure).unwrap_or(f64::NAN)),
            Some(place) => {
                for (to, row) in to.chunks_mut(1).zip(rows) {
                    self.source.some(self.arch, place, *row, &[0], to);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::*;

    /// Rows of a block are those rows of the whole, with everything that is told of them.
    fn assert_blocks<S: super::Source + Clone>(all: &Listed<S>, counts: &[u64]) {
        let workers = Workers::new(2);
        let (tally, rows) = (all.count(&workers).unwrap(), all.feasible(&workers).unwrap());
        for count in counts {
            let (mut sum, mut found, mut first) = (Tally::default(), Vec::new(), 0);
            while first < all.rows() {
                let block = all.slice(first, (*count).min(all.rows() - first)).unwrap();
                let own = block.count(&workers).unwrap();
                sum = Tally::sum(&[sum, own]);
                found.extend(block.feasible(&workers).unwrap().iter().map(|row| first + row));
                let last = own.rows - 1;
                assert_eq!(
                    block.design(last).unwrap()[0].1.to_bits(),
                    all.design(first + last).unwrap()[0].1.to_bits()
                );
                let again = block.slice(last, 1).unwrap();
                assert_eq!(
                    again.feasible(&workers).unwrap().len(),
                    usize::from(rows.contains(&(first + last)))
                );
                first += own.rows;
            }
            assert_eq!((sum, &found), (tally, &rows), "{count}");
        }
        assert_eq!(all.slice(all.rows(), 0).unwrap().rows(), 0);
        for (first, rows) in
            [(0, all.rows() + 1), (all.rows(), 1), (all.rows() + 1, 0), (1, u64::MAX), (u64::MAX, 1)]
        {
            assert!(matches!(all.slice(first, rows), Err(crate::Error::OutOfRange { .. })), "{first} {rows}");
        }
    }

    #[test]
    fn blocks_of_rows_are_the_rows() {
        let limit =
            || vec![StudyLimit { output: Output::BoreStrokeRatio, lower: Some(1.0), upper: Some(1.1) }];
        let bore: Vec<f64> = (0..3001)
            .map(|i| if i % 97 == 5 { f64::NAN } else { 80.0 + f64::from(i * 37 % 101) / 10.0 })
            .collect();
        let stroke: Vec<f64> = (0..3001).map(|i| 75.0 + f64::from(i * 53 % 103) / 5.0).collect();
        let columns = vec![(Figure::Bore, &bore[..]), (Figure::Stroke, &stroke[..])];
        assert_blocks(
            &Columns::new(&[(Figure::RodLength, 143.0)], columns, limit()).unwrap(),
            &[1000, 257, 4000],
        );
        let ranges = vec![(Figure::Bore, 80.0, 90.0), (Figure::Stroke, 75.0, 95.0)];
        assert_blocks(&Scatter::new(&[], ranges, 40_000, limit()).unwrap(), &[32_769, 1001]);
    }
}
