//! The figures of bearings, pistons, rings and axial clearances. Each formula is a function of `clearance`.

use super::chain::{Chain, Place, PlaceKind};
use super::figures::missing;
use super::keys::{BearingKeys, CylinderKeys, RingKeys};
use super::operation::{Machining, Operation, machining};
use super::readings::Key;
use super::terms::What;
use crate::clearance::{
    bearing_clearance, end_float, end_gap_in_bore, piston_to_wall, rod_side_clearance, side_clearance,
};
use crate::units::{Dimensioned, Length};

type Four = (Key<Length>, Key<Length>, Key<Length>, Key<Length>);

impl BearingKeys {
    /// Housing, upper shell, lower shell and journal, or what is missing.
    fn all(&self, names: [&str; 4]) -> Result<Four, String> {
        match (self.housing, self.upper, self.lower, self.journal) {
            (Some(h), Some(u), Some(l), Some(j)) => Ok((h, u, l, j)),
            (h, u, l, j) => {
                let there = [h.is_some(), u.is_some(), l.is_some(), j.is_some()];
                Err(missing(&names.into_iter().zip(there).collect::<Vec<_>>()))
            }
        }
    }
}

impl Chain {
    /// Main and rod bearing clearances.
    pub(super) fn add_bearings(&mut self) {
        const MAIN: [&str; 4] = [
            "main_bearings.housing_bore",
            "main_bearings.upper_shell",
            "main_bearings.lower_shell",
            "crank.main_journal",
        ];
        const ROD: [&str; 4] =
            ["rods.big_end_bore", "rod_bearings.upper_shell", "rod_bearings.lower_shell", "crank.crankpin"];
        for (i, keys) in self.keys.mains.clone().into_iter().enumerate() {
            self.add_bearing(
                What::MainBearingClearance,
                Place::nth(PlaceKind::Main, i),
                "main_bearings",
                keys,
                MAIN,
            );
        }
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            self.add_bearing(
                What::RodBearingClearance,
                Place::nth(PlaceKind::Cylinder, i),
                "rod_bearings",
                c.rod_bearing,
                ROD,
            );
        }
    }

    fn add_bearing(
        &mut self,
        what: What,
        place: Place,
        field: &'static str,
        keys: BearingKeys,
        names: [&str; 4],
    ) {
        let (h, u, l, j) = match keys.all(names) {
            Ok(four) => four,
            Err(needs) => return self.lacks(what, &needs),
        };
        let cuts = vec![
            machining(Operation::ChooseShell, [u.index, l.index]),
            machining(Operation::GrindJournal, [j.index]),
            machining(Operation::HoneHousing, [h.index]),
        ];
        self.add(what, place, field, cuts, move |at| {
            Ok(bearing_clearance(at.get(h), at.get(u), at.get(l), at.get(j)).si())
        });
    }

    /// Pistons in bores, rings in bores and grooves.
    pub(super) fn add_pistons_and_rings(&mut self) {
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let place = Place::nth(PlaceKind::Cylinder, i);
            self.add_piston(c, &place);
            let [top, second] = c.rings;
            self.add_ring(c, top, &place, What::TopRingGap, What::TopRingSideClearance, "rings.top");
            self.add_ring(
                c,
                second,
                &place,
                What::SecondRingGap,
                What::SecondRingSideClearance,
                "rings.second",
            );
        }
    }

    fn add_piston(&mut self, c: CylinderKeys, place: &Place) {
        let Some(piston) = c.piston else {
            return self.lacks(What::PistonToWall, "pistons.diameter");
        };
        let cuts = vec![hone(&c)];
        self.add(What::PistonToWall, place.clone(), "pistons.diameter", cuts, move |at| {
            Ok(piston_to_wall(c.finish_bore(at), at.get(piston)).si())
        });
    }

    fn add_ring(
        &mut self,
        c: CylinderKeys,
        ring: RingKeys,
        place: &Place,
        gap: What,
        side: What,
        field: &'static str,
    ) {
        match ring.gap {
            Some(key) => {
                let cuts = vec![machining(Operation::FileRing, [key.index])];
                self.add(gap, place.clone(), field, cuts, move |at| {
                    let gauge_bore = at.get(ring.gauge_bore.unwrap_or(c.bore));
                    Ok(end_gap_in_bore(at.get(key), gauge_bore, c.finish_bore(at)).si())
                });
            }
            None => self.lacks(gap, &format!("{field}.end_gap")),
        }
        match (ring.groove, ring.width) {
            (Some(groove), Some(width)) => self.add(side, place.clone(), field, Vec::new(), move |at| {
                Ok(side_clearance(at.get(groove), at.get(width)).si())
            }),
            (groove, width) => {
                let (g, w) = (format!("{field}.groove_width"), format!("{field}.width"));
                self.lacks(side, &missing(&[(&g, groove.is_some()), (&w, width.is_some())]));
            }
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
