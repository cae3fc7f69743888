//! The figures of the cylinders: motion, deck, compression, walls. Each formula is a function of `geometry`.

use super::chain::{Chain, Place, PlaceKind};
use super::document::{Arrangement, Document, Strokes};
use super::keys::{CylinderKeys, WallKeys, angles, throws};
use super::operation::{for_deck, for_ratio};
use super::readings::{Key, Point};
use super::terms::What;
use crate::error::{Error, Result};
use crate::geometry::{
    ClearanceVolume, Cycle, Cylinder, Layout, Station, WallReading, compression_ratio, deck_clearance,
    disc_volume, piston_to_head, ring_land_crevice, thinnest_wall, trapped_compression_ratio,
    wall_after_overbore, wall_between_bores, wall_hoop_stress,
};
use crate::units::{Dimensioned, Length, Volume};

/// The readings that place the piston against the deck.
#[derive(Clone, Copy)]
pub(super) struct DeckKeys {
    height: Key<Length>,
    compression: Key<Length>,
}

/// The readings of the volumes above the piston at top dead centre.
#[derive(Clone, Copy)]
pub(super) struct VolumeKeys {
    deck: DeckKeys,
    chamber: Key<Volume>,
    gasket_bore: Key<Length>,
    gasket_thickness: Key<Length>,
    crown: Key<Volume>,
}

/// The entries of a list that are missing, in words.
pub(super) fn missing(entries: &[(&str, bool)]) -> String {
    let names: Vec<&str> = entries.iter().filter(|(_, there)| !there).map(|(name, _)| *name).collect();
    names.join(", ")
}

impl CylinderKeys {
    /// The bore that the figures are for: the planned one where given, plus what a cut proposes to hone.
    pub(super) fn finish_bore(&self, at: &Point<'_>) -> Length {
        at.get(self.planned.unwrap_or(self.bore)) + at.get(self.stock)
    }

    pub(super) fn cylinder(&self, at: &Point<'_>) -> Result<Cylinder> {
        let offset = self.pin_offset.map_or(Length::from_si(0.0), |k| at.get(k));
        Cylinder::new(self.finish_bore(at), at.get(self.stroke), at.get(self.rod), offset)
    }

    fn deck(&self) -> core::result::Result<DeckKeys, String> {
        match (self.deck_height, self.compression_height) {
            (Some(height), Some(compression)) => Ok(DeckKeys { height, compression }),
            (height, compression) => Err(missing(&[
                ("block.deck_height", height.is_some()),
                ("pistons.compression_height", compression.is_some()),
            ])),
        }
    }

    pub(super) fn volumes(&self) -> core::result::Result<VolumeKeys, String> {
        match (self.deck(), self.chamber, self.gasket_bore, self.gasket_thickness, self.crown) {
            (Ok(deck), Some(chamber), Some(gasket_bore), Some(gasket_thickness), Some(crown)) => {
                Ok(VolumeKeys { deck, chamber, gasket_bore, gasket_thickness, crown })
            }
            _ => Err(missing(&[
                ("block.deck_height", self.deck_height.is_some()),
                ("pistons.compression_height", self.compression_height.is_some()),
                ("pistons.crown_volume", self.crown.is_some()),
                ("head.chamber_volume", self.chamber.is_some()),
                ("head.gasket_bore", self.gasket_bore.is_some()),
                ("head.gasket_thickness", self.gasket_thickness.is_some()),
            ])),
        }
    }

    fn deck_clearance(&self, k: DeckKeys, at: &Point<'_>) -> Result<Length> {
        Ok(deck_clearance(&self.cylinder(at)?, at.get(k.height), at.get(k.compression)))
    }

    /// Dish and dome, chamber, gasket, deck and crevice.
    pub(super) fn clearance_volume(&self, k: VolumeKeys, at: &Point<'_>) -> Result<ClearanceVolume> {
        let bore = self.finish_bore(at);
        let crevice = match (self.land_diameter, self.land_height) {
            (Some(diameter), Some(height)) => ring_land_crevice(bore, at.get(diameter), at.get(height))?,
            _ => Volume::from_si(0.0),
        };
        Ok(ClearanceVolume {
            chamber: at.get(k.chamber),
            gasket: disc_volume(at.get(k.gasket_bore), at.get(k.gasket_thickness)),
            deck: disc_volume(bore, self.deck_clearance(k.deck, at)?),
            crown: at.get(k.crown),
            crevice,
        })
    }
}

