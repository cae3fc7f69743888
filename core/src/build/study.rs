//! What a document says about one cylinder, as a study takes it.

use super::chain::{Chain, Figure as ChainFigure, PlaceKind};
use super::keys::CylinderKeys;
use super::parse::Build;
use super::readings::Point;
use super::terms::What;
use crate::error::{Error, Result};
use crate::geometry::ring_land_crevice;
use crate::study::{Figure, Output};
use crate::units::{Dimensioned, find};
use serde::Serialize;
use std::collections::BTreeMap;

/// The limits of a document on an output of a study.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BuildStudyLimit {
    /// At least, with its unit.
    pub lower: Option<String>,
    /// At most, with its unit.
    pub upper: Option<String>,
}

/// The fixed figures and the limits of a study of one cylinder of a build document, as texts with their units; [`crate::study::Study::parse`] takes both.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BuildStudy {
    /// By the name of the figure.
    pub fixed: BTreeMap<&'static str, String>,
    /// By the name of the figure: the standard uncertainty of its reading, where the document states one; the readings are independent.
    pub deviations: BTreeMap<&'static str, String>,
    /// By the name of the output: what the document allows, of the cylinder or the engine.
    pub limits: BTreeMap<&'static str, BuildStudyLimit>,
}

impl BuildStudy {
    /// As JSON.
    pub fn to_json(&self) -> String {
        // A tree of strings always serialises.
        serde_json::to_string(self).unwrap_or_default()
    }
}

impl Build {
    /// What the document says about one cylinder, counted from 1: the figures of a design that it gives, measured or specified as they stand there, the bore
    /// as it will be finished, the crevice above the top ring by the document's bore, the closing of the intake by the cam where it is not stated, the shaking forces of
    /// all cylinders over those of one by `engine.throw_angles` and the arrangement; and its limits on what a study can compute.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a cylinder that the engine does not have; those of the formulas, placed in the document.
    ///
    /// # Example
    /// ```
    /// let build = swept::build::Build::parse(r#"
    ///     schema = 1
    ///     engine.cylinders = 4
    ///     block.bore = "86.49 mm +/- 0.01 mm"
    ///     crank.stroke = "3.4 in"
    ///     rods.length = "143 mm"
    ///     limits.rod_ratio = { lower = "1.6", whose = "builder" }
    /// "#)?;
    /// let study = build.study(1)?;
    /// assert_eq!((study.fixed["bore"].as_str(), study.fixed["stroke"].as_str()), ("86.49 mm", "3.4 in"));
    /// assert_eq!(study.deviations["bore"], "0.005 mm"); // half of what is stated, with k = 2
    /// assert_eq!(study.limits["rod_ratio"].lower.as_deref(), Some("1.6"));
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn study(&self, cylinder: usize) -> Result<BuildStudy> {
        let keys = cylinder.checked_sub(1).and_then(|i| self.chain.keys.cylinders.get(i));
        let keys = keys.ok_or_else(|| Error::OutOfRange {
            field: "cylinder".into(),
            value: cylinder.to_string(),
            allowed: format!("1 to {}", self.chain.keys.cylinders.len()),
        })?;
        Ok(BuildStudy {
            fixed: self.chain.study_figures(keys)?,
            deviations: self.chain.study_deviations(keys),
            limits: self.chain.study_limits(cylinder),
        })
    }
}

