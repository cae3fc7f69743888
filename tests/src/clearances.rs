//! The vectors of fits, heat, press fits, bolts and shells.

use crate::Vector;
use swept::Result;
use swept::clearance::{
    self, BearingSeat, BoltFriction, BoltedJoint, DiameterSurvey, IsoFit, Material, PressFit, PressPart,
    PropertyClass, ShankStep, Thread, ToleranceClass,
};
use swept::units::{Dimensioned, Length, ThermodynamicTemperature};

impl Vector {
    pub(crate) fn text(&self, name: &str) -> &str {
        self.texts.get(name).map_or("", String::as_str)
    }

    pub(crate) fn list<Q: Dimensioned>(&self, name: &str) -> Vec<Q> {
        self.lists.get(name).into_iter().flatten().map(|si| Q::from_si(*si)).collect()
    }

    /// The result that the vector asks for; NaN, which agrees with nothing, where there is none of that name.
    pub(crate) fn pick(&self, results: &[(&str, f64)]) -> f64 {
        results.iter().find(|(name, _)| *name == self.output).map_or(f64::NAN, |(_, si)| *si)
    }

    fn temperature(&self, name: &str) -> Result<ThermodynamicTemperature> {
        self.q(name)
    }

    fn press(&self) -> Result<PressFit> {
        let (young, poisson) = (self.q("inner_young")?, self.q("inner_poisson")?);
        let inner = PressPart::new(self.q("inner_bore")?, self.q("inner_outside")?, young, poisson)?;
        let (young, poisson) = (self.q("outer_young")?, self.q("outer_poisson")?);
        let outer = PressPart::new(self.q("outer_bore")?, self.q("outer_outside")?, young, poisson)?;
        PressFit::new(inner, outer, self.q("interference")?)
    }

    fn thread(&self) -> Result<Thread> {
        let make = if self.si("unified") == 0.0 { Thread::metric } else { Thread::unified };
        make(self.q("diameter")?, self.q("pitch")?)
    }

    fn friction(&self) -> Result<BoltFriction> {
        BoltFriction::new(self.q("thread_friction")?, self.q("head_friction")?, self.q("head_diameter")?)
    }

    fn shank(&self) -> Vec<ShankStep> {
        let steps = self.list("lengths").into_iter().zip(self.list("areas"));
        steps.map(|(length, area)| ShankStep { length, area }).collect()
    }

    fn joint(&self) -> Result<BoltedJoint> {
        BoltedJoint::new(self.q("preload")?, self.q("bolt_stiffness")?, self.q("parts_stiffness")?)
    }

    fn survey(&self) -> Result<DiameterSurvey> {
        let (angles, diameters) = (self.list("angles"), self.list::<Length>("diameters"));
        let rows = diameters.chunks(angles.len().max(1)).map(<[Length]>::to_vec).collect();
        DiameterSurvey::new(angles, self.list("stations"), rows)
    }

    /// Of the choices, the first.
    fn selection(&self) -> Result<f64> {
        let seats = self.list("housing_bores").into_iter().zip(self.list("journals"));
        let seats: Vec<BearingSeat> =
            seats.map(|(housing_bore, journal)| BearingSeat { housing_bore, journal }).collect();
        let (uppers, lowers) = (self.list("upper_grades"), self.list("lower_grades"));
        let found = clearance::select_shells(&seats, &uppers, &lowers, self.q("target")?)?;
        let first = found.choices.first();
        let of_first = |figure: fn(&clearance::ShellChoice) -> f64| first.map_or(f64::NAN, figure);
        Ok(self.pick(&[
            ("uppers", of_first(|c| c.upper as f64)),
            ("lowers", of_first(|c| c.lower as f64)),
            ("clearances", of_first(|c| c.clearance.si())),
            ("deviation", found.deviation.si()),
            ("spread", found.spread.si()),
        ]))
    }

