//! Balance: masses and bob weight, shaking forces and moments, unbalance and its correction.

pub mod counterweight;
pub mod drill;
pub mod influence;
pub mod masses;
pub mod shaking;
pub mod share;
pub mod unbalance;

pub use counterweight::CounterweightSector;
pub use masses::{RodMass, bob_weight, reciprocating_mass, rotating_mass, to_lightest};
pub use shaking::{
    Harmonic, RotatingMass, ShakingCylinder, ShakingEngine, acceleration_harmonics, force_of, moment_of,
};
pub use share::{ShareResidual, ThrowPiston, best_share, best_share_along, residual_of_share};