impl Chain {
    fn study_figures(&self, c: &CylinderKeys) -> Result<BTreeMap<&'static str, String>> {
        let at = Point::new(&self.readings, &self.readings.values);
        let (keys, mut all) = (&self.keys, BTreeMap::new());
        let mut put = |figure: Figure, text: String| {
            all.insert(figure.name(), text);
        };
        for (figure, index) in self.study_readings(c) {
            put(figure, self.as_written(index));
        }
        put(Figure::Cylinders, keys.cylinders.len().to_string());
        if let (Some(diameter), Some(height)) = (c.land_diameter, c.land_height) {
            let volume = ring_land_crevice(c.finish_bore(&at), at.get(diameter), at.get(height))
                .map_err(|e| self.readings.place(e, "pistons.top_land_diameter"))?;
            put(Figure::CreviceVolume, find("cm3")?.write(volume.si()));
        }
        if let Some(parts) = c.masses.reciprocating() {
            put(Figure::ReciprocatingMass, find("g")?.write(at.sum(&parts).si()));
        }
        if let Some([first, second]) = self.order_factors {
            put(Figure::FirstOrderFactor, first.to_string());
            put(Figure::SecondOrderFactor, second.to_string());
        }
        match (keys.intake_closing, &self.valves) {
            (Some(stated), _) => put(Figure::IntakeClosing, self.as_written(stated.index)),
            (None, Some(train)) => {
                let closing = train.closing_after_lowest(&c.cylinder(&at)?, &at)?;
                put(Figure::IntakeClosing, find("deg")?.write(closing.si()));
            }
            (None, None) => {}
        }
        Ok(all)
    }

    /// The figures that are readings of the document, by the index of the reading.
    fn study_readings(&self, c: &CylinderKeys) -> impl Iterator<Item = (Figure, usize)> {
        let lengths = [
            (Figure::Bore, Some(c.planned.unwrap_or(c.bore))),
            (Figure::Stroke, Some(c.stroke)),
            (Figure::RodLength, Some(c.rod)),
            (Figure::PinOffset, c.pin_offset),
            (Figure::DeckHeight, c.deck_height),
            (Figure::CompressionHeight, c.compression_height),
            (Figure::GasketThickness, c.gasket_thickness),
            (Figure::GasketBore, c.gasket_bore),
            (Figure::BoreSpacing, self.keys.spacing),
        ];
        let lengths = lengths.map(|(figure, key)| (figure, key.map(|k| k.index)));
        let volumes = [(Figure::ChamberVolume, c.chamber), (Figure::CrownVolume, c.crown)];
        let volumes = volumes.map(|(figure, key)| (figure, key.map(|k| k.index)));
        let speed = (Figure::Speed, self.keys.speed.map(|k| k.index));
        let all = lengths.into_iter().chain(volumes).chain([speed]);
        all.filter_map(|(figure, index)| Some((figure, index?)))
    }

    /// The standard uncertainties of the readings, in the units that they were written in.
    fn study_deviations(&self, c: &CylinderKeys) -> BTreeMap<&'static str, String> {
        let one = |(figure, index): (Figure, usize)| {
            let (standard, entry) = (self.readings.standard(index), self.readings.entries.get(index)?);
            (standard > 0.0).then(|| (figure.name(), entry.unit.write(standard)))
        };
        self.study_readings(c).filter_map(one).collect()
    }

    /// A reading in the unit that it was written in.
    fn as_written(&self, index: usize) -> String {
        let value = self.readings.values.get(index).copied().unwrap_or(f64::NAN);
        self.readings.entries.get(index).map_or_else(String::new, |entry| entry.unit.write(value))
    }

    /// The limits that somebody set on what a study computes: of the engine or this cylinder, or the first there is where the last cylinder of a bank has none, as of a wall
    /// between bores.
    fn study_limits(&self, cylinder: usize) -> BTreeMap<&'static str, BuildStudyLimit> {
        let here = |f: &&ChainFigure| f.place.kind == PlaceKind::Engine || f.place.index == Some(cylinder);
        let of = |output: Output| {
            let what = what_of(output)?;
            let cold = self.figures.iter().filter(|f| f.what == what && f.state.is_none());
            let limit = cold.clone().find(here).or(cold.into_iter().next())?.limit.as_ref()?;
            let unit = self.unit(&what.term());
            let text = |value: Option<f64>| value.map(|v| unit.write(v));
            let (lower, upper) = (text(limit.limits.lower()), text(limit.limits.upper()));
            (!limit.natural).then_some((output.name(), BuildStudyLimit { lower, upper }))
        };
        Output::ALL.into_iter().filter_map(of).collect()
    }
}

