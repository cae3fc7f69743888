//! Parts of samples asked and answered as text: to the bit what is done here; answers that are none.

use super::farm::{Farm, Hands};
use super::quantile::Effort;
use super::tests::{BOTH, Found, mixed, stack};
use super::*;
use crate::error::Error;
use crate::study::Workers;
use core::cell::Cell;
use proptest::prelude::*;

/// Another machine: it has the text of the request, and a sampling of its own.
struct Far {
    sampling: Sampling,
    /// Parts that are answered together, in turn.
    together: Vec<u64>,
    requests: Cell<usize>,
}

impl Far {
    fn new(sampling: &Sampling, together: &[u64]) -> Self {
        Self { sampling: sampling.clone(), together: together.to_vec(), requests: Cell::new(0) }
    }
}

impl Farm for Far {
    fn farm(&self, request: &str, parts: u64, take: &mut dyn FnMut(&str) -> Found<()>) -> Found<()> {
        self.requests.set(self.requests.get() + 1);
        let mut first = 0;
        for count in self.together.iter().cycle() {
            let end = parts.min(first + count);
            take(&self.sampling.answer(request, (first, end), &Workers::new(1))?)?;
            first = end;
            if first == parts {
                break;
            }
        }
        Ok(())
    }
}

const QUANTILES: [f64; 6] = [0.5, 0.0, 0.001, 0.975, 1.0, 0.3];

/// The shortest text that reads back as the same number.
fn told(sampling: &Sampling, n: u64, effort: Effort, farm: Option<&dyn Farm>) -> Found<String> {
    let hands = Hands { workers: &Workers::new(2), farm };
    Ok(format!("{:?}", sampling.sample_with(n, &BOTH, &QUANTILES, (effort, hands))?))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn samples_of_any_ranges_are_those_of_one_process(
        n in 1..200_000u64, together in prop::collection::vec(1..4u64, 1..4), seed in 0..1000u64,
        pilot in 1..70_000u64, margin in 0.01..5.0f64, most in 1..2_000_000u64, bent in any::<bool>(),
    ) {
        let sampling = if bent { mixed()? } else { stack(seed)? };
        let effort = Effort { pilot, margin, most, passes: 6 };
        let far = Far::new(&sampling, &together);
        let found = told(&sampling, n, effort, Some(&far))?;
        prop_assert!(far.requests.get() > 0);
        prop_assert_eq!(found, told(&sampling, n, effort, None)?);
    }
}

#[test]
fn shares_of_any_ranges_are_those_of_one_process() -> Found<()> {
    let (sampling, n) = (stack(5)?, 400_000);
    let here = format!("{:?}", sampling.sensitivity(n, &BOTH, &Workers::new(2))?);
    for together in [&[1][..], &[3, 1], &[2], &[100]] {
        let far = Far::new(&sampling, together);
        let found = sampling.sensitivity_on(n, &BOTH, &far, &Workers::new(2))?;
        assert_eq!(format!("{found:?}"), here);
    }
    let few = sampling.sample_on(1000, &BOTH, &[0.5], &Far::new(&sampling, &[1]), &Workers::new(1))?;
    assert_eq!(few, sampling.sample(1000, &BOTH, &[0.5], &Workers::new(1))?);
    Ok(())
}

/// What a farm might do wrong.
enum Wrong {
    Order,
    Missing,
    Twice,
    Text,
}

struct Bad(Far, Wrong);

impl Farm for Bad {
    fn farm(&self, request: &str, parts: u64, take: &mut dyn FnMut(&str) -> Found<()>) -> Found<()> {
        let answer = |first, end| self.0.sampling.answer(request, (first, end), &Workers::new(1));
        match self.1 {
            Wrong::Order => take(&answer(1, parts)?),
            Wrong::Missing => take(&answer(0, 1)?),
            Wrong::Twice => (0..2).try_for_each(|_| take(&answer(0, parts)?)),
            Wrong::Text => take("{\"first\": 0, \"parts\": 7}"),
        }
    }
}

#[test]
fn answers_out_of_order_or_missing_are_refused() -> Found<()> {
    let sampling = stack(2)?;
    for wrong in [Wrong::Order, Wrong::Missing, Wrong::Twice, Wrong::Text] {
        let bad = Bad(Far::new(&sampling, &[1]), wrong);
        let found = sampling.sample_on(200_000, &BOTH, &[0.5], &bad, &Workers::new(1));
        assert!(matches!(found, Err(Error::Unreadable { .. })), "{found:?}");
        let found = sampling.sensitivity_on(200_000, &BOTH, &bad, &Workers::new(1));
        assert!(matches!(found, Err(Error::Unreadable { .. })), "{found:?}");
    }
    Ok(())
}

/// Keeps the request.
struct Spy(Cell<String>);

impl Farm for Spy {
    fn farm(&self, request: &str, _: u64, _: &mut dyn FnMut(&str) -> Found<()>) -> Found<()> {
        self.0.set(request.into());
        Err(Error::Stopped { done: 0.0 })
    }
}

#[test]
fn requests_that_are_none_are_refused() -> Found<()> {
    let sampling = stack(2)?;
    let spy = Spy(Cell::default());
    let stopped = sampling.sample_on(200_000, &BOTH, &[0.5], &spy, &Workers::new(1));
    assert_eq!(stopped, Err(Error::Stopped { done: 0.0 }));
    let request = spy.0.take();
    let ask = |request: &str, range| sampling.answer(request, range, &Workers::new(1));
    assert!(ask(&request, (3, 4)).is_ok() && ask(&request, (4, 4)).is_ok());
    for range in [(2, 1), (0, 5), (5, 5), (u64::MAX, u64::MAX)] {
        assert!(matches!(ask(&request, range), Err(Error::OutOfRange { .. })), "{range:?}");
    }
    let version = env!("CARGO_PKG_VERSION");
    for (from, to) in
        [(version, "0.0.0"), ("\"pass\"", "\"path\""), ("deck_clearance", "deck_clarence"), ("{", "")]
    {
        let other = request.replacen(from, to, 1);
        assert_ne!(other, request);
        assert!(matches!(ask(&other, (0, 1)), Err(Error::Unreadable { .. })), "{other}");
    }
    let none = request.replacen("\"samples\":200000", "\"samples\":0", 1);
    assert!(matches!(ask(&none, (0, 0)), Err(Error::OutOfRange { .. })));
    // A request of outputs that this sampling has not the figures for.
    let other = request.replacen("deck_clearance", "wall_between_bores", 1);
    assert!(ask(&other, (0, 1)).is_err());
    Ok(())
}
