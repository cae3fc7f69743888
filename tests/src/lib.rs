//! Vectors: one list of inputs and expected results, run through Rust, C and Python.
//!
//! A vector names a function, its inputs in SI by the argument's name, what the source expects, within which tolerance. The three
//! languages must agree with the source within the tolerance, and with each other to the last bit.

mod balance;
mod clearances;
mod valve_parts;
mod valvetrain;

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use swept::Result;
use swept::clearance;
use swept::geometry::{self, ClearanceVolume, Cylinder, ThickCylinder};
use swept::metrology::{Limits, conformance_probability};
use swept::units::{Dimensioned, Length};

/// One check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Vector {
    /// The function, by its name in C without the prefix.
    pub function: String,
    /// Its inputs in SI, by the names that C gives them without the unit.
    pub inputs: BTreeMap<String, f64>,
    /// Its inputs that are texts: a material, a tolerance class, a thread.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub texts: BTreeMap<String, String>,
    /// Its inputs that are lists, in SI.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub lists: BTreeMap<String, Vec<f64>>,
    /// Which result, by C's name without the unit, of a function that has several; of a list, its first.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub output: String,
    /// What the source expects, SI.
    pub expected: f64,
    /// How far off a result may be, relative to what is expected (absolute where that is zero).
    pub tolerance: f64,
    /// Author, title, equation.
    pub source: String,
    /// "found", "memory", "computed" or "common practice".
    pub provenance: String,
}

/// The vectors of a file's text.
///
/// # Errors
/// What is wrong with the JSON.
pub fn read(text: &str) -> serde_json::Result<Vec<Vector>> {
    serde_json::from_str(text)
}

impl Vector {
    /// An input; NaN where it is missing, which every function refuses.
    fn si(&self, name: &str) -> f64 {
        self.inputs.get(name).copied().unwrap_or(f64::NAN)
    }

    fn q<Q: Dimensioned>(&self, name: &str) -> Result<Q> {
        swept::error::finite(name, Q::from_si(self.si(name)))
    }

    fn cylinder(&self) -> Result<Cylinder> {
        Cylinder::new(self.q("bore")?, self.q("stroke")?, self.q("rod_length")?, self.q("pin_offset")?)
    }

    fn volumes(&self) -> Result<ClearanceVolume> {
        Ok(ClearanceVolume {
            chamber: self.q("chamber")?,
            gasket: self.q("gasket")?,
            deck: self.q("deck")?,
            crown: self.q("crown")?,
            crevice: self.q("crevice")?,
        })
    }

    fn wall(&self) -> Result<ThickCylinder> {
        ThickCylinder::new(self.q("inner_radius")?, self.q("outer_radius")?)
    }

    /// The result in Rust, SI; none for a function that the vectors do not know.
    ///
    /// # Errors
    /// What the function refuses.
    pub fn run(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "cylinder_swept_volume" => v.cylinder()?.swept_volume().si(),
            "cylinder_travel" => v.cylinder()?.travel().si(),
            "cylinder_rod_ratio" => v.cylinder()?.rod_ratio().si(),
            "cylinder_top_dead_centre" => v.cylinder()?.top_dead_centre().si(),
            "cylinder_bottom_dead_centre" => v.cylinder()?.bottom_dead_centre().si(),
            "cylinder_mean_piston_speed" => v.cylinder()?.mean_piston_speed(v.q("speed")?).si(),
            "cylinder_peak_acceleration" => v.cylinder()?.peak_acceleration(v.q("speed")?).si(),
            "cylinder_piston_position" => v.cylinder()?.piston_position(v.q("angle")?).si(),
            "cylinder_piston_velocity" => v.cylinder()?.piston_velocity(v.q("angle")?, v.q("speed")?).si(),
            "cylinder_piston_acceleration" => {
                v.cylinder()?.piston_acceleration(v.q("angle")?, v.q("speed")?).si()
            }
            "deck_clearance" => {
                geometry::deck_clearance(&v.cylinder()?, v.q("deck_height")?, v.q("compression_height")?).si()
            }
            "disc_volume" => geometry::disc_volume(v.q("diameter")?, v.q("height")?).si(),
            "clearance_volume_total" => v.volumes()?.total()?.si(),
            "compression_ratio" => geometry::compression_ratio(v.q("swept")?, v.q("clearance")?)?.si(),
            "clearance_volume_for" => geometry::clearance_volume_for(v.q("ratio")?, v.q("swept")?)?.si(),
            "trapped_compression_ratio" => {
                let (clearance, closing) = (v.q("clearance")?, v.q("intake_closing")?);
                geometry::trapped_compression_ratio(&v.cylinder()?, clearance, closing)?.si()
            }
            "thick_cylinder_hoop_stress" => {
                v.wall()?.hoop_stress(v.q("inner_pressure")?, v.q("outer_pressure")?, v.q("radius")?)?.si()
            }
            "thick_cylinder_radial_stress" => {
                v.wall()?.radial_stress(v.q("inner_pressure")?, v.q("outer_pressure")?, v.q("radius")?)?.si()
            }
            "thick_cylinder_axial_stress" => {
                v.wall()?.axial_stress_closed(v.q("inner_pressure")?, v.q("outer_pressure")?)?.si()
            }
            "wall_hoop_stress" => {
                geometry::wall_hoop_stress(v.q("bore")?, v.q("wall")?, v.q("pressure")?)?.si()
            }
            "bearing_clearance" => {
                let housing: Length = v.q("housing_bore")?;
                let (upper, lower) = (v.q("upper_shell")?, v.q("lower_shell")?);
                clearance::bearing_clearance(housing, upper, lower, v.q("journal")?).si()
            }
            "end_gap_in_bore" => {
                clearance::end_gap_in_bore(v.q("gap")?, v.q("gauge_bore")?, v.q("bore")?).si()
            }
            "conformance_probability" => {
                let given = |name: &str| v.inputs.get(name).copied();
                let limits = Limits::new(given("lower"), given("upper"))?;
                conformance_probability(v.si("value"), v.si("standard_uncertainty"), &limits)
            }
            _ => return v.run_fits(),
        }))
    }
}
