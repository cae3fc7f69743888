//! The native module `swept._swept`: it takes Python's quantities to the core and the core's back.
//!
//! The binding converts and never computes; every formula is in the crate `swept`.

mod arrays;
mod bolts;
mod budget;
mod build;
mod clearance;
mod columns;
mod cylinder;
mod drill;
mod errors;
mod farmed;
mod fits;
mod given;
mod influence;
mod layout;
mod masses;
mod matching;
mod metrology;
mod planes;
mod press;
mod records;
mod sampling;
mod shaking;
mod shells;
mod shown;
mod stack;
mod streamed;
mod study;
mod thermal;
mod tolerances;
mod unbalance;
mod units;
mod value;
mod valve_breathing;
mod valve_columns;
mod valve_control;
mod valve_curve;
mod valve_follower;
mod valve_heads;
mod valve_lift;
mod valve_motion;
mod valve_phase;
mod valve_pocket;
mod valve_rocker;
mod valve_spring;
mod valve_timing;
mod valve_wheel;
mod volumes;
mod wall;

use pyo3::prelude::*;

/// Engine geometry and clearances, native part; use the package `swept`.
#[pymodule]
fn _swept(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add("__version__", env!("CARGO_PKG_VERSION"))?;
    m.add("ERROR_KINDS", errors::kinds())?;
    m.add("MOST_BYTES", swept::build::MOST_BYTES)?;
    for register in [
        bolts::register,
        budget::register,
        build::register,
        clearance::register,
        columns::register,
        cylinder::register,
        drill::register,
        fits::register,
        influence::register,
        layout::register,
        masses::register,
        matching::register,
        metrology::register,
        planes::register,
        press::register,
        sampling::register,
        shaking::register,
        shells::register,
        stack::register,
        study::register,
        thermal::register,
        tolerances::register,
        unbalance::register,
        units::register,
        valve_breathing::register,
        valve_columns::register,
        valve_control::register,
        valve_curve::register,
        valve_follower::register,
        valve_heads::register,
        valve_lift::register,
        valve_motion::register,
        valve_phase::register,
        valve_pocket::register,
        valve_rocker::register,
        valve_spring::register,
        valve_timing::register,
        valve_wheel::register,
        volumes::register,
        wall::register,
    ] {
        register(m)?;
    }
    Ok(())
}