/// The figure of a sheet that an output of a study is, if a sheet has it.
const fn what_of(output: Output) -> Option<What> {
    Some(match output {
        Output::Displacement => What::Displacement,
        Output::SweptVolume => What::SweptVolume,
        Output::ClearanceVolume => What::ClearanceVolume,
        Output::CompressionRatio => What::CompressionRatio,
        Output::TrappedCompressionRatio => What::TrappedCompressionRatio,
        Output::DeckClearance => What::DeckClearance,
        Output::PistonToHead => What::PistonToHead,
        Output::RodRatio => What::RodRatio,
        Output::BoreStrokeRatio => What::BoreStrokeRatio,
        Output::MeanPistonSpeed => What::MeanPistonSpeed,
        Output::PeakAcceleration => What::PeakPistonAcceleration,
        Output::WallBetweenBores => What::WallBetweenBores,
        Output::PeakRodAngle => What::PeakRodAngle,
        // Of these a sheet has no figure, or one of another meaning.
        Output::PeakInertiaForce
        | Output::FirstOrderForce
        | Output::SecondOrderForce
        | Output::IntakePistonToValve
        | Output::IntakePistonToValveAngle
        | Output::ExhaustPistonToValve
        | Output::ExhaustPistonToValveAngle => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::{Named, Study};

    /// Every output of a study of the document's own figures is what the sheet says of the cylinder.
    #[test]
    fn a_study_of_the_document_is_its_sheet() {
        for name in ["inline_four", "vee_six", "inline_six"] {
            let path = format!("{}/../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
            let build = Build::parse(&std::fs::read_to_string(path).unwrap()).unwrap();
            for cylinder in [1, 2, 4] {
                let given = serde_json::to_value(build.study(cylinder).unwrap()).unwrap();
                let json =
                    serde_json::json!({"axes": [], "fixed": given["fixed"], "limits": given["limits"]});
                let study = Study::parse(&json.to_string()).unwrap();
                let mut compared = 0;
                for output in Output::ALL {
                    let Some(figure) = build.chain.figures.iter().find(|f| {
                        Some(f.what) == what_of(output)
                            && f.state.is_none()
                            && f.place.index.is_none_or(|i| i == cylinder)
                    }) else {
                        continue;
                    };
                    // Sums and means over cylinders are the document's; so is a wall between two bores.
                    if matches!(output, Output::Displacement | Output::WallBetweenBores) {
                        continue;
                    }
                    let at = Point::new(&build.chain.readings, &build.chain.readings.values);
                    let want = build.chain.value(figure, &at).unwrap();
                    let found = study.values_of(&[0], Named::Output(output)).unwrap();
                    let unit = find(output.dimension().base_symbol()).unwrap();
                    let si = crate::study::shown(unit, found[0]);
                    assert!(
                        (si - want).abs() <= 1e-9 * want.abs().max(1e-4),
                        "{name} {cylinder} {output:?}: {si} {want}"
                    );
                    compared += 1;
                }
                assert!(compared >= 8, "{name}: {compared}");
                assert!(!study.limits().is_empty(), "{name}");
            }
            assert!(build.study(0).is_err() && build.study(99).is_err());
        }
    }

    /// A document of an engine with pistons and rods all alike, the turning mass of each throw balanced at its pin.
    fn crank(engine: &str, throws: &[f64], rods: usize, more: &str) -> String {
        let angles: Vec<String> = throws.iter().map(|a| format!("\"{a} deg\"")).collect();
        let places: Vec<String> = (0..throws.len()).map(|i| format!("\"{} mm\"", 90 * i)).collect();
        let weight = |(i, angle): (usize, &f64)| {
            let (position, turned, unbalance) = (90 * i, angle + 180.0, 430 * 40 * rods);
            format!(
                "[[balance.counterweights]]\nposition = \"{position} mm\"\nangle = \"{turned} deg\"\nunbalance = \"{unbalance} g mm\"\n"
            )
        };
        let weights: String = throws.iter().enumerate().map(weight).collect();
        format!(
            r#"
            schema = 1
            engine.cylinders = {cylinders}
            engine.speed = "6000 rpm"
            engine.throw_angles = [{angles}]
            {engine}
            block.bore = "86 mm"
            crank.stroke = "80 mm"
            rods = {{ length = "140 mm", big_end_mass = "400 g", small_end_mass = "150 g" }}
            pistons.mass = "380 g"
            pins.mass = "90 g"
            rod_bearings.shell_mass = "30 g"
            balance.pin_positions = [{places}]
            {more}
            {weights}
            "#,
            cylinders = throws.len() * rods,
            angles = angles.join(", "),
            places = places.join(", "),
        )
    }

    /// The shaking forces of a study of the document are those of its sheet, for cylinders that are alike and turning masses that are balanced.
    #[test]
    fn shaking_forces_are_those_of_the_sheet() {
        let (vee, four) = ("engine.arrangement = \"vee\"\n engine.bank_angle", [0.0, 180.0, 180.0, 0.0]);
        let split = "engine.arrangement = \"explicit\"\n engine.bank_angles = [\"30 deg\", \"-30 deg\"]";
        let offset = "pistons.pin_offset = \"0.8 mm\"";
        let documents = [
            crank("", &[0.0], 1, ""),
            crank("", &[0.0, 180.0], 1, ""),
            crank("", &[0.0, 270.0], 1, offset),
            crank("", &[0.0, 240.0, 120.0], 1, ""),
            crank("", &four, 1, offset),
            crank("engine.arrangement = \"flat\"", &[0.0, 180.0], 1, ""),
            crank(&format!("{vee} = \"90 deg\""), &[0.0], 2, ""),
            crank(&format!("{vee} = \"90 deg\""), &[0.0, 90.0, 270.0, 180.0], 2, ""),
            crank(&format!("{vee} = \"60 deg\""), &[0.0, 240.0, 120.0], 2, ""),
            crank(split, &[20.0, -45.0], 1, ""),
        ];
        let mut greatest = [0.0f64; 2];
        for text in documents {
            let build = Build::parse(&text).unwrap();
            let given = serde_json::to_value(build.study(1).unwrap()).unwrap();
            let study = serde_json::json!({"axes": [], "fixed": given["fixed"]});
            let study = Study::parse(&study.to_string()).unwrap();
            let pairs = [
                (What::ShakingForceFirst, Output::FirstOrderForce),
                (What::ShakingForceSecond, Output::SecondOrderForce),
            ];
            let one = 0.62 * 0.04 * (200.0 * core::f64::consts::PI).powi(2);
            for ((what, output), greatest) in pairs.into_iter().zip(&mut greatest) {
                let figure = build.chain.figures.iter().find(|f| f.what == what).unwrap();
                let at = Point::new(&build.chain.readings, &build.chain.readings.values);
                let want = build.chain.value(figure, &at).unwrap();
                let found = study.output_of(0, output).unwrap() / 1000.0; // kg mm/s2 to N
                assert!((found - want).abs() < 1e-10 * one, "{text} {output:?}: {found} {want}");
                assert!(found == 0.0 || found > 1e-3 * one, "{text} {output:?}: {found}");
                *greatest = greatest.max(found / one);
            }
        }
        assert!(greatest[0] > 1.0 && greatest[1] > 1.0, "{greatest:?}");
    }

    /// Without a layout the forces of several cylinders are not known, and say what they need; of one cylinder they are its own.
    #[test]
    fn shaking_forces_need_the_layout() {
        let forces = [Output::FirstOrderForce, Output::SecondOrderForce];
        let study = |text: &str| {
            let given = serde_json::to_value(Build::parse(text).unwrap().study(1).unwrap()).unwrap();
            Study::parse(&serde_json::json!({"axes": [], "fixed": given["fixed"]}).to_string()).unwrap()
        };
        let text = crank("", &[0.0, 180.0], 1, "");
        let (bare, angles) = (text.split("balance.").next().unwrap(), "engine.throw_angles");
        assert!(forces.iter().all(|force| study(bare).outputs().contains(force)));
        let vee = bare.replace(angles, "engine.arrangement = \"vee\"\n engine.throw_angles");
        let none: String = bare.lines().filter(|l| !l.contains(angles)).map(|l| format!("{l}\n")).collect();
        for text in [vee.replace("= 2", "= 4"), none.clone()] {
            for force in forces {
                let error = study(&text).output_of(0, force).unwrap_err().to_string();
                assert!(error.contains("order_factor") && error.contains(angles), "{error}");
            }
        }
        let one = study(&none.replace("= 2", "= 1"));
        assert!(forces.iter().all(|force| one.output_of(0, *force).unwrap() > 0.0));
    }
}
