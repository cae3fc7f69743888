//! Designs whose readings are uncertain: samples of them, the statistics of their outputs, and which reading matters.
//!
//! Sample i under a seed is a function of both alone. It is drawn where it is needed, by whichever thread, and drawn again where that is cheaper than to keep it; so
//! there may be any number of samples, and all answers are the same to the bit for any number of threads and any width of vectors.

mod answer;
mod bits;
mod chain;
mod definition;
mod distribution;
mod draw;
mod engine;
mod farm;
#[cfg(test)]
mod farm_tests;
mod normal;
mod pass;
mod quantile;
mod random;
#[cfg(test)]
mod refused_tests;
mod sensitivity;
mod shares;
#[cfg(test)]
mod shares_tests;
mod statistics;
mod tally;
#[cfg(test)]
mod tests;
mod text;

pub use answer::{Quantile, Sampled, Share, Spread};
pub use definition::Sampling;
pub use distribution::Distribution;
pub use farm::Farm;
pub use sensitivity::{Sensitivity, Variance};
