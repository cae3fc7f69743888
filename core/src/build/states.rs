//! States of temperature: what the parts are made of, how warm they are, and how a reading grows with its part.

use super::document::{Document, Limit as LimitText, Text};
use super::parts::{self, Part};
use super::readings::{Allowed, Key, Point, Readings};
use super::sections::State;
use crate::clearance::material::Material;
use crate::clearance::thermal::REFERENCE_KELVIN;
use crate::error::{Error, Result};
use crate::units::{
    Dimension, Dimensioned, Ratio, TemperatureCoefficient, ThermodynamicTemperature, quantity_of,
};
use std::collections::BTreeMap;

/// Expanded uncertainty (k = 2) of a handbook's coefficient, relative: handbooks scatter by about 5 % (common practice, no source).
const SCATTER: f64 = 0.05;

/// How a part grows.
#[derive(Debug, Clone, Copy)]
pub(super) enum Expansion {
    /// By a material's data, times a factor of one with the scatter of the handbooks.
    Of(Material, Key<Ratio>),
    /// By a coefficient of the document's own, from the reference temperature.
    Own(Key<TemperatureCoefficient>),
}

/// One state: its name, the temperature of each part where given, its limits.
#[derive(Debug)]
pub(super) struct StateKeys {
    pub(super) name: String,
    pub(super) temperatures: Vec<Option<Key<ThermodynamicTemperature>>>,
    pub(super) limits: BTreeMap<String, LimitText>,
}

/// What the parts are made of, and the states.
#[derive(Debug, Default)]
pub(super) struct Thermal {
    /// The temperature of measurement, K.
    measured_at: f64,
    pub(super) expansions: Vec<Option<Expansion>>,
    pub(super) states: Vec<StateKeys>,
}

impl Thermal {
    /// Takes materials and states in.
    pub(super) fn read(doc: &Document, r: &mut Readings) -> Result<Self> {
        let m = &doc.materials;
        let measured_at = match &m.measured_at {
            None => REFERENCE_KELVIN,
            Some(text) => {
                let read = quantity_of(&text.0, Dimension::Temperature);
                read.map_err(|e| r.place(e, "materials.measured_at"))?.0
            }
        };
        let mut of = |name: &str, text: &Option<Text>| expansion(r, &format!("materials.{name}"), text);
        let block = of("block", &m.block)?;
        let bores = of("bores", &m.bores)?.or(block);
        let housings = of("main_housings", &m.main_housings)?.or(block);
        let (crank, rods) = (of("crank", &m.crank)?, of("rods", &m.rods)?);
        let (shells, pistons) = (of("shells", &m.shells)?, of("pistons", &m.pistons)?);
        let (pins, rings) = (of("pins", &m.pins)?, of("rings", &m.rings)?);
        let mut expansions =
            vec![block, bores, housings, crank, rods, shells, pistons, pistons, pins, rings, rings];
        for (i, fit) in doc.press_fits.iter().enumerate() {
            let field = format!("press_fits[{}]", i + 1);
            for (name, material) in [("inner", &fit.inner_material), ("outer", &fit.outer_material)] {
                let text = Some(Text(material.clone()));
                expansions.push(expansion(r, &format!("{field}.{name}_material"), &text)?);
            }
        }
        let mut thermal = Self { measured_at, expansions, states: Vec::new() };
        // In the order of the document.
        let mut states: Vec<(&String, &State)> = doc.states.iter().collect();
        states.sort_by_key(|(name, _)| r.lines.of(&format!("states.{name}")));
        for (name, state) in states {
            let keys = thermal.state(name, state, doc, r)?;
            thermal.states.push(keys);
        }
        thermal.check_press_states(doc, r)?;
        Ok(thermal)
    }

    /// One state, its temperatures checked against the data of the materials.
    fn state(&self, name: &str, state: &State, doc: &Document, r: &mut Readings) -> Result<StateKeys> {
        let field = format!("states.{name}");
        if name == "cold" || name.trim().is_empty() {
            let error = Error::OutOfRange {
                field: "the name of a state".into(),
                value: name.into(),
                allowed: "a name of its own; cold is the state of measurement, materials.measured_at".into(),
            };
            return Err(r.place(error, &field));
        }
        let mut of =
            |name: &str, text: &Option<Text>| r.maybe(&format!("{field}.{name}"), text, Allowed::Positive);
        let block = of("block", &state.block)?;
        let crank = of("crank", &state.crank)?;
        let top = of("top_rings", &state.top_rings)?;
        let mut temperatures: Vec<Option<Key<ThermodynamicTemperature>>> = vec![
            block,
            of("bores", &state.bores)?.or(block),
            of("main_housings", &state.main_housings)?.or(block),
            crank,
            of("rods", &state.rods)?,
            of("shells", &state.shells)?.or(crank),
            of("crowns", &state.crowns)?,
            of("skirts", &state.skirts)?,
            of("pins", &state.pins)?,
            top,
            of("second_rings", &state.second_rings)?.or(top),
        ];
        for (i, fit) in doc.press_fits.iter().enumerate() {
            let field = format!("press_fits[{}].states.{name}", i + 1);
            match fit.states.get(name) {
                None => temperatures.extend([None, None]),
                Some(own) => {
                    for (part, text) in [("inner", &own.inner), ("outer", &own.outer)] {
                        temperatures.push(Some(r.one(
                            &format!("{field}.{part}"),
                            text,
                            Allowed::Positive,
                        )?));
                    }
                }
            }
        }
        for (part, key) in temperatures.iter().enumerate() {
            if let (Some(key), Some(Some(Expansion::Of(material, _)))) = (key, self.expansions.get(part)) {
                self.check(*material, *key, r)?;
            }
        }
        Ok(StateKeys { name: name.into(), temperatures, limits: state.limits.clone() })
    }

