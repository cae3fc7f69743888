//! The figures of press fits, and of holes and shafts against a fit by ISO 286.

use super::chain::{Chain, Place, PlaceKind};
use super::document::{Document, Text};
use super::operation::{Operation, machining};
use super::parts;
use super::readings::{Allowed, Key, Point};
use super::sections::{Fit, PressFit as PressDoc};
use super::terms::What;
use crate::clearance::material::Material;
use crate::clearance::{IsoFit, PressFit, PressPart, ToleranceClass, pin_clearance};
use crate::error::Result;
use crate::units::{Dimensioned, Length, Pressure, Ratio};

/// The readings of one press fit.
#[derive(Clone, Copy)]
struct PressKeys {
    bore: Key<Length>,
    outside: Key<Length>,
    inner_bore: Option<Key<Length>>,
    outer_outside: Key<Length>,
    inner: Material,
    outer: Material,
}

impl PressKeys {
    /// Below zero the parts are loose.
    fn interference(&self, at: &Point<'_>) -> Length {
        -pin_clearance(at.get(self.bore), at.get(self.outside))
    }

    /// The fit; of loose parts with no interference, so that nothing presses.
    fn fit(&self, at: &Point<'_>) -> Result<PressFit> {
        let none = Length::from_si(0.0);
        let part =
            |inner: Length, outer: Length, m: Material| PressPart::new(inner, outer, m.young(), m.poisson());
        let inner = part(self.inner_bore.map_or(none, |k| at.get(k)), at.get(self.outside), self.inner);
        let outer = part(at.get(self.bore), at.get(self.outer_outside), self.outer);
        PressFit::new(inner?, outer?, self.interference(at).max(none))
    }
}

/// Boiling point of nitrogen at normal pressure, K. NIST Chemistry WebBook, 77.36 K (from memory).
const NITROGEN: f64 = 77.4;

impl Chain {
    /// All figures of all press fits.
    pub(super) fn add_press_fits(&mut self, doc: &Document) -> Result<()> {
        for (i, fit) in doc.press_fits.iter().enumerate() {
            let field = format!("press_fits[{}]", i + 1);
            let first = self.figures.len();
            self.add_press_fit(i, fit, &field)?;
            self.set_limits_from(first, &fit.limits, &format!("{field}.limits"))?;
        }
        Ok(())
    }

    fn add_press_fit(&mut self, i: usize, doc: &PressDoc, field: &str) -> Result<()> {
        let place = Place::named(PlaceKind::Fit, i, &doc.name);
        let (inner_part, outer_part) = (parts::press_inner(i), parts::press_inner(i) + 1);
        let mut length = |name: &str, text: &Text, part| -> Result<Key<Length>> {
            let key = self.readings.one(&format!("{field}.{name}"), text, Allowed::Positive)?;
            Ok(self.readings.belongs(key, part))
        };
        let keys = PressKeys {
            bore: length("bore", &doc.bore, outer_part)?,
            outside: length("outside", &doc.outside, inner_part)?,
            inner_bore: doc.inner_bore.as_ref().map(|t| length("inner_bore", t, inner_part)).transpose()?,
            outer_outside: length("outer_outside", &doc.outer_outside, outer_part)?,
            inner: self.material(&doc.inner_material, &format!("{field}.inner_material"))?,
            outer: self.material(&doc.outer_material, &format!("{field}.outer_material"))?,
        };
        let values = self.readings.values.clone();
        let at = Point::new(&self.readings, &values);
        let wrong = match (keys.inner_bore, at.get(keys.bore) >= at.get(keys.outer_outside)) {
            (Some(inner), _) if at.get(inner) >= at.get(keys.outside) => "inner_bore",
            (_, true) => "outer_outside",
            _ => "outside",
        };
        keys.fit(&at).map_err(|e| self.readings.place(e, &format!("{field}.{wrong}")))?;
        let hone = || vec![machining(Operation::OpenPressBore, [keys.bore.index])];
        self.add(What::PressInterference, place.clone(), "press_fits", hone(), move |at| {
            Ok(keys.interference(at).si())
        });
        self.add(What::PressPressure, place.clone(), "press_fits", hone(), move |at| {
            Ok(keys.fit(at)?.pressure().si())
        });
        self.add(What::PressInnerStress, place.clone(), "press_fits", hone(), move |at| {
            Ok(keys.fit(at)?.equivalent_stresses()?.0.si())
        });
        self.limit_by_yield(&doc.inner_yield, &format!("{field}.inner_yield"))?;
        self.add(What::PressOuterStress, place.clone(), "press_fits", hone(), move |at| {
            Ok(keys.fit(at)?.equivalent_stresses()?.1.si())
        });
        self.limit_by_yield(&doc.outer_yield, &format!("{field}.outer_yield"))?;
        for (surface, word) in [
            "bore of the inner part",
            "contact, inner part",
            "contact, outer part",
            "outside of the outer part",
        ]
        .iter()
        .enumerate()
        {
            self.add(What::PressHoopStress, place.clone().with(*word), "press_fits", Vec::new(), move |at| {
                let s = keys.fit(at)?.stresses()?;
                let all = [s.inner_at_bore, s.inner_at_contact, s.outer_at_contact, s.outer_at_outside];
                Ok(all.get(surface).map_or(f64::NAN, |p| p.si()))
            });
        }
        self.add_press_work(doc, field, &place, keys, outer_part)
    }

