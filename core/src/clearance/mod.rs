//! Clearances between parts: bearings, pistons, rings, axial play. Positive is a gap.

pub mod bearing;
pub mod bolt;
pub mod fit;
pub mod iso286;
pub mod press;
pub mod ring;
pub mod selection;
pub mod thermal;

pub use bearing::bearing_clearance;
pub use bolt::{
    BoltFriction, BoltedJoint, PropertyClass, ShankStep, Thread, angled_clamp, preload_from_stretch,
    stretch_for, turn_for,
};
pub use fit::{end_float, piston_to_wall, rod_side_clearance, side_clearance};
pub use iso286::{Deviations, IsoFit, ToleranceClass, standard_tolerance};
pub use press::{PressFit, PressPart, PressStresses};
pub use ring::{RingDuty, RingPosition, end_gap_in_bore, end_gap_rule};
pub use selection::{BearingSeat, ShellChoice, ShellSelection, select_shells};
pub use thermal::{Material, hot_end_gap};
