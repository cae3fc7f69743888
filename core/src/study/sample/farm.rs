//! Parts of a question about samples: done here by threads, or elsewhere, asked and answered as text.

use super::definition::Sampling;
use super::engine::PART;
use super::pass::Passing;
use super::shares::Sharing;
use crate::error::{Error, Result};
use crate::study::output::Output;
use crate::study::stretch::within;
use crate::study::workers::Workers;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// Has parts of a question answered elsewhere, such as on other machines: [`Sampling::sample_on`], [`Sampling::sensitivity_on`].
///
/// # Example
/// ```
/// use swept::study::{Farm, Output, Sampling, Workers};
/// /// Stands for another machine, which has the sampling from its text.
/// struct Other(Sampling);
/// impl Farm for Other {
///     fn farm(&self, request: &str, parts: u64, take: &mut dyn FnMut(&str) -> swept::Result<()>) -> swept::Result<()> {
///         (0..parts).try_for_each(|part| take(&self.0.answer(request, (part, part + 1), &Workers::new(1))?))
///     }
/// }
/// let text = r#"{"readings": {"bore": {"normal": {"mean": "86 mm", "deviation": "0.01 mm"}}}, "fixed": {"stroke": "86 mm"}}"#;
/// let (here, other) = (Sampling::parse(text)?, Other(Sampling::parse(text)?));
/// let (outputs, workers) = ([Output::SweptVolume], Workers::new(1));
/// let found = here.sample_on(150_000, &outputs, &[0.5], &other, &workers)?;
/// assert_eq!(found, here.sample(150_000, &outputs, &[0.5], &workers)?);
/// # Ok::<(), swept::Error>(())
/// ```
pub trait Farm {
    /// Has parts 0 to before `parts` of a request answered by [`Sampling::answer`] of the same sampling, in ranges that follow one another, and hands the answers
    /// to `take` in the order of the ranges. Who answers what, when, and how often until there is an answer, changes nothing.
    ///
    /// # Errors
    /// Those of `take`; [`Error::Stopped`] where there will be no answer.
    fn farm(&self, request: &str, parts: u64, take: &mut dyn FnMut(&str) -> Result<()>) -> Result<()>;
}

/// Who does the parts of a question.
#[derive(Clone, Copy)]
pub(super) struct Hands<'h> {
    /// What is done here.
    pub(super) workers: &'h Workers<'h>,
    /// Who does the parts, where they are not done here.
    pub(super) farm: Option<&'h dyn Farm>,
}

/// A pass over samples in parts of [`PART`], as it crosses.
pub(super) trait Work: Serialize + DeserializeOwned + Sync {
    /// How it is called in a request.
    const NAME: &'static str;
    /// What a thread keeps from part to part.
    type State;
    /// What one part comes to.
    type Part: Serialize + DeserializeOwned + Send;
    fn samples(&self) -> u64;
    fn outputs(&self) -> &[Output];
    fn state(&self, sampling: &Sampling) -> Self::State;
    fn part(&self, state: &mut Self::State, part: u64) -> Self::Part;

    /// The same for a share of all parts.
    fn share(self, _share: f64) -> Self {
        self
    }

    fn parts(&self) -> u64 {
        self.samples().div_ceil(PART)
    }
}

#[derive(Debug, Serialize)]
struct Request<'r, W> {
    version: &'r str,
    question: &'r str,
    work: &'r W,
}

/// What of a request tells how to read the rest.
#[derive(Debug, Deserialize)]
struct Head {
    version: String,
    question: String,
}

#[derive(Debug, Deserialize)]
struct Body<W> {
    work: W,
}

#[derive(Debug, Serialize, Deserialize)]
struct Answer<P> {
    first: u64,
    parts: Vec<P>,
}

/// Floating-point sums depend on who adds how: both sides must be of one version.
const VERSION: &str = env!("CARGO_PKG_VERSION");

fn unreadable(what: &str, reason: impl core::fmt::Display) -> Error {
    Error::Unreadable { value: what.into(), reason: reason.to_string() }
}