impl Chain {
    /// The clearance volume of the first cylinder, by its parts.
    pub(super) fn first_clearance_volume(&self) -> Option<ClearanceVolume> {
        let c = self.keys.cylinders.first()?;
        let at = Point::new(&self.readings, &self.readings.values);
        c.clearance_volume(c.volumes().ok()?, &at).ok()
    }

    /// Displacement and firing intervals.
    pub(super) fn add_layout(&mut self, doc: &Document) -> Result<Option<Layout>> {
        let all = self.keys.cylinders.clone();
        self.add(What::Displacement, Place::engine(), "rods.length", Vec::new(), move |at| {
            let volumes = all.iter().map(|c| c.cylinder(at).map(|c| c.swept_volume().si()));
            volumes.sum()
        });
        self.check_layout_entries(doc)?;
        let throw_angles = match &doc.engine.throw_angles {
            Some(texts) => {
                let field = "engine.throw_angles";
                let for_each = match doc.engine.arrangement {
                    Arrangement::Vee => {
                        "crankpin; pins split between two rods: arrangement \"explicit\", for each cylinder"
                    }
                    _ => "crankpin",
                };
                self.readings.exact_length(field, texts.len(), throws(doc), for_each)?;
                Some(angles(&self.readings, field, texts)?)
            }
            None => None,
        };
        let layout = match (&throw_angles, &doc.engine.firing_order, &doc.balance) {
            (Some(angles), Some(_), _) | (Some(angles), _, Some(_)) => Some(self.layout(doc, angles)?),
            // Nothing of the sheet needs it: what a study makes of it may be missing.
            (Some(angles), None, None) => self.layout(doc, angles).ok(),
            _ => None,
        };
        let (Some(order), Some(found)) = (&doc.engine.firing_order, &layout) else {
            let needs = missing(&[
                ("engine.firing_order", doc.engine.firing_order.is_some()),
                ("engine.throw_angles", doc.engine.throw_angles.is_some()),
            ]);
            self.lacks(What::FiringInterval, &needs);
            return Ok(layout);
        };
        let intervals =
            found.firing_intervals(order).map_err(|e| self.readings.place(e, "engine.firing_order"))?;
        let after = order.iter().cycle().skip(1);
        for ((from, to), interval) in order.iter().zip(after).zip(intervals) {
            let place = Place::nth(PlaceKind::Cylinder, from - 1).with(format!("to cylinder {to}"));
            self.add(What::FiringInterval, place, "engine.firing_order", Vec::new(), move |_| {
                Ok(interval.si())
            });
        }
        Ok(layout)
    }

    /// The entries of the layout that stand for themselves: an order of all cylinders, angles for the arrangement that has them.
    fn check_layout_entries(&self, doc: &Document) -> Result<()> {
        let engine = &doc.engine;
        if let Some(order) = &engine.firing_order {
            let place = |e| self.readings.place(e, "engine.firing_order");
            crate::geometry::check_firing_order(order, engine.cylinders).map_err(place)?;
        }
        if let Some(text) = &engine.bank_angle {
            self.readings.exact::<crate::units::Angle>("engine.bank_angle", text)?;
        }
        let is = |arrangement| engine.arrangement == arrangement;
        let strays = [
            ("engine.bank_angle", engine.bank_angle.is_some() && !is(Arrangement::Vee), "only a vee has it"),
            (
                "engine.bank_angles",
                engine.bank_angles.is_some() && !is(Arrangement::Explicit),
                "only an explicit arrangement has them",
            ),
        ];
        for (field, stray, words) in strays {
            if stray {
                let error = Error::UnknownKey { field: field.into(), remedy: words.into() };
                return Err(self.readings.place(error, field));
            }
        }
        Ok(())
    }

