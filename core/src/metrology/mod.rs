//! Readings with their uncertainty, uncertainty budgets, and conformity with limits.

pub mod budget;
pub mod conformity;
pub mod reading;
pub mod stack;

pub use budget::{
    Budget, TypeA, correlation_of_means, coverage_factor, effective_degrees_of_freedom, propagate,
    propagate_correlated, type_a,
};
pub use conformity::{Limits, Verdict, conformance_probability, guard_band, verdict};
pub use reading::{RawReading, Reading};
pub use stack::{Distribution, Sampled, Stack, Tolerance, sample, stack};
