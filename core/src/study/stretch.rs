//! Parts of a question that are done one after another, so that what is told of its progress rises from the first to the last.

use super::workers::Workers;
use crate::error::{Error, Result};

/// Asks what is done between two shares of a whole question: the watch of the question is told the share of the whole.
///
/// # Errors
/// Those of what is asked; stopped, with the share of the whole.
pub(super) fn within<T>(
    workers: &Workers,
    (from, to): (f64, f64),
    ask: impl FnOnce(&Workers) -> Result<T>,
) -> Result<T> {
    let share = |done: f64| from + done.clamp(0.0, 1.0) * (to - from);
    let watch = |done: f64| workers.goes_on(share(done)).is_ok();
    ask(&Workers::new(workers.threads()).watched(&watch)).map_err(|error| match error {
        Error::Stopped { done } => Error::Stopped { done: share(done) },
        other => other,
    })
}
