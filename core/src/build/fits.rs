//! The figures of pistons, pins, rings and axial clearances. Each formula is a function of `clearance`.

use super::chain::{Chain, Place, PlaceKind};
use super::figures::missing;
use super::keys::{CylinderKeys, RingKeys};
use super::operation::{Machining, Operation, machining};
use super::parts::{self, Part};
use super::readings::Key;
use super::sections::PinFit;
use super::terms::What;
use crate::clearance::{
    back_clearance, end_float, end_gap_in_bore, pin_clearance, piston_to_wall, ring_wall_pressure,
    rod_side_clearance, side_clearance,
};
use crate::units::{Dimensioned, Length};

/// The figures of one of the rings.
struct RingRow {
    table: &'static str,
    part: Part,
    gap: What,
    side: What,
    back: What,
    pressure: What,
}

const TOP: RingRow = RingRow {
    table: "rings.top",
    part: parts::TOP_RINGS,
    gap: What::TopRingGap,
    side: What::TopRingSideClearance,
    back: What::TopRingBackClearance,
    pressure: What::TopRingWallPressure,
};

const SECOND: RingRow = RingRow {
    table: "rings.second",
    part: parts::SECOND_RINGS,
    gap: What::SecondRingGap,
    side: What::SecondRingSideClearance,
    back: What::SecondRingBackClearance,
    pressure: What::SecondRingWallPressure,
};

impl Chain {
    /// Pistons in bores, pins in pistons and rods, rings in bores and grooves.
    pub(super) fn add_pistons_and_rings(&mut self, pins: PinFit) {
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let place = Place::nth(PlaceKind::Cylinder, i);
            self.add_piston(&c, &place);
            self.add_pin(&c, &place, pins);
            let [top, second] = c.rings;
            self.add_ring(&c, top, &place, &TOP);
            self.add_ring(&c, second, &place, &SECOND);
        }
    }

    fn add_piston(&mut self, c: &CylinderKeys, place: &Place) {
        let Some(piston) = c.piston else {
            return self.lacks(What::PistonToWall, "pistons.diameter");
        };
        let (cuts, c) = (vec![hone(c)], *c);
        self.add(What::PistonToWall, place.clone(), "pistons.diameter", cuts, move |at| {
            Ok(piston_to_wall(c.finish_bore(at), at.get(piston)).si())
        });
    }

    fn add_pin(&mut self, c: &CylinderKeys, place: &Place, fit: PinFit) {
        let Some(pin) = c.pin else { return };
        if let Some(boss) = c.pin_bore {
            let cuts = vec![machining(Operation::HonePinBore, [boss.index])];
            self.add(What::PinToBoss, place.clone(), "pistons.pin_bore", cuts, move |at| {
                Ok(pin_clearance(at.get(boss), at.get(pin)).si())
            });
        }
        let Some(eye) = c.small_end else { return };
        let cuts = vec![machining(Operation::HonePinBore, [eye.index])];
        match fit {
            PinFit::Floating => {
                self.add(What::PinToRod, place.clone(), "rods.small_end_bore", cuts, move |at| {
                    Ok(pin_clearance(at.get(eye), at.get(pin)).si())
                })
            }
            PinFit::Pressed => {
                self.add(What::PinInterference, place.clone(), "rods.small_end_bore", cuts, move |at| {
                    Ok(-pin_clearance(at.get(eye), at.get(pin)).si())
                });
            }
        }
    }

    fn add_ring(&mut self, c: &CylinderKeys, ring: RingKeys, place: &Place, row: &RingRow) {
        let (table, part) = (row.table, row.part);
        match ring.gap {
            Some(key) => {
                let (cuts, c) = (vec![machining(Operation::FileRing, [key.index])], *c);
                // The ring was as long as the gauge bore's circumference less the gap, and grows with the ring.
                self.add(row.gap, place.clone(), table, cuts, move |at| {
                    let gauge_bore = at.get_as(ring.gauge_bore.unwrap_or(c.bore), part);
                    Ok(end_gap_in_bore(at.get(key), gauge_bore, c.finish_bore(at)).si())
                });
            }
            None => self.lacks(row.gap, &format!("{table}.end_gap")),
        }
        match (ring.groove, ring.width) {
            (Some(groove), Some(width)) => {
                self.add(row.side, place.clone(), table, Vec::new(), move |at| {
                    Ok(side_clearance(at.get(groove), at.get(width)).si())
                });
            }
            (groove, width) => {
                let (g, w) = (format!("{table}.groove_width"), format!("{table}.width"));
                self.lacks(row.side, &missing(&[(&g, groove.is_some()), (&w, width.is_some())]));
            }
        }
        if let (Some(root), Some(thickness)) = (ring.root, ring.thickness) {
            let c = *c;
            self.add(row.back, place.clone(), table, Vec::new(), move |at| {
                Ok(back_clearance(c.finish_bore(at), at.get(root), at.get(thickness)).si())
            });
        }
        if let (Some(tension), Some(width)) = (ring.tension, ring.width) {
            let c = *c;
            self.add(row.pressure, place.clone(), table, Vec::new(), move |at| {
                Ok(ring_wall_pressure(at.get(tension), c.finish_bore(at), at.get(width))?.si())
            });
        }
    }

    /// End float and rod side clearance.
    pub(super) fn add_crank(&mut self) {
        match (self.keys.thrust, self.keys.thrust_bearing) {
            (Some(journal), Some(bearing)) => {
                self.add(
                    What::CrankEndFloat,
                    Place::engine(),
                    "crank.thrust_journal_width",
                    Vec::new(),
                    move |at| Ok(end_float(at.get(journal), at.get(bearing)).si()),
                );
            }
            (j, b) => self.lacks(
                What::CrankEndFloat,
                &missing(&[
                    ("crank.thrust_journal_width", j.is_some()),
                    ("crank.thrust_bearing_width", b.is_some()),
                ]),
            ),
        }
        let widths: Option<Vec<(usize, Key<Length>)>> =
            self.keys.cylinders.iter().map(|c| c.rod_width.map(|w| (c.throw, w))).collect();
        let (Some(pins), Some(widths)) = (self.keys.crankpin_width.clone(), widths) else {
            return self.lacks(What::RodSideClearance, "crank.crankpin_width, rods.width");
        };
        for (i, pin) in pins.into_iter().enumerate() {
            let rods: Vec<Key<Length>> =
                widths.iter().filter(|(throw, _)| *throw == i).map(|(_, w)| *w).collect();
            self.add(
                What::RodSideClearance,
                Place::nth(PlaceKind::Throw, i),
                "crank.crankpin_width",
                Vec::new(),
                move |at| {
                    let widths: Vec<Length> = rods.iter().map(|w| at.get(*w)).collect();
                    Ok(rod_side_clearance(at.get(pin), &widths).si())
                },
            );
        }
    }
}

fn hone(c: &CylinderKeys) -> Machining {
    machining(Operation::HoneBore, [c.stock.index])
}
