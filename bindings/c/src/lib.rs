//! The C ABI of swept: conversions only; every formula is in the crate `swept`.
//!
//! The conventions stand at the head of `include/swept.h`.

mod bolts;
mod build;
mod clearance;
mod compression;
mod cylinder;
mod drill;
mod drill_plan;
mod fits;
mod influence;
mod masses;
mod matching;
mod metrology;
mod press;
mod shaking;
mod shells;
mod status;
mod thermal;
mod threads;
mod unbalance;
mod units;
mod wall;

pub use bolts::*;
pub use build::*;
pub use clearance::*;
pub use compression::*;
pub use cylinder::*;
pub use drill::*;
pub use drill_plan::*;
pub use fits::*;
pub use influence::*;
pub use masses::*;
pub use matching::*;
pub use metrology::*;
pub use press::*;
pub use shaking::*;
pub use shells::*;
pub use status::*;
pub use thermal::*;
pub use threads::*;
pub use unbalance::*;
pub use units::*;
pub use wall::*;