    pub(crate) fn run_fits(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "pin_clearance" => clearance::pin_clearance(v.q("bore")?, v.q("pin_diameter")?).si(),
            "back_clearance" => {
                let (root, thickness) = (v.q("groove_root_diameter")?, v.q("radial_thickness")?);
                clearance::back_clearance(v.q("bore")?, root, thickness).si()
            }
            "ring_wall_pressure" => {
                clearance::ring_wall_pressure(v.q("tangential_force")?, v.q("bore")?, v.q("width")?)?.si()
            }
            "iso_standard_tolerance" => {
                clearance::standard_tolerance(v.q("nominal")?, v.si("grade") as u8)?.si()
            }
            "iso_deviations" => {
                let found = ToleranceClass::parse(v.text("class_name"))?.deviations(v.q("nominal")?)?;
                v.pick(&[("lower", found.lower.si()), ("upper", found.upper.si())])
            }
            "iso_fit" => {
                let (least, greatest) = IsoFit::parse(v.text("fit"))?.clearance()?;
                v.pick(&[("least", least.si()), ("greatest", greatest.si())])
            }
            "shell_wall" => clearance::shell_wall(v.q("crown_wall")?, v.q("offset")?, v.q("angle")?)?.si(),
            "shell_offset" => clearance::shell_offset(v.q("crown_wall")?, v.q("wall")?, v.q("angle")?)?.si(),
            "crush_interference" => {
                clearance::crush_interference(v.q("upper_crush_height")?, v.q("lower_crush_height")?)?.si()
            }
            "select_shells" => v.selection()?,
            "diameter_survey" => {
                let found = v.survey()?;
                v.pick(&[
                    ("least", found.least().si()),
                    ("greatest", found.greatest().si()),
                    ("mean", found.mean().si()),
                    ("out_of_round", found.out_of_round().si()),
                    ("taper", found.taper().si()),
                ])
            }
            _ => return self.run_heat(),
        }))
    }

    fn run_heat(&self) -> Result<Option<f64>> {
        let v = self;
        let material = || Material::named(v.text("material"));
        Ok(Some(match v.function.as_str() {
            "material_elastic" => {
                let m = material()?;
                v.pick(&[("young", m.young().si()), ("poisson", m.poisson().si())])
            }
            "mean_expansion" => material()?.mean_coefficient(v.temperature("temperature")?)?.si(),
            "mean_expansion_range" => {
                let (least, greatest) = material()?.mean_coefficient_range(v.temperature("temperature")?)?;
                v.pick(&[("least", least.si()), ("greatest", greatest.si())])
            }
            "thermal_strain" => material()?.thermal_strain(v.temperature("temperature")?)?.si(),
            "at_temperature" => {
                let (from, to) = (v.temperature("from")?, v.temperature("to")?);
                material()?.at_temperature(v.q("length")?, from, to)?.si()
            }
            "hot_end_gap" => {
                let (ring, bore) = (v.q("ring_strain")?, v.q("bore_strain")?);
                clearance::hot_end_gap(v.q("gap")?, v.q("bore")?, ring, bore).si()
            }
            "heating_for" => clearance::heating_for(v.q("growth")?, v.q("length")?, v.q("expansion")?)?.si(),
            "press_fit_pressure" => v.press()?.pressure().si(),
            "press_fit_stresses" => {
                let found = v.press()?.stresses()?;
                v.pick(&[
                    ("inner_at_bore", found.inner_at_bore.si()),
                    ("inner_at_contact", found.inner_at_contact.si()),
                    ("outer_at_contact", found.outer_at_contact.si()),
                    ("outer_at_outside", found.outer_at_outside.si()),
                ])
            }
            "press_fit_equivalent_stresses" => {
                let (inner, outer) = v.press()?.equivalent_stresses()?;
                v.pick(&[("inner", inner.si()), ("outer", outer.si())])
            }
            "press_fit_holding_force" => v.press()?.holding_force(v.q("length")?, v.q("friction")?)?.si(),
            "press_fit_holding_torque" => v.press()?.holding_torque(v.q("length")?, v.q("friction")?)?.si(),
            "press_fit_assembly_temperature" => {
                v.press()?.assembly_temperature(v.q("gap")?, v.q("expansion")?)?.si()
            }
            "press_fit_warmed_interference" => {
                let outer = (v.q("outer_expansion")?, v.q("outer_rise")?);
                let inner = (v.q("inner_expansion")?, v.q("inner_rise")?);
                v.press()?.warmed(outer, inner)?.interference().si()
            }
            _ => return self.run_bolts(),
        }))
    }

    fn run_bolts(&self) -> Result<Option<f64>> {
        let v = self;
        Ok(Some(match v.function.as_str() {
            "thread_parse" => {
                let found = Thread::parse(v.text("thread"))?;
                v.pick(&[("diameter", found.diameter().si()), ("pitch", found.pitch().si())])
            }
            "thread_stress_area" => v.thread()?.stress_area().si(),
            "thread_pitch_diameter" => v.thread()?.pitch_diameter().si(),
            "thread_proof_load" => v.thread()?.proof_load(v.q("proof_stress")?)?.si(),
            "thread_torque_for" => v.thread()?.torque_for(v.q("preload")?, &v.friction()?)?.si(),
            "thread_preload_from_torque" => {
                v.thread()?.preload_from_torque(v.q("torque")?, &v.friction()?)?.si()
            }
            "proof_stress" => {
                PropertyClass::named(v.text("property_class"))?.proof_stress(v.q("diameter")?).si()
            }
            "shank_stiffness" => clearance::shank_stiffness(&v.shank(), v.q("young")?)?,
            "stretch_for" => clearance::stretch_for(v.q("preload")?, &v.shank(), v.q("young")?)?.si(),
            "preload_from_stretch" => {
                clearance::preload_from_stretch(v.q("stretch")?, &v.shank(), v.q("young")?)?.si()
            }
            "turn_for" => clearance::turn_for(v.q("stretch")?, v.q("compression")?, v.q("pitch")?)?.si(),
            "preload_from_turn" => {
                let parts = v.inputs.get("parts_stiffness").copied();
                let (angle, pitch) = (v.q("angle")?, v.q("pitch")?);
                clearance::preload_from_turn(angle, pitch, v.si("bolt_stiffness"), parts)?.si()
            }
            "parts_stiffness" => clearance::parts_stiffness(v.q("grip")?, v.q("diameter")?, v.q("young")?)?,
            "bolted_joint_load_share" => v.joint()?.load_share().si(),
            "bolted_joint_bolt_load" => v.joint()?.bolt_load(v.q("outer")?)?.si(),
            "bolted_joint_clamp_load" => v.joint()?.clamp_load(v.q("outer")?)?.si(),
            "bolted_joint_separation_load" => v.joint()?.separation_load().si(),
            "angled_clamp" => {
                let (clamp, sideways) = clearance::angled_clamp(v.q("preload")?, v.q("angle")?)?;
                v.pick(&[("clamp", clamp.si()), ("sideways", sideways.si())])
            }
            _ => return self.run_balance(),
        }))
    }
}
