//! Engine geometry and clearances: one unit-aware chain from every dimension measured to every
//! clearance, volume and correction that follows, with how sure it is and what to cut next.
#![forbid(unsafe_code)]
// Tests state what must hold by panicking; the library itself never does.
#![cfg_attr(test, allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing))]

pub mod balance;
pub mod build;
pub mod clearance;
pub mod error;
pub mod geometry;
pub mod metrology;
pub mod solve;
pub mod study;
pub mod units;
pub mod valvetrain;

pub use error::{Error, ErrorKind, Result};
