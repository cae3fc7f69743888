//! The figures of balance: bob weights, shaking forces and moments, unbalance by design and as read.

use super::balance_keys::BalanceKeys;
use super::balance_sections::Balance;
use super::chain::{Chain, Place, PlaceKind};
use super::document::{Document, Text};
use super::figures::missing;
use super::keys::CylinderKeys;
use super::readings::{Allowed, Key, Point};
use super::terms::What;
use crate::balance::unbalance::{BalanceGrade, BearingAllocation, allocate_to_bearings, allocate_to_planes};
use crate::balance::{ShakingEngine, force_of, moment_of};
use crate::error::{Error, Result, out_of_range};
use crate::geometry::Layout;
use crate::units::{AngularVelocity, Dimensioned, Length, Mass, Unbalance, written};
use std::sync::Arc;

impl Chain {
    /// All figures of balance.
    pub(super) fn add_balance(&mut self, doc: &Document, layout: Option<&Layout>) -> Result<()> {
        let Some(b) = &doc.balance else { return Ok(()) };
        let Some(layout) = layout else {
            let remedy = "balance needs the angle of every crankpin".into();
            let error = Error::MissingKey { field: "engine.throw_angles".into(), remedy };
            return Err(self.readings.place(error, "balance"));
        };
        let mut keys = BalanceKeys::read(b, layout, &self.keys.cylinders, &mut self.readings)?;
        keys.permissible = self.permissible(b, keys.planes)?;
        let keys = Arc::new(keys);
        self.add_bob_weights(&keys);
        self.add_shaking(&keys);
        self.add_unbalance(&keys)?;
        self.check_drilling(&keys)?;
        self.balance = Some(keys);
        Ok(())
    }

    /// What a drill plan is refused for is found when the document is read, not when the plan is made.
    fn check_drilling(&mut self, keys: &BalanceKeys) -> Result<()> {
        if keys.sites.is_empty() {
            return Ok(());
        }
        if keys.readings.is_none() {
            self.lacks(What::ResidualUnbalance, "balance.readings or balance.trials, for the drill plan too");
            return Ok(());
        }
        if keys.permissible.is_none() {
            let remedy =
                "a drill plan needs it, or balance.grade with balance.rotor_mass and engine.speed".into();
            let error = Error::MissingKey { field: "balance.permissible".into(), remedy };
            return Err(self.readings.place(error, "balance.sites"));
        }
        self.drill_task(keys, &Point::new(&self.readings, &self.readings.values)).map(|_| ())
    }

    fn add_bob_weights(&mut self, keys: &Arc<BalanceKeys>) {
        for (i, c) in self.keys.cylinders.clone().into_iter().enumerate() {
            let Some(parts) = c.masses.rotating() else { continue };
            let place = Place::nth(PlaceKind::Cylinder, i);
            self.add(What::RotatingMass, place, "rods.big_end_mass", Vec::new(), move |at| {
                Ok(at.sum(&parts).si())
            });
        }
        let needs = self.weighed();
        if !needs.is_empty() {
            return self.lacks(What::BobWeight, &needs);
        }
        for throw in 0..keys.throws() {
            let k = keys.clone();
            let place = Place::nth(PlaceKind::Throw, throw);
            self.add(What::BobWeight, place, "balance", Vec::new(), move |at| {
                Ok(k.bob_weight(throw, at)?.si())
            });
        }
    }

    /// The masses that were not weighed, in words.
    fn weighed(&self) -> String {
        let all = |of: fn(&CylinderKeys) -> bool| self.keys.cylinders.iter().all(of);
        missing(&[
            ("pistons.mass", all(|c| c.masses.piston.is_some())),
            ("pins.mass", all(|c| c.masses.pin.is_some())),
            ("rods.small_end_mass", all(|c| c.masses.small_end.is_some())),
            ("rods.big_end_mass", all(|c| c.masses.big_end.is_some())),
            ("rod_bearings.shell_mass", all(|c| c.masses.shells.is_some())),
        ])
    }

    fn add_shaking(&mut self, keys: &Arc<BalanceKeys>) {
        let speed = ("engine.speed", self.keys.speed.is_some());
        let needs: Vec<String> =
            [self.weighed(), missing(&[speed])].into_iter().filter(|n| !n.is_empty()).collect();
        let needs = needs.join(", ");
        let Some(speed) = self.keys.speed.filter(|_| needs.is_empty()) else {
            return self.lacks(What::ShakingForceFirst, &needs);
        };
        let figures = [
            (What::ShakingForceFirst, 1, true),
            (What::ShakingForceSecond, 2, true),
            (What::ShakingMomentFirst, 1, false),
            (What::ShakingMomentSecond, 2, false),
        ];
        for (what, order, force) in figures {
            let k = keys.clone();
            self.add(what, Place::engine(), "balance", Vec::new(), move |at| {
                let (engine, speed): (ShakingEngine, AngularVelocity) = (k.engine(at, false)?, at.get(speed));
                Ok(match force {
                    true => force_of(engine.force(order)?.greatest(), speed).si(),
                    false => moment_of(engine.moment(order, k.middle(at))?.greatest(), speed).si(),
                })
            });
        }
    }

