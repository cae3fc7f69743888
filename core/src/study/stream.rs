//! The feasible rows of a grid, some at a time, so that they never have to be kept all at once.

use super::definition::Study;
use super::queue::RowQueue;
use super::rows::RowSet;
use super::workers::Workers;
use crate::error::{Error, Result};
use std::sync::{Mutex, PoisonError};

/// Designs of the first part, so that the first rows come soon where a design takes long.
const FIRST_PART: u128 = 1 << 12;

/// Designs of a part whose feasible rows are kept without counting them before.
const SURE_PART: u128 = 1 << 24;

/// Feasible rows that a longer part may have.
const MOST_KEPT: u128 = 1 << 18;

/// How much longer a part may become after one that has few rows.
const LONGER: u128 = 8;

/// The feasible rows of a study, rising, some at a time. The grid is looked at by parts, each kept until its rows are taken; parts become long where rows are rare.
/// May be used by several threads at once: each row is given once.
#[derive(Debug)]
pub struct RowStream {
    study: Study,
    rows: (u128, u128),
    state: Mutex<State>,
}

#[derive(Debug)]
struct State {
    /// The row that the next part begins with.
    row: u128,
    /// How many rows the next part has.
    part: u128,
    /// Feasible rows found and not taken yet.
    waiting: RowQueue,
    /// The share that was told last: where a part is done again it does not fall.
    told: f64,
}

impl State {
    /// Takes in what a part has; another thread may have been faster.
    fn add(&mut self, (first, end): (u128, u128), part: u128, found: RowSet) {
        if self.row == first {
            let (few, longer) = (found.len() <= MOST_KEPT / LONGER, part.saturating_mul(LONGER));
            self.row = end;
            self.part = if few { longer } else { longer.min(SURE_PART).max(part) };
            self.waiting.push(found);
        }
    }
}

impl RowStream {
    /// The rows of a study, from the first on.
    ///
    /// # Errors
    /// As [`Study::designs`].
    pub fn new(study: Study) -> Result<Self> {
        let rows = study.rows()?;
        let state = State { row: rows.0, part: FIRST_PART, waiting: RowQueue::default(), told: 0.0 };
        Ok(Self { study, rows, state: Mutex::new(state) })
    }

    /// The rows from the first to before the last that the study is asked about.
    pub fn rows(&self) -> (u128, u128) {
        self.rows
    }

    /// The study.
    pub fn study(&self) -> &Study {
        &self.study
    }

    /// The row up to which the grid has been looked at.
    pub fn row(&self) -> u128 {
        self.with(|s| s.row)
    }