    fn layout(&self, doc: &Document, throw_angles: &[crate::units::Angle]) -> Result<Layout> {
        let cycle = match doc.engine.cycle {
            Strokes::FourStroke => Cycle::FourStroke,
            Strokes::TwoStroke => Cycle::TwoStroke,
        };
        let needs = |field: &str| {
            let error = Error::MissingKey {
                field: field.into(),
                remedy: "this arrangement needs it for firing intervals".into(),
            };
            self.readings.place(error, "engine.arrangement")
        };
        let made = match doc.engine.arrangement {
            Arrangement::InLine => Layout::inline(throw_angles, cycle),
            Arrangement::Flat => Layout::flat(throw_angles, cycle),
            Arrangement::Vee => {
                let field = "engine.bank_angle";
                let text = doc.engine.bank_angle.as_ref().ok_or_else(|| needs(field))?;
                Layout::vee(self.readings.exact(field, text)?, throw_angles, cycle)
            }
            Arrangement::Explicit => {
                let field = "engine.bank_angles";
                let texts = doc.engine.bank_angles.as_ref().ok_or_else(|| needs(field))?;
                let banks = angles(&self.readings, field, texts)?;
                let stations = banks.into_iter().zip(throw_angles);
                let station = |(bank_angle, throw_angle): (_, &crate::units::Angle)| Station {
                    bank_angle,
                    throw_angle: *throw_angle,
                };
                Layout::explicit(stations.map(station).collect(), cycle)
            }
        };
        made.map_err(|e| self.readings.place(e, "engine.throw_angles"))
    }

