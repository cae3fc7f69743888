//! The native module `swept._swept`: it takes Python's quantities to the core and the core's back.
//!
//! The binding converts and never computes; every formula is in the crate `swept`.

mod bolts;
mod budget;
mod build;
mod clearance;
mod cylinder;
mod errors;
mod fits;
mod given;
mod layout;
mod matching;
mod metrology;
mod press;
mod shells;
mod shown;
mod stack;
mod thermal;
mod tolerances;
mod units;
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
        cylinder::register,
        fits::register,
        layout::register,
        matching::register,
        metrology::register,
        press::register,
        shells::register,
        stack::register,
        thermal::register,
        tolerances::register,
        units::register,
        volumes::register,
        wall::register,
    ] {
        register(m)?;
    }
    Ok(())
}