    /// Refuses a temperature, of the state or of measurement, that the material has no data for.
    fn check(&self, material: Material, key: Key<ThermodynamicTemperature>, r: &Readings) -> Result<()> {
        let field = r.entries.get(key.index).map_or(String::new(), |e| e.field.clone());
        let at = r.values.get(key.index).copied().unwrap_or(f64::NAN);
        for (kelvin, field) in [(at, field.as_str()), (self.measured_at, "materials.measured_at")] {
            let temperature = ThermodynamicTemperature::from_si(kelvin);
            material.mean_coefficient(temperature).map_err(|e| r.place(e, field))?;
        }
        Ok(())
    }

    /// Refuses the state of a press fit that the engine does not have.
    fn check_press_states(&self, doc: &Document, r: &Readings) -> Result<()> {
        for (i, fit) in doc.press_fits.iter().enumerate() {
            if let Some(name) = fit.states.keys().find(|n| !doc.states.contains_key(*n)) {
                let field = format!("press_fits[{}].states.{name}", i + 1);
                let known: Vec<&str> = doc.states.keys().map(String::as_str).collect();
                let remedy = match known.is_empty() {
                    true => format!("there are no states; name it in a table [states.{name}]"),
                    false => format!("no such state; known are {}", known.join(", ")),
                };
                return Err(r.place(Error::UnknownKey { field: field.clone(), remedy }, &field));
            }
        }
        Ok(())
    }

    /// The temperature of measurement, K.
    pub(super) fn measured_at(&self) -> f64 {
        self.measured_at
    }

    /// What a state lacks to grow these parts, in words; empty where it lacks nothing.
    pub(super) fn lacks(&self, state: &StateKeys, needed: impl Iterator<Item = Part>) -> Vec<String> {
        let mut missing = Vec::new();
        for part in needed {
            let (temperature, material) = parts::names(part);
            if state.temperatures.get(part).is_none_or(Option::is_none) {
                missing.push(format!("states.{}.{temperature}", state.name));
            }
            if self.expansions.get(part).is_none_or(Option::is_none) {
                missing.push(format!("materials.{material}"));
            }
        }
        missing.dedup();
        missing
    }

    /// How a length of a part grows from the temperature of measurement to that of a state, `raw` finding the value of a reading.
    ///
    /// NaN outside the material's data: the figure is refused there.
    pub(super) fn growth(&self, state: usize, part: Part, raw: impl Fn(usize) -> f64) -> f64 {
        let temperature = self.states.get(state).and_then(|s| s.temperatures.get(part).copied().flatten());
        let expansion = self.expansions.get(part).copied().flatten();
        let (Some(temperature), Some(expansion)) = (temperature, expansion) else {
            return f64::NAN;
        };
        let strain = |kelvin: f64| match expansion {
            Expansion::Of(material, factor) => {
                let strain = material.thermal_strain(ThermodynamicTemperature::from_si(kelvin));
                strain.map_or(f64::NAN, |e| e.si() * raw(factor.index))
            }
            Expansion::Own(coefficient) => raw(coefficient.index) * (kelvin - REFERENCE_KELVIN),
        };
        (1.0 + strain(raw(temperature.index))) / (1.0 + strain(self.measured_at))
    }
}

impl Thermal {
    /// The coefficient of expansion of a part in the lowest range of its material's data, which is the least: heating computed
    /// with it errs to the warm side.
    pub(super) fn expansion(
        &self,
        part: Part,
    ) -> impl Fn(&Point<'_>) -> Result<TemperatureCoefficient> + Send + Sync + use<> {
        let expansion = self.expansions.get(part).copied().flatten();
        move |at| match expansion {
            Some(Expansion::Of(material, factor)) => {
                let reference = ThermodynamicTemperature::from_si(REFERENCE_KELVIN);
                Ok(material.mean_coefficient(reference)? * at.get(factor).si())
            }
            Some(Expansion::Own(coefficient)) => Ok(at.get(coefficient)),
            None => Ok(TemperatureCoefficient::from_si(f64::NAN)),
        }
    }
}

/// The refusal of a material, with what else may stand there.
fn or_a_coefficient(error: Error) -> Error {
    match error {
        Error::OutOfRange { field, value, allowed } => Error::OutOfRange {
            field,
            value,
            allowed: format!("{allowed}, or a coefficient such as 11.5 um/m/K"),
        },
        other => other,
    }
}

/// How a part grows, from its entry: a material by name, or a coefficient of its own.
fn expansion(r: &mut Readings, field: &str, text: &Option<Text>) -> Result<Option<Expansion>> {
    let Some(text) = text else { return Ok(None) };
    if text.0.trim_start().starts_with(|c: char| c.is_ascii_digit() || c == '.') {
        return Ok(Some(Expansion::Own(r.one(field, text, Allowed::Positive)?)));
    }
    let material = Material::named(&text.0).map_err(|e| r.place(or_a_coefficient(e), field))?;
    let factor = r.factor(&format!("{field}, scatter of the data on {}", material.name()), field, SCATTER);
    Ok(Some(Expansion::Of(material, factor)))
}