    /// Motion, deck and compression of every cylinder.
    pub(super) fn add_cylinders(&mut self) {
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let place = Place::nth(PlaceKind::Cylinder, i);
            self.add_motion(c, &place);
            self.add_deck(c, &place);
            self.add_compression(c, &place);
        }
    }

    fn add_motion(&mut self, c: CylinderKeys, place: &Place) {
        const FIELD: &str = "rods.length";
        let p = || place.clone();
        let none = Vec::new;
        self.add(What::SweptVolume, p(), FIELD, none(), move |at| Ok(c.cylinder(at)?.swept_volume().si()));
        self.add(What::BoreStrokeRatio, p(), FIELD, none(), move |at| {
            Ok(c.cylinder(at)?.bore_stroke_ratio().si())
        });
        self.add(What::RodRatio, p(), FIELD, none(), move |at| Ok(c.cylinder(at)?.rod_ratio().si()));
        self.add(What::PeakRodAngle, p(), FIELD, none(), move |at| Ok(c.cylinder(at)?.peak_rod_angle().si()));
        let Some(speed) = self.keys.speed else {
            self.lacks(What::MeanPistonSpeed, "engine.speed");
            self.lacks(What::PeakPistonAcceleration, "engine.speed");
            return;
        };
        self.add(What::MeanPistonSpeed, p(), FIELD, none(), move |at| {
            Ok(c.cylinder(at)?.mean_piston_speed(at.get(speed)).si())
        });
        self.add(What::PeakPistonAcceleration, p(), FIELD, none(), move |at| {
            Ok(c.cylinder(at)?.peak_acceleration(at.get(speed)).si())
        });
    }

    /// What goes up and down with each cylinder: piston with rings and locks, pin, small end of the rod.
    pub(super) fn add_masses(&mut self) {
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let Some(parts) = c.masses.reciprocating() else { continue };
            let place = Place::nth(PlaceKind::Cylinder, i);
            self.add(What::ReciprocatingMass, place, "pistons.mass", Vec::new(), move |at| {
                Ok(at.sum(&parts).si())
            });
        }
    }

    fn add_deck(&mut self, c: CylinderKeys, place: &Place) {
        const FIELD: &str = "pistons.compression_height";
        let deck = match c.deck() {
            Ok(deck) => deck,
            Err(needs) => {
                self.lacks(What::DeckClearance, &needs);
                return self.lacks(What::PistonToHead, &needs);
            }
        };
        let all = self.keys.cylinders.clone();
        self.add(What::DeckClearance, place.clone(), FIELD, for_deck(&all, &c, false), move |at| {
            Ok(c.deck_clearance(deck, at)?.si())
        });
        let Some(gasket) = c.gasket_thickness else {
            return self.lacks(What::PistonToHead, "head.gasket_thickness");
        };
        self.add(What::PistonToHead, place.clone(), FIELD, for_deck(&all, &c, true), move |at| {
            Ok(piston_to_head(c.deck_clearance(deck, at)?, at.get(gasket)).si())
        });
    }

    fn add_compression(&mut self, c: CylinderKeys, place: &Place) {
        const FIELD: &str = "head.chamber_volume";
        let volumes = match c.volumes() {
            Ok(volumes) => volumes,
            Err(needs) => {
                for what in [What::ClearanceVolume, What::CompressionRatio, What::TrappedCompressionRatio] {
                    self.lacks(what, &needs);
                }
                return;
            }
        };
        if c.land_diameter.is_none() || c.land_height.is_none() {
            self.lacks(
                What::ClearanceVolume,
                "pistons.top_land_diameter and pistons.top_land_height for the ring-land crevice, which is left out",
            );
        }
        let all = self.keys.cylinders.clone();
        let cuts = || for_ratio(&all, &c);
        self.add(What::ClearanceVolume, place.clone(), FIELD, cuts(), move |at| {
            Ok(c.clearance_volume(volumes, at)?.total()?.si())
        });
        self.add(What::CompressionRatio, place.clone(), FIELD, cuts(), move |at| {
            let clearance = c.clearance_volume(volumes, at)?.total()?;
            Ok(compression_ratio(c.cylinder(at)?.swept_volume(), clearance)?.si())
        });
        let Some(closing) = self.keys.intake_closing else {
            return self.lacks(What::TrappedCompressionRatio, "engine.intake_closing");
        };
        self.add(What::TrappedCompressionRatio, place.clone(), FIELD, cuts(), move |at| {
            let clearance = c.clearance_volume(volumes, at)?.total()?;
            Ok(trapped_compression_ratio(&c.cylinder(at)?, clearance, at.get(closing))?.si())
        });
    }

    /// Walls around and between the bores.
    pub(super) fn add_walls(&mut self) {
        match self.keys.spacing {
            Some(spacing) => self.add_walls_between(spacing),
            None => self.lacks(What::WallBetweenBores, "block.bore_spacing"),
        }
        if self.keys.walls.is_empty() {
            self.lacks(What::WallThickness, "block.walls");
            self.lacks(What::WallHoopStress, "block.walls");
        }
        for wall in self.keys.walls.clone() {
            let Some(c) = self.keys.cylinders.get(wall.cylinder - 1).copied() else {
                continue;
            };
            let place = Place::nth(PlaceKind::Cylinder, wall.cylinder - 1);
            let around = wall.clone();
            self.add(What::WallThickness, place.clone(), "block.walls", Vec::new(), move |at| {
                Ok(thinnest_wall(&around.after(&c, at))?.wall.si())
            });
            let Some(pressure) = self.keys.pressure else {
                self.lacks(What::WallHoopStress, "block.peak_pressure");
                continue;
            };
            self.add(What::WallHoopStress, place, "block.walls", Vec::new(), move |at| {
                let thinnest = thinnest_wall(&wall.after(&c, at))?.wall;
                Ok(wall_hoop_stress(c.finish_bore(at), thinnest, at.get(pressure))?.si())
            });
        }
    }

    /// The wall between each bore and the next on its bank.
    fn add_walls_between(&mut self, spacing: Key<Length>) {
        let all = self.keys.cylinders.clone();
        for (i, c) in all.iter().copied().enumerate() {
            let next = all.iter().copied().enumerate().find(|(j, d)| *j > i && d.bank == c.bank);
            let Some((j, d)) = next else { continue };
            let place = Place::nth(PlaceKind::Cylinder, i).with(format!("to cylinder {}", j + 1));
            self.add(What::WallBetweenBores, place, "block.bore_spacing", Vec::new(), move |at| {
                let mean_bore = (c.finish_bore(at) + d.finish_bore(at)) / 2.0;
                Ok(wall_between_bores(at.get(spacing), mean_bore).si())
            });
        }
    }
}

impl WallKeys {
    /// The wall readings as they will be at the finish bore.
    pub(super) fn after(&self, c: &CylinderKeys, at: &Point<'_>) -> Vec<WallReading> {
        let (bore, finish) = (at.get(c.bore), c.finish_bore(at));
        let one = |(angle, wall): &(Key<crate::units::Angle>, Key<Length>)| WallReading {
            angle: at.get(*angle),
            wall: wall_after_overbore(at.get(*wall), bore, finish, Length::from_si(0.0)),
        };
        self.readings.iter().map(one).collect()
    }
}
