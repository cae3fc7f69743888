//! The C ABI of swept: conversions only; every formula is in the crate `swept`.
//!
//! The conventions stand at the head of `include/swept.h`.

mod build;
mod clearance;
mod compression;
mod cylinder;
mod metrology;
mod status;
mod units;
mod wall;

pub use build::*;
pub use clearance::*;
pub use compression::*;
pub use cylinder::*;
pub use metrology::*;
pub use status::*;
pub use units::*;
pub use wall::*;