    /// The next rows: so many, or fewer where there are no more. The watch is told the share of all designs that is done.
    ///
    /// # Errors
    /// As [`Study::count`]; stopped, the next call goes on with the part that was not finished.
    ///
    /// # Example
    /// ```
    /// use swept::study::{RowStream, Study, Workers};
    /// let study = Study::parse(r#"{
    ///     "axes": [{"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 1001}],
    ///     "fixed": {"stroke": "86 mm"},
    ///     "limits": {"bore_stroke_ratio": {"lower": "1"}}
    /// }"#)?;
    /// let stream = RowStream::new(study)?;
    /// assert_eq!(stream.next(400, &Workers::default())?.iter().next(), Some(600));
    /// assert_eq!(stream.next(400, &Workers::default())?.len(), 1);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn next(&self, most: u128, workers: &Workers) -> Result<RowSet> {
        loop {
            let (row, part, waiting) = self.with(|s| (s.row, s.part, s.waiting.len()));
            if waiting >= most || row >= self.rows.1 {
                return Ok(self.with(|s| s.waiting.take(most)));
            }
            let part = part.min(self.rows.1 - row);
            let end = row + part;
            match self.part(row, end, workers)? {
                Some(found) => self.with(|s| s.add((row, end), part, found)),
                None => self.with(|s| s.part = s.part.min((part / LONGER).max(SURE_PART))),
            }
        }
    }

    /// The feasible rows of a part; nothing where they are too many to be kept.
    fn part(&self, row: u128, end: u128, workers: &Workers) -> Result<Option<RowSet>> {
        let part = self.study.between(row, end)?;
        let all = self.rows.1 - self.rows.0;
        let share = |done: f64| ((row - self.rows.0) as f64 + done * (end - row) as f64) / all as f64;
        let told = |done: f64| {
            self.with(|s| {
                s.told = s.told.max(share(done));
                s.told
            })
        };
        let tell = |done: f64| workers.goes_on(told(done)).is_ok();
        let workers = Workers::new(workers.threads());
        let placed = |error: Error| match error {
            Error::Stopped { .. } => Error::Stopped { done: told(0.0) },
            other => other,
        };
        let (first, second) = (|done: f64| tell(0.5 * done), |done: f64| tell(0.5 + 0.5 * done));
        if end - row > SURE_PART {
            match part.count(&workers.watched(&first)).map_err(placed)?.feasible {
                0 => return Ok(Some(RowSet::default())),
                many if many > MOST_KEPT => return Ok(None),
                _ => {}
            }
        }
        part.feasible(&workers.watched(&second)).map_err(placed).map(Some)
    }

    fn with<T>(&self, f: impl FnOnce(&mut State) -> T) -> T {
        f(&mut self.state.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use core::cell::Cell;

    fn study(bores: usize, strokes: usize, limits: &str) -> Study {
        Study::parse(&format!(
            r#"{{"axes": [
                {{"figure": "rod_length", "values": ["140 mm", "150 mm"]}},
                {{"figure": "bore", "from": "80 mm", "to": "90 mm", "count": {bores}}},
                {{"figure": "stroke", "from": "70 mm", "to": "95 mm", "count": {strokes}}}
            ], "limits": {{{limits}}}}}"#
        ))
        .unwrap()
    }

    #[test]
    fn rows_some_at_a_time_are_all_rows() {
        let study = study(300, 200, r#""swept_volume": {"lower": "400 cm3", "upper": "500 cm3"}"#);
        let workers = Workers::new(2);
        let want: Vec<u128> = study.feasible(&workers).unwrap().iter().collect();
        assert!(want.len() > 10_000);
        for most in [1, 999, 1 << 20] {
            let stream = RowStream::new(study.clone()).unwrap();
            let mut found = Vec::new();
            while found.len() < 5000 || most > 1 {
                let some = stream.next(most, &workers).unwrap();
                if some.is_empty() {
                    break;
                }
                found.extend(some.iter());
            }
            assert!(found == want[..found.len()] && (most == 1 || found.len() == want.len()), "{most}");
        }
        let (part, mut rest) = (study.partition(1, 3).unwrap(), 0);
        let stream = RowStream::new(part.clone()).unwrap();
        while let count @ 1.. = stream.next(100, &workers).unwrap().len() {
            rest += count;
        }
        assert_eq!(rest, part.count(&workers).unwrap().feasible);
    }

    /// Few rows, then more than a long part may keep: parts become long, and short again.
    #[test]
    fn parts_follow_the_rows() {
        let limits = r#""swept_volume": {"upper": "354 cm3"}, "rod_ratio": {"lower": "2"}"#;
        let (study, workers) = (study(40_000, 40_000, limits), Workers::new(2));
        let want = study.count(&workers).unwrap().feasible;
        let stream = RowStream::new(study).unwrap();
        let (mut count, mut last, mut longest) = (0, 0, 0);
        loop {
            let some = stream.next(100_000, &workers).unwrap();
            let rows: Vec<u128> = some.iter().collect();
            assert!(rows.is_sorted() && rows.first().is_none_or(|r| count == 0 || *r > last));
            (count, last) = (count + some.len(), rows.last().copied().unwrap_or(last));
            longest = longest.max(stream.with(|s| s.part));
            assert!(stream.with(|s| s.waiting.len()) <= 100_000 + SURE_PART);
            if rows.is_empty() {
                break;
            }
        }
        assert_eq!(count, want);
        assert!(count > MOST_KEPT && longest > SURE_PART * LONGER, "{count} {longest}");
    }

    #[test]
    fn stopped_it_goes_on_where_it_stood() {
        let study = study(30_000, 3000, r#""swept_volume": {"lower": "499.9 cm3", "upper": "500 cm3"}"#);
        let want: Vec<u128> = study.feasible(&Workers::new(1)).unwrap().iter().collect();
        let stream = RowStream::new(study).unwrap();
        let seen = Cell::new(0.0);
        let watch = |done: f64| {
            let rises = done >= seen.get();
            seen.set(done);
            assert!(rises, "{done}");
            false
        };
        let (mut found, mut stops) = (Vec::new(), 0);
        loop {
            let one = Workers::new(1);
            let workers = if stops < 3 { one.watched(&watch) } else { one };
            match stream.next(u128::MAX, &workers) {
                Ok(rows) if rows.is_empty() => break,
                Ok(rows) => found.extend(rows.iter()),
                Err(error) => {
                    assert!(matches!(error, Error::Stopped { done } if (0.0..1.0).contains(&done)));
                    stops += 1;
                }
            }
        }
        assert_eq!(found, want);
    }
}