    /// What the contact holds, and what heat assembly needs.
    fn add_press_work(
        &mut self,
        doc: &PressDoc,
        field: &str,
        place: &Place,
        keys: PressKeys,
        outer_part: usize,
    ) -> Result<()> {
        let r = &mut self.readings;
        let length = r.maybe::<Length>(&format!("{field}.length"), &doc.length, Allowed::Positive)?;
        let friction = r.maybe::<Ratio>(
            &format!("{field}.friction"),
            &doc.friction,
            Allowed::Between(0.0, 1.0, "above 0 and below 1"),
        )?;
        let gap =
            r.maybe::<Length>(&format!("{field}.assembly_gap"), &doc.assembly_gap, Allowed::NonNegative)?;
        let cold = r.maybe(&format!("{field}.cold_expansion"), &doc.cold_expansion, Allowed::Positive)?;
        if let (Some(length), Some(friction)) = (length, friction) {
            self.add(What::PressHoldingForce, place.clone(), "press_fits", Vec::new(), move |at| {
                Ok(keys.fit(at)?.holding_force(at.get(length), at.get(friction))?.si())
            });
            self.add(What::PressHoldingTorque, place.clone(), "press_fits", Vec::new(), move |at| {
                Ok(keys.fit(at)?.holding_torque(at.get(length), at.get(friction))?.si())
            });
        }
        let Some(gap) = gap else { return Ok(()) };
        match cold {
            Some(cold) => {
                self.add(What::PressCooling, place.clone(), "press_fits", Vec::new(), move |at| {
                    Ok(keys.fit(at)?.assembly_temperature(at.get(gap), at.get(cold))?.si())
                });
                let whose = "liquid nitrogen boils at -196 degC; heat the outer part too".to_owned();
                let most = self.thermal.measured_at() - NITROGEN;
                self.bound_last(most, whose)?;
            }
            None => self.lacks(What::PressCooling, &format!("{field}.cold_expansion")),
        }
        let expansion = self.thermal.expansion(outer_part);
        self.add(What::PressHeating, place.clone(), "press_fits", Vec::new(), move |at| {
            let alpha = expansion(at)?;
            Ok(keys.fit(at)?.assembly_temperature(at.get(gap), alpha)?.si())
        });
        // Heat beyond the data of the material is not known to be enough, nor what the part bears.
        let whose =
            format!("the data on {} end at {} degC", keys.outer.name(), keys.outer.last_temperature());
        let most = keys.outer.last_temperature() + 273.15 - self.thermal.measured_at();
        self.bound_last(most, whose)
    }

    /// A stated yield strength limits the stress that was added last.
    fn limit_by_yield(&mut self, text: &Option<Text>, field: &str) -> Result<()> {
        let Some(key) = self.readings.maybe::<Pressure>(field, text, Allowed::Positive)? else {
            return Ok(());
        };
        let values = &self.readings.values;
        let upper = Point::new(&self.readings, values).get(key).si();
        self.limit_last(None, Some(upper), "yield strength stated".into())
    }

    fn material(&self, name: &str, field: &str) -> Result<Material> {
        Material::named(name).map_err(|e| self.readings.place(e, field))
    }

    /// Holes and shafts against their fits.
    pub(super) fn add_iso_fits(&mut self, doc: &Document) -> Result<()> {
        for (i, fit) in doc.fits.iter().enumerate() {
            let field = format!("fits[{}]", i + 1);
            self.add_iso_fit(i, fit, &field)?;
        }
        Ok(())
    }

    fn add_iso_fit(&mut self, i: usize, doc: &Fit, field: &str) -> Result<()> {
        let place = Place::named(PlaceKind::Fit, i, &doc.name);
        let at = format!("{field}.fit");
        let fit = IsoFit::parse(&doc.fit).map_err(|e| self.readings.place(e, &at))?;
        let whose = format!("ISO 286-1:2010, {}", doc.fit.trim());
        let r = &mut self.readings;
        let hole = r.maybe::<Length>(&format!("{field}.hole"), &doc.hole, Allowed::Positive)?;
        let shaft = r.maybe::<Length>(&format!("{field}.shaft"), &doc.shaft, Allowed::Positive)?;
        let sizes = |class: &ToleranceClass| -> Result<(Length, Length)> {
            let d = class.deviations(fit.nominal)?;
            Ok((fit.nominal + d.lower, fit.nominal + d.upper))
        };
        let limited = |chain: &mut Self, (lower, upper): (Length, Length)| {
            chain.limit_last(Some(lower.si()), Some(upper.si()), whose.clone())
        };
        if let Some(hole) = hole {
            let cuts = vec![machining(Operation::HonePinBore, [hole.index])];
            self.add(What::FitHole, place.clone(), "fits", cuts, move |at| Ok(at.get(hole).si()));
            limited(self, sizes(&fit.hole)?)?;
        }
        if let Some(shaft) = shaft {
            let cuts = vec![machining(Operation::GrindJournal, [shaft.index])];
            self.add(What::FitShaft, place.clone(), "fits", cuts, move |at| Ok(at.get(shaft).si()));
            limited(self, sizes(&fit.shaft)?)?;
        }
        if let (Some(hole), Some(shaft)) = (hole, shaft) {
            let cuts = vec![
                machining(Operation::HonePinBore, [hole.index]),
                machining(Operation::GrindJournal, [shaft.index]),
            ];
            self.add(What::FitClearance, place, "fits", cuts, move |at| {
                Ok(pin_clearance(at.get(hole), at.get(shaft)).si())
            });
            limited(self, fit.clearance()?)?;
        }
        Ok(())
    }
}
