//! Threads that do the parts of a question, and who is asked whether to go on.

use crate::error::{Error, Result};
use core::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Asked from time to time with the share that is done, from the thread that asked the question; whether to go on.
pub type Watch<'w> = &'w dyn Fn(f64) -> bool;

/// How a question is worked on. The answer is the same, to the bit, for any number of threads.
#[derive(Clone, Copy)]
pub struct Workers<'w> {
    threads: usize,
    watch: Option<Watch<'w>>,
}

impl core::fmt::Debug for Workers<'_> {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("Workers")
            .field("threads", &self.threads)
            .field("watched", &self.watch.is_some())
            .finish()
    }
}

impl Default for Workers<'_> {
    /// As many threads as the machine runs at once.
    fn default() -> Self {
        Self::new(0)
    }
}

/// Between two questions to the watch, at least.
const BETWEEN: Duration = Duration::from_millis(20);

impl<'w> Workers<'w> {
    /// So many threads; 0 for as many as the machine runs at once.
    pub fn new(threads: usize) -> Self {
        let all = || std::thread::available_parallelism().map_or(1, |n| n.get());
        Self { threads: if threads == 0 { all() } else { threads }, watch: None }
    }

    /// The same, watched: a question that is told to stop ends with [`Error::Stopped`].
    pub fn watched(self, watch: Watch<'w>) -> Self {
        Self { watch: Some(watch), ..self }
    }

    /// How many threads.
    pub fn threads(&self) -> usize {
        self.threads
    }

    /// Asks the watch, if there is one.
    ///
    /// # Errors
    /// [`Error::Stopped`] where it says so.
    pub(super) fn goes_on(&self, done: f64) -> Result<()> {
        match self.watch {
            Some(watch) if !watch(done) => Err(Error::Stopped { done }),
            _ => Ok(()),
        }
    }

    /// Does all items, each thread with a state of its own; the results in the order of the items.
    ///
    /// # Errors
    /// [`Error::Stopped`]; the first error of the work, in the order of the items.
    pub(super) fn each<I, S, T>(
        &self,
        items: impl ExactSizeIterator<Item = I> + Send,
        state: impl Fn() -> S + Sync,
        work: impl Fn(&mut S, I) -> Result<T> + Sync,
    ) -> Result<Vec<T>>
    where
        T: Send,
    {
        let count = items.len();
        let queue = Mutex::new(items.enumerate());
        let stopped = AtomicBool::new(false);
        let take = || match stopped.load(Ordering::Relaxed) {
            true => None,
            false => queue.lock().unwrap_or_else(PoisonError::into_inner).next(),
        };
        let run = |mut ask: Option<&mut dyn FnMut(usize) -> Result<()>>| -> Vec<(usize, Result<T>)> {
            let (mut state, mut done) = (state(), Vec::new());
            while let Some((place, item)) = take() {
                let mut result = work(&mut state, item);
                if let (Ok(_), Some(Err(stop))) = (&result, ask.as_mut().map(|ask| ask(place))) {
                    result = Err(stop);
                }
                stopped.fetch_or(result.is_err(), Ordering::Relaxed);
                done.push((place, result));
            }
            done
        };
        let mut last = Instant::now();
        let mut ask = |place: usize| {
            if self.watch.is_none() || last.elapsed() < BETWEEN {
                return Ok(());
            }
            last = Instant::now();
            self.goes_on((place + 1) as f64 / count as f64)
        };
        let mut all = if self.threads <= 1 || count <= 1 {
            run(Some(&mut ask))
        } else {
            std::thread::scope(|scope| {
                let others: Vec<_> =
                    (1..self.threads.min(count)).map(|_| scope.spawn(|| run(None))).collect();
                let mut all = run(Some(&mut ask));
                for other in others {
                    match other.join() {
                        Ok(done) => all.extend(done),
                        Err(panic) => std::panic::resume_unwind(panic),
                    }
                }
                all
            })
        };
        all.sort_unstable_by_key(|(place, _)| *place);
        all.into_iter().map(|(_, result)| result).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_in_the_order_of_the_items() -> Result<()> {
        for threads in [1, 2, 7] {
            let squares = Workers::new(threads).each(0..1000usize, || (), |(), i| Ok(i * i))?;
            assert!(squares.iter().enumerate().all(|(i, square)| *square == i * i) && squares.len() == 1000);
        }
        Ok(())
    }

    #[test]
    fn a_watch_stops_and_the_first_error_is_told() {
        let slow = |(): &mut (), _: usize| {
            std::thread::sleep(Duration::from_millis(5));
            Ok(())
        };
        let stop = Workers::new(2).watched(&|done| done < 0.1).each(0..1000usize, || (), slow);
        assert!(matches!(stop, Err(Error::Stopped { done }) if (0.1..0.5).contains(&done)), "{stop:?}");
        let fails =
            |(): &mut (), i: usize| if i >= 10 { Err(Error::Stopped { done: i as f64 }) } else { Ok(i) };
        assert_eq!(Workers::new(1).each(0..100usize, || (), fails), Err(Error::Stopped { done: 10.0 }));
    }
}
