//! What stands in the rows of listed designs, by name.

use super::columns::Listed;
use super::figure::Figure;
use super::named::{Named, not_known};
use super::output::Output;
use super::program::Program;
use super::source::Source;
use super::wide::BLOCK;
use crate::error::Result;

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
    /// As [`Listed::output_of`]; [`crate::Error::MissingKey`] for a figure that is not known.
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
