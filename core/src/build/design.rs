//! What the sheet shows beside the findings: the first cylinder, the wall readings, the readings themselves.

use super::chain::Chain;
use super::document::Display;
use super::readings::Point;
use super::sheet::Printed;
use super::terms::What;
use crate::error::Result;
use crate::units::{Dimensioned, MILLIMETRE, Unit, find};
use serde::Serialize;

/// One part of the clearance volume.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct VolumePart {
    /// Chamber, gasket, deck, crown or ring-land crevice.
    pub part: &'static str,
    /// Its volume; a dome is negative.
    pub volume: Printed,
}

/// The first cylinder, for plots.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// Finish bore.
    pub bore: Printed,
    /// Twice the throw radius.
    pub stroke: Printed,
    /// Centre to centre.
    pub rod_length: Printed,
    /// Towards the major thrust side.
    pub pin_offset: Printed,
    /// Greatest shaft speed, where given.
    pub speed: Option<Printed>,
    /// How many cylinders.
    pub cylinders: usize,
    /// The clearance volume by its parts; empty where the document gives too little.
    pub clearance_volume: Vec<VolumePart>,
}

/// One wall reading around a bore.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WallAt {
    /// From the front, clockwise seen from the deck, in degrees.
    pub angle_deg: f64,
    /// As read, at the present bore.
    pub wall: Printed,
    /// At the finish bore.
    pub after: Printed,
}

/// The wall readings around one bore.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Walls {
    /// Which, from 1.
    pub cylinder: usize,
    /// In the document's order.
    pub readings: Vec<WallAt>,
    /// The least wall allowed, where a limit is set.
    pub limit: Option<Printed>,
}

/// A reading as it stands in the document.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PrintedReading {
    /// The entry.
    pub reading: String,
    /// Its line.
    pub line: Option<usize>,
    /// The value in the unit it was written in.
    pub value: Printed,
    /// The expanded uncertainty stated.
    pub expanded_uncertainty: Option<Printed>,
}

impl Chain {
    fn length_unit(&self) -> &'static Unit {
        match self.display {
            Display::Metric => &MILLIMETRE,
            Display::Inch => find("in").unwrap_or(&MILLIMETRE),
        }
    }

    pub(super) fn design(&self) -> Result<Design> {
        let at = Point::new(&self.readings, &self.readings.values);
        let length = |q: crate::units::Length| Printed::new(self.length_unit(), q.si());
        let cylinder = self.keys.cylinders.first().map(|c| c.cylinder(&at)).transpose()?;
        let zero = crate::units::Length::from_si(0.0);
        let get = |f: fn(&crate::geometry::Cylinder) -> crate::units::Length| {
            length(cylinder.as_ref().map_or(zero, f))
        };
        let rpm = find("rpm").ok();
        Ok(Design {
            bore: get(|c| c.bore()),
            stroke: get(|c| c.stroke()),
            rod_length: get(|c| c.rod_length()),
            pin_offset: get(|c| c.pin_offset()),
            speed: self.keys.speed.and_then(|k| Some(Printed::new(rpm?, at.get(k).si()))),
            cylinders: self.keys.cylinders.len(),
            clearance_volume: self.volume_parts(),
        })
    }

    fn volume_parts(&self) -> Vec<VolumePart> {
        let unit = self.unit(&What::ClearanceVolume.term());
        let part = |(part, volume): (_, crate::units::Volume)| VolumePart {
            part,
            volume: Printed::new(unit, volume.si()),
        };
        self.first_clearance_volume()
            .map(|v| {
                [
                    ("chamber", v.chamber),
                    ("gasket", v.gasket),
                    ("deck", v.deck),
                    ("crown", v.crown),
                    ("ring-land crevice", v.crevice),
                ]
                .map(part)
                .to_vec()
            })
            .unwrap_or_default()
    }

    pub(super) fn walls(&self) -> Vec<Walls> {
        let at = Point::new(&self.readings, &self.readings.values);
        let unit = self.length_unit();
        let limit =
            self.figures.iter().find(|f| f.what == What::WallThickness).and_then(|f| f.limit.as_ref());
        let limit = limit.and_then(|l| l.limits.lower());
        let of = |keys: &super::keys::WallKeys| {
            let c = self.keys.cylinders.get(keys.cylinder - 1)?;
            let after = keys.after(c, &at);
            let one = |((angle, wall), after): (&(_, _), &crate::geometry::WallReading)| WallAt {
                angle_deg: at.get::<crate::units::Angle>(*angle).get::<uom::si::angle::degree>(),
                wall: Printed::new(unit, at.get::<crate::units::Length>(*wall).si()),
                after: Printed::new(unit, after.wall.si()),
            };
            Some(Walls {
                cylinder: keys.cylinder,
                readings: keys.readings.iter().zip(&after).map(one).collect(),
                limit: limit.map(|l| Printed::new(unit, l)),
            })
        };
        self.keys.walls.iter().filter_map(of).collect()
    }

    /// The document's own readings, in its order.
    pub(super) fn printed_readings(&self) -> Vec<PrintedReading> {
        let rows = self.readings.entries.iter().zip(&self.readings.values);
        rows.filter(|(entry, _)| entry.written)
            .map(|(entry, value)| PrintedReading {
                reading: entry.field.clone(),
                line: entry.line,
                value: Printed::new(entry.unit, *value),
                expanded_uncertainty: entry.expanded.map(|u| Printed::difference(entry.unit, u)),
            })
            .collect()
    }
}