    fn add_unbalance(&mut self, keys: &Arc<BalanceKeys>) -> Result<()> {
        let Some(planes) = keys.planes else {
            self.lacks(What::DesignUnbalance, "balance.first_plane, balance.second_plane");
            return Ok(());
        };
        for (i, word) in ["first plane", "second plane"].into_iter().enumerate() {
            let place = Place::engine().with(word);
            if self.weighed().is_empty() && !keys.turning.is_empty() {
                let k = keys.clone();
                self.add(What::DesignUnbalance, place.clone(), "balance", Vec::new(), move |at| {
                    let found = k.design(planes, at)?;
                    Ok(found.get(i).map_or(f64::NAN, |p| p.vector().amount().si()))
                });
            }
            let Some(readings) = keys.readings else { continue };
            let Some((amount, _)) = readings.get(i).copied() else { continue };
            self.add(What::ResidualUnbalance, place, "balance.readings", Vec::new(), move |at| {
                Ok(at.get(amount).si())
            });
            if let Some((both, whose)) = &keys.permissible {
                self.limit_last(None, both.get(i).map(|u| u.si()), whose.clone())?;
            }
        }
        Ok(())
    }

    /// What may remain in each plane: the maker's figure, or that of a grade shared out to the bearings.
    fn permissible(
        &mut self,
        b: &Balance,
        planes: Option<[Key<Length>; 2]>,
    ) -> Result<Option<([Unbalance; 2], String)>> {
        let r = &mut self.readings;
        let own = r.maybe::<Unbalance>("balance.permissible", &b.permissible, Allowed::Positive)?;
        let mass = r.maybe::<Mass>("balance.rotor_mass", &b.rotor_mass, Allowed::Positive)?;
        let mut place = |name: &str, text: &Option<Text>| {
            r.maybe::<Length>(&format!("balance.{name}"), text, Allowed::Any)
        };
        let bearings =
            place("first_bearing", &b.first_bearing)?.zip(place("second_bearing", &b.second_bearing)?);
        let centre = place("centre_of_mass", &b.centre_of_mass)?;
        let shares = [
            ("balance.first_bearing", b.first_bearing.is_some()),
            ("balance.second_bearing", b.second_bearing.is_some()),
            ("balance.centre_of_mass", b.centre_of_mass.is_some()),
        ];
        if let (Some((there, _)), Some((absent, _))) =
            (shares.iter().find(|(_, there)| *there), shares.iter().find(|(_, there)| !there))
        {
            let remedy = "the share of each bearing needs both bearings and the centre of mass".into();
            let error = Error::MissingKey { field: (*absent).into(), remedy };
            return Err(self.readings.place(error, there));
        }
        let at = Point::new(&self.readings, &self.readings.values);
        if let (Some(_), Some((extra, _))) = (own, shares.iter().find(|(_, there)| *there)) {
            let remedy =
                "bearings share out a grade; balance.permissible is for each plane as it stands".into();
            return Err(self.readings.place(Error::UnknownKey { field: (*extra).into(), remedy }, extra));
        }
        if let (Some(own), None) = (own, &b.grade) {
            return Ok(Some(([at.get(own); 2], "the balance permitted, as stated".into())));
        }
        let Some(name) = &b.grade else { return Ok(None) };
        if own.is_some() {
            let remedy = "the maker's balance.permissible or a grade, not both".into();
            let error = Error::UnknownKey { field: "balance.grade".into(), remedy };
            return Err(self.readings.place(error, "balance.grade"));
        }
        let grade = BalanceGrade::parse(name).map_err(|e| self.readings.place(e, "balance.grade"))?;
        let (Some(mass), Some(speed)) = (mass, self.keys.speed) else {
            let field = if mass.is_none() { "balance.rotor_mass" } else { "engine.speed" };
            let remedy = "a grade needs balance.rotor_mass and engine.speed".into();
            let error = Error::MissingKey { field: field.into(), remedy };
            return Err(self.readings.place(error, "balance.grade"));
        };
        let whole = grade.permissible(at.get(mass), at.get(speed))?;
        let mut whose = format!("ISO 21940-11, grade {grade}");
        let shared = match (bearings, centre, planes) {
            (Some((first, second)), Some(centre), Some([a, b])) => {
                let (first, second, centre) = (at.get(first), at.get(second), at.get(centre));
                if centre < first || centre > second {
                    let allowed = format!("between the bearings, {} and {}", written(first), written(second));
                    let error = out_of_range("centre of mass", centre, allowed);
                    return Err(self.readings.place(error, "balance.centre_of_mass"));
                }
                let allowed: BearingAllocation = allocate_to_bearings(whole, centre - first, second - centre)
                    .map_err(|e| self.readings.place(e, "balance.centre_of_mass"))?;
                if allowed.limited {
                    whose.push_str(", the bearings' shares kept within 30 and 70 %");
                }
                allocate_to_planes(allowed, [first, second], [at.get(a), at.get(b)])
                    .map_err(|e| self.readings.place(e, "balance.first_bearing"))?
            }
            _ => [whole / 2.0; 2],
        };
        Ok(Some((shared, whose)))
    }
}
