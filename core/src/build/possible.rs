//! What cannot be: readings and figures that no engine has, in a document or after a cut.

use super::chain::Chain;
use super::keys::CylinderKeys;
use super::readings::{Key, Point, check};
use super::terms::What;
use crate::error::{Error, Result};
use crate::units::{Dimensioned, Length, MILLIMETRE};

impl Chain {
    /// Refuses values of the readings that no engine can have, and figures that cannot be computed from them.
    ///
    /// # Errors
    /// The first thing that cannot be, placed in the document.
    pub(super) fn possible(&self, values: &[f64]) -> Result<()> {
        for (entry, value) in self.readings.entries.iter().zip(values) {
            let place = |e: Error| e.at(entry.line, &entry.field);
            check(*value, &entry.unit.write(*value), entry.unit.dimension, entry.allowed).map_err(place)?;
        }
        let at = Point::new(&self.readings, values);
        for keys in &self.keys.cylinders {
            self.parts_fit(keys, &at)?;
        }
        for figure in &self.figures {
            let value = self.value(figure, &at)?;
            if figure.what == What::PistonToHead && figure.state.is_none() && value <= 0.0 {
                let unit = self.unit(&figure.what.term());
                let name = format!("piston-to-head distance, {}", figure.place.label);
                let error =
                    refused(&name, unit.show(value), "above zero: the piston would meet the head".into());
                return Err(self.readings.place(error, figure.field));
            }
        }
        Ok(())
    }

    /// The parts of one cylinder against its bore.
    fn parts_fit(&self, keys: &CylinderKeys, at: &Point<'_>) -> Result<()> {
        let bore = at.get(keys.bore);
        let finish = keys.finish_bore(at);
        let whose = if keys.planned.is_some() { "the planned bore" } else { "the bore" };
        let none = Length::from_si(0.0);
        self.within(keys.planned, at, "planned bore", |p| p >= bore, "at least the bore as it stands", bore)?;
        let under = format!("at most {whose}");
        self.within(keys.land_diameter, at, "top land diameter", |d| d <= finish, &under, finish)?;
        let over = format!("at least {whose}");
        self.within(keys.gasket_bore, at, "gasket bore", |d| d >= finish, &over, finish)?;
        let half = finish / 2.0;
        self.within(
            keys.pin_offset,
            at,
            "pin offset",
            |d| d.max(none - d) < half,
            "within half the bore",
            half,
        )
    }

    /// Refuses a length that does not fit, at its own entry.
    fn within(
        &self,
        key: Option<Key<Length>>,
        at: &Point<'_>,
        name: &str,
        fits: impl Fn(Length) -> bool,
        words: &str,
        bound: Length,
    ) -> Result<()> {
        let Some(key) = key else { return Ok(()) };
        let value = at.get(key);
        if fits(value) {
            return Ok(());
        }
        let Some(entry) = self.readings.entries.get(key.index) else { return Ok(()) };
        let unit = if entry.unit.dimension == Length::DIMENSION { entry.unit } else { &MILLIMETRE };
        let allowed = format!("{words}, {}", unit.write(bound.si()));
        Err(refused(name, unit.write(value.si()), allowed).at(entry.line, &entry.field))
    }
}

fn refused(field: &str, value: String, allowed: String) -> Error {
    Error::OutOfRange { field: field.into(), value, allowed }
}
