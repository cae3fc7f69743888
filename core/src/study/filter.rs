//! The feasible rows of a grid with the best of them, from one walk.

use super::best::Best;
use super::boxes::Bounded;
use super::definition::Study;
use super::rows::RowSet;
use super::search::order;
use super::top::BestOf;
use super::wide::BLOCK;
use super::workers::Workers;
use crate::error::Result;

/// Runs of rows that share the output asked for are looked at where they are so many at most; else boxes of the grid.
const MOST_RUNS: u128 = 1 << 16;

impl Study {
    /// The feasible rows, rising, and the best of them: those of [`Study::feasible`] and [`Study::best`], in hardly more time than the first alone.
    ///
    /// Rows that differ only in the innermost axes share every output that none of these changes. So where the output depends on outer axes only, it is
    /// evaluated once for each of their designs that has a feasible row.
    ///
    /// # Errors
    /// As those of the two.
    pub fn filter(&self, best: Option<BestOf>, workers: &Workers) -> Result<(RowSet, Vec<Best>)> {
        let Some(best) = best else { return Ok((self.feasible(workers)?, Vec::new())) };
        self.check_output(best.output)?;
        let rows = self.feasible(workers)?;
        let bounded = Bounded::new(best.output, self.shape());
        let last = self.axes().iter().rposition(|(figure, _)| bounded.depends_on(*figure));
        let run = last.map_or_else(|| self.designs(), |axis| Ok(self.stride(axis)))?;
        let found = if run >= BLOCK as u128 && self.designs()? / run <= MOST_RUNS {
            self.best_runs(&rows, run, best)?
        } else {
            self.best(best.k, best.output, best.goal, workers)?
        };
        Ok((rows, found))
    }

    /// The best of some rows, where so many neighbours share the output.
    fn best_runs(&self, rows: &RowSet, run: u128, BestOf { k, output, goal }: BestOf) -> Result<Vec<Best>> {
        let mut firsts: Vec<u128> = Vec::new();
        for (first, count) in rows.spans() {
            let place = first - first % run;
            let next = firsts.last().map_or(place, |last: &u128| place.max(last + run));
            firsts.extend((next..first + count).step_by(usize::try_from(run).unwrap_or(usize::MAX)));
        }
        let values = self.outputs_of(&firsts, output)?;
        let mut runs: Vec<(u128, f64)> =
            firsts.into_iter().zip(values).filter(|(_, value)| !value.is_nan()).collect();
        let rank = |(first, value): &(u128, f64)| (goal.better(*value), *first);
        runs.sort_unstable_by(|a, b| order(rank(b), rank(a)));
        let mut found = Vec::new();
        for (first, value) in runs {
            if found.len() >= k {
                break;
            }
            let left = k - found.len();
            found.extend(rows.among(first..first + run).take(left).map(|row| Best { row, value }));
        }
        Ok(found)
    }
}
