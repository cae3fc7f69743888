//! Threads that do the parts of a question, and who is asked whether to go on.

use crate::error::{Error, Result};
use core::cell::{Cell, RefCell};
use core::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{LazyLock, Mutex, PoisonError};
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

/// How many threads the machine runs at once; the system takes longer to tell than a small question takes.
static ALL: LazyLock<usize> = LazyLock::new(|| std::thread::available_parallelism().map_or(1, |n| n.get()));

/// A walk of less time is over before other threads would be of use.
pub(super) const ALONE: Duration = Duration::from_micros(400);

/// Between two questions to the watch, at least; none in tests, which must not hang on how fast the machine is.
const BETWEEN: Duration = Duration::from_millis(if cfg!(test) { 0 } else { 20 });

impl<'w> Workers<'w> {
    /// So many threads; 0 for as many as the machine runs at once.
    pub fn new(threads: usize) -> Self {
        Self { threads: if threads == 0 { *ALL } else { threads }, watch: None }
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
        self.spread(items, state, |state, item, _| work(state, item), Duration::ZERO)
    }

    /// The same for items that take long: the work is to ask [`Pulse::beat`] now and then, every millisecond or so. Other threads begin when this one has worked
    /// for so long: what is done before is done sooner than they are there.
    ///
    /// # Errors
    /// As [`Workers::each`].
    pub(super) fn spread<I, S, T>(
        &self,
        items: impl ExactSizeIterator<Item = I> + Send,
        state: impl Fn() -> S + Sync,
        work: impl Fn(&mut S, I, &Pulse) -> Result<T> + Sync,
        wait: Duration,
    ) -> Result<Vec<T>>
    where
        T: Send,
    {
        let count = items.len();
        let queue = Mutex::new(items.enumerate());
        let (stopped, finished) = (AtomicBool::new(false), AtomicUsize::new(0));
        let run = |watch: Option<Watch>, others: Option<&dyn Fn()>| -> Vec<(usize, Result<T>)> {
            let now = Instant::now();
            let (last, alone) = (Cell::new(now), Cell::new(others.is_some()));
            let others = others.map(|begin| (now + wait, begin));
            let (stopped, finished) = (&stopped, &finished);
            let pulse = Pulse { watch, last, alone, others, count, stopped, finished };
            pulse.call_others(now);
            let take = || queue.lock().unwrap_or_else(PoisonError::into_inner).next();
            let (mut state, mut done) = (state(), Vec::new());
            while !stopped.load(Ordering::Relaxed)
                && let Some((place, item)) = take()
            {
                let result = work(&mut state, item, &pulse).and_then(|result| {
                    finished.fetch_add(1, Ordering::Relaxed);
                    pulse.beat().map(|()| result)
                });
                stopped.fetch_or(result.is_err(), Ordering::Relaxed);
                done.push((place, result));
            }
            done
        };
        let mut all = if self.threads <= 1 || count <= 1 {
            run(self.watch, None)
        } else {
            std::thread::scope(|scope| {
                let others = RefCell::new(Vec::new());
                let begin = || {
                    let more = (1..self.threads.min(count)).map(|_| scope.spawn(|| run(None, None)));
                    others.borrow_mut().extend(more);
                };
                let mut all = run(self.watch, Some(&begin));
                for other in others.take() {
                    match other.join() {
                        Ok(done) => all.extend(done),
                        Err(panic) => std::panic::resume_unwind(panic),
                    }
                }
                all
            })
        };
        all.sort_unstable_by_key(|(place, _)| *place);
        // Where one part fails the others are stopped: its error is the one to tell.
        let fails =
            |result: &Result<T>| matches!(result, Err(error) if !matches!(error, Error::Stopped { .. }));
        if let Some(place) = all.iter().position(|(_, result)| fails(result)) {
            all.drain(..place);
        }
        all.into_iter().map(|(_, result)| result).collect()
    }
}

/// Asked by long work whether to go on.
pub(super) struct Pulse<'p> {
    /// On the thread that asked the question.
    watch: Option<Watch<'p>>,
    last: Cell<Instant>,
    /// Whether other threads are still to begin, from when on, and what begins them.
    alone: Cell<bool>,
    others: Option<(Instant, &'p dyn Fn())>,
    count: usize,
    stopped: &'p AtomicBool,
    finished: &'p AtomicUsize,
}

impl Pulse<'_> {
    /// Begins the other threads where it is time.
    fn call_others(&self, now: Instant) {
        if let Some((_, begin)) = self.others.filter(|(from, _)| self.alone.get() && *from <= now) {
            self.alone.set(false);
            begin();
        }
    }

    /// Whether to go on; asks the watch where some time has passed.
    ///
    /// # Errors
    /// [`Error::Stopped`].
    pub(super) fn beat(&self) -> Result<()> {
        if self.alone.get() {
            self.call_others(Instant::now());
        }
        let done = self.finished.load(Ordering::Relaxed) as f64 / self.count.max(1) as f64;
        let mut goes = !self.stopped.load(Ordering::Relaxed);
        if let Some(watch) = self.watch
            && self.last.get().elapsed() >= BETWEEN
        {
            goes &= watch(done);
            self.last.set(Instant::now());
        }
        if goes { Ok(()) } else { Err(Error::Stopped { done }) }
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
        let long = |(): &mut (), _: usize, pulse: &Pulse| loop {
            pulse.beat()?;
        };
        let stop: Result<Vec<()>> =
            Workers::new(3).watched(&|_| false).spread(0..2usize, || (), long, Duration::ZERO);
        assert_eq!(stop, Err(Error::Stopped { done: 0.0 }));
        let fails =
            |(): &mut (), i: usize| if i >= 10 { Err(Error::Stopped { done: i as f64 }) } else { Ok(i) };
        assert_eq!(Workers::new(1).each(0..100usize, || (), fails), Err(Error::Stopped { done: 10.0 }));
    }
}
