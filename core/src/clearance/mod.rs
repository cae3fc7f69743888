//! Clearances between parts: bearings, pistons, rings, axial play. Positive is a gap.

pub mod bearing;
pub mod bolt;
pub mod fit;
pub mod iso286;
pub mod matching;
pub mod material;
pub mod press;
pub mod ring;
pub mod selection;
pub mod survey;
pub mod thermal;
pub mod thread;

pub use bearing::{bearing_clearance, crush_interference, shell_offset, shell_wall};
pub use bolt::{
    BoltedJoint, ShankStep, angled_clamp, parts_stiffness, preload_from_stretch, preload_from_turn,
    shank_stiffness, stretch_for, turn_for,
};
pub use fit::{back_clearance, end_float, pin_clearance, piston_to_wall, rod_side_clearance, side_clearance};
pub use iso286::{Deviations, IsoFit, ToleranceClass, standard_tolerance};
pub use material::Material;
pub use press::{PressFit, PressPart, PressStresses};
pub use ring::{RingDuty, RingPosition, end_gap_in_bore, end_gap_rule, ring_wall_pressure};
pub use selection::{BearingSeat, ShellChoice, ShellSelection, select_shells};
pub use survey::DiameterSurvey;
pub use thermal::{heating_for, hot_end_gap};
pub use thread::{BoltFriction, PropertyClass, Thread};
