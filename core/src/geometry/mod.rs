//! Cylinders, slider-crank motion, deck stack, volumes and ratios, walls, layouts.

pub mod compression;
pub mod cylinder;
pub mod deck;
pub mod layout;
pub mod motion;
pub mod wall;

pub use compression::{
    ClearanceVolume, chamber_volume_for, clearance_volume_for, compression_ratio, crown_volume_for,
    deck_height_for_ratio, disc_volume, gasket_thickness_for, ring_land_crevice, trapped_compression_ratio,
};
pub use cylinder::Cylinder;
pub use deck::{deck_clearance, deck_height_for, piston_to_head};
pub use layout::{Cycle, Layout, Station, check_firing_order};
pub use wall::{
    ThickCylinder, WallReading, bore_for_wall, thinnest_wall, wall_after_overbore, wall_between_bores,
    wall_hoop_stress,
};