fn written(what: &str, value: &impl Serialize) -> Result<String> {
    serde_json::to_string(value).map_err(|e| unreadable(what, e))
}

fn read<T: DeserializeOwned>(what: &str, text: &str) -> Result<T> {
    serde_json::from_str(text).map_err(|e| unreadable(what, e))
}

const REQUEST: &str = "request of parts of samples";
const ANSWER: &str = "answer of parts of samples";

impl Hands<'_> {
    /// Has all parts done, and merges what they come to in their order.
    pub(super) fn each_part<W: Work>(
        &self,
        sampling: &Sampling,
        work: &W,
        mut merge: impl FnMut(W::Part),
    ) -> Result<()> {
        let Some(farm) = self.farm else {
            return here(sampling, work, (0, work.parts()), self.workers, merge);
        };
        let (parts, mut next) = (work.parts(), 0);
        let request = written(REQUEST, &Request { version: VERSION, question: W::NAME, work })?;
        farm.farm(&request, parts, &mut |answer| {
            let Answer { first, parts: found } = read::<Answer<W::Part>>(ANSWER, answer)?;
            if first != next {
                return Err(unreadable(ANSWER, format!("it begins with part {first}, not {next}")));
            }
            next += found.len() as u64;
            found.into_iter().for_each(&mut merge);
            Ok(())
        })?;
        if next != parts {
            return Err(unreadable(ANSWER, format!("{next} parts of {parts}")));
        }
        Ok(())
    }
}

impl Sampling {
    /// Answers some parts of a question for whom asks it through a [`Farm`], from the first to before the last: text that means nothing but to them.
    ///
    /// # Errors
    /// [`Error::Unreadable`] for what is no request of this version; [`Error::OutOfRange`] for parts that it has not; as [`Sampling::sample`].
    pub fn answer(&self, request: &str, (first, end): (u64, u64), workers: &Workers) -> Result<String> {
        let head: Head = read(REQUEST, request)?;
        if head.version != VERSION {
            let reason =
                format!("it is of version {}, this is {VERSION}: both must be the same", head.version);
            return Err(unreadable(REQUEST, reason));
        }
        match head.question.as_str() {
            Passing::NAME => self.answered::<Passing>(request, (first, end), workers),
            Sharing::NAME => self.answered::<Sharing>(request, (first, end), workers),
            other => Err(unreadable(REQUEST, format!("no question is called {other:?}"))),
        }
    }

    fn answered<W: Work>(
        &self,
        request: &str,
        (first, end): (u64, u64),
        workers: &Workers,
    ) -> Result<String> {
        let Body { work } = read::<Body<W>>(REQUEST, request)?;
        self.check(work.samples(), work.outputs())?;
        let all = work.parts();
        if first > end || end > all {
            let (field, value) = ("parts".into(), format!("{first} to {end}"));
            return Err(Error::OutOfRange { field, value, allowed: format!("from 0 to {all}, rising") });
        }
        let work = work.share((end - first) as f64 / all as f64);
        let mut parts = Vec::new();
        here(self, &work, (first, end), workers, |part| parts.push(part))?;
        written(ANSWER, &Answer { first, parts })
    }
}

/// Parts in rounds, done by threads here, so that a question of any length keeps little.
fn here<W: Work>(
    sampling: &Sampling,
    work: &W,
    (start, end): (u64, u64),
    workers: &Workers,
    mut merge: impl FnMut(W::Part),
) -> Result<()> {
    let mut first = start;
    while first < end {
        let last = end.min(first + ROUND);
        let share = |at: u64| (at - start) as f64 / (end - start) as f64;
        let part = |state: &mut W::State, part: usize| Ok(work.part(state, first + part as u64));
        let done = within(workers, (share(first), share(last)), |workers| {
            workers.each(0..(last - first) as usize, || work.state(sampling), part)
        })?;
        done.into_iter().for_each(&mut merge);
        first = last;
    }
    Ok(())
}

/// Parts of one round.
const ROUND: u64 = 1024;
