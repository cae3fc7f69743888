//! Studies: designs described by axes, the limits they must hold, and questions asked of all of them.
//!
//! A grid is described, never stored. Its designs are numbered from 0, the last axis fastest. Every output is one of the library's own
//! formulas over a block of designs; a design is feasible where every limited output is a number inside its limits.
//!
//! # How it is exact
//! A test stands at the outermost axis where all that it needs is known. For what is not known yet, an output of a declared direction in each
//! figure takes its least and greatest value at two corners of the designs left; where the limits and these, widened by far more than rounding can move
//! them, leave no doubt, all of them are refused or accepted at once. Where doubt remains the designs themselves are evaluated. So every answer is
//! that of evaluating every design.
//!
//! Lengths are kept in mm, volumes in mm3 and so on, angles in degrees, so that figures written in mm or degrees are not changed by a conversion; the formulas are the same in any
//! coherent units.

mod axis;
mod batch;
mod best;
mod boxes;
mod columns;
mod definition;
mod dense;
mod edge;
mod figure;
mod filter;
mod given;
mod keep;
mod layout;
#[cfg(test)]
mod listed_parts_tests;
mod listed_rows;
#[cfg(test)]
mod listed_tests;
mod listed_text;
#[cfg(test)]
mod listed_units_tests;
mod named;
mod nearest;
mod orders;
mod output;
mod pareto;
mod plan;
mod program;
mod questions;
mod queue;
mod rows;
mod sample;
mod scatter;
mod search;
mod sieve;
mod source;
mod stage;
mod stream;
mod stretch;
#[cfg(test)]
mod tests;
mod text;
mod top;
mod valve_given;
mod valves;
mod walk;
mod wide;
mod workers;

pub use axis::Axis;
pub use best::{Best, Goal, best_of};
pub use columns::{Columns, Filtered, Listed, Tally};
pub use definition::Study;
pub use dense::{Copying, PlainCopies};
pub use figure::{Figure, shown, si, taken};
pub use given::StudyLimit;
pub use named::Named;
pub use orders::order_factors;
pub use output::Output;
pub use pareto::{Efficient, efficient_of};
pub use questions::{Count, Excluded};
pub use rows::RowSet;
pub use sample::{Distribution, Farm, Quantile, Sampled, Sampling, Sensitivity, Share, Spread, Variance};
pub use scatter::Scatter;
pub use stream::RowStream;
pub use text::{read, shown_unit};
pub use top::BestOf;
pub use valve_given::valve_columns;
pub use valves::{CrankColumns, LeastColumns, ValveColumns, valve_clearances};
pub use workers::{Watch, Workers};
