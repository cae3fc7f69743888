//! The figures of balance: bob weights, shaking forces and moments, unbalance by design and as read.

use super::balance_sections::{Balance, Counterweight};
use super::chain::{Chain, Place, PlaceKind};
use super::document::{Document, Text};
use super::drilling::Sites;
use super::figures::missing;
use super::keys::CylinderKeys;
use super::readings::{Allowed, Key, Point, Readings};
use super::terms::What;
use super::trials;
use crate::balance::counterweight::CounterweightSector;
use crate::balance::unbalance::{
    BalanceGrade, BearingAllocation, PlacedUnbalance, UnbalanceVector, allocate_to_bearings,
    allocate_to_planes, to_planes,
};
use crate::balance::{
    RotatingMass, ShakingCylinder, ShakingEngine, ThrowPiston, best_share, bob_weight, force_of, moment_of,
};
use crate::error::{Error, Result};
use crate::geometry::{Layout, Station};
use crate::units::{Angle, AngularVelocity, Dimensioned, Length, Mass, Ratio, Unbalance};
use std::sync::Arc;

/// How a counterweight's unbalance is known.
#[derive(Debug, Clone, Copy)]
enum Weight {
    Read(Key<Unbalance>),
    Sector { inner: Key<Length>, outer: Key<Length>, angle: Key<Angle>, thickness: Key<Length>, density: f64 },
}

/// What turns besides rods and bob weights.
#[derive(Debug, Clone, Copy)]
struct Turning {
    weight: Weight,
    angle: Key<Angle>,
    position: Key<Length>,
    turns: i32,
}

impl Turning {
    fn at(&self, at: &Point<'_>) -> Result<RotatingMass> {
        let unbalance = match self.weight {
            Weight::Read(key) => at.get(key),
            Weight::Sector { inner, outer, angle, thickness, density } => CounterweightSector::new(
                at.get(inner),
                at.get(outer),
                at.get(angle),
                at.get(thickness),
                density,
            )?
            .unbalance(),
        };
        RotatingMass::new(unbalance, at.get(self.angle), at.get(self.position), self.turns)
    }
}

/// All that is known of the balance.
#[derive(Debug)]
pub(super) struct BalanceKeys {
    stations: Vec<Station>,
    pins: Vec<Key<Length>>,
    offsets: Option<Vec<Key<Length>>>,
    share: Option<Key<Ratio>>,
    oil: Option<Key<Mass>>,
    pub(super) most_off: Option<Key<Mass>>,
    turning: Vec<Turning>,
    pub(super) planes: Option<[Key<Length>; 2]>,
    /// Amount and angle of each plane, as read.
    pub(super) readings: Option<[(Key<Unbalance>, Key<Angle>); 2]>,
    /// What may remain in each plane, and whose figure it is.
    pub(super) permissible: Option<([Unbalance; 2], String)>,
    cylinders: Vec<CylinderKeys>,
    pub(super) sites: Sites,
}

impl BalanceKeys {
    fn read(b: &Balance, layout: &Layout, cylinders: &[CylinderKeys], r: &mut Readings) -> Result<Self> {
        use Allowed::{Any, NonNegative};
        let throws = cylinders.iter().map(|c| c.throw + 1).max().unwrap_or(0);
        let (pin_field, offset_field) = ("balance.pin_positions", "balance.rod_offsets");
        r.exact_length(pin_field, b.pin_positions.len(), throws, "crankpin")?;
        let pins = r.list(pin_field, &b.pin_positions, Any)?;
        let offsets = match &b.rod_offsets {
            Some(texts) => {
                r.exact_length(offset_field, texts.len(), cylinders.len(), "cylinder")?;
                Some(r.list(offset_field, texts, Any)?)
            }
            None => None,
        };
        let one = 1.0 + 1e-12;
        let share = Allowed::Between(-1e-12, one, "0 to 100 %");
        let planes = r.maybe("balance.first_plane", &b.first_plane, Any)?.zip(r.maybe(
            "balance.second_plane",
            &b.second_plane,
            Any,
        )?);
        let readings = match (&b.readings, &b.trials) {
            (None, None) => None,
            (None, Some(trials)) => Some(trials::found(trials, r)?),
            (Some(_), Some(_)) => {
                let remedy = "readings of a machine or trial runs, not both".into();
                let error = Error::UnknownKey { field: "balance.trials".into(), remedy };
                return Err(r.place(error, "balance.trials"));
            }
            (Some(m), None) => {
                let mut heavy = |name: &str,
                                 h: &super::balance_sections::Heavy|
                 -> Result<(Key<Unbalance>, Key<Angle>)> {
                    let field = format!("balance.readings.{name}");
                    let amount = r.one(&format!("{field}.amount"), &h.amount, NonNegative)?;
                    Ok((amount, r.one(&format!("{field}.heavy_at"), &h.heavy_at, Any)?))
                };
                Some([heavy("first", &m.first)?, heavy("second", &m.second)?])
            }
        };
        Ok(Self {
            stations: layout.stations().to_vec(),
            pins,
            offsets,
            most_off: r.maybe("balance.most_off", &b.most_off, NonNegative)?,
            share: r.maybe("balance.share", &b.share, share)?,
            oil: r.maybe("balance.oil", &b.oil, NonNegative)?,
            turning: turning(b, r)?,
            planes: planes.map(|(a, b)| [a, b]),
            readings,
            permissible: None,
            cylinders: cylinders.to_vec(),
            sites: Sites::read(b, r)?,
        })
    }

    fn throws(&self) -> usize {
        self.pins.len()
    }

    /// The angle of a throw with the crank at zero.
    fn throw_angle(&self, throw: usize) -> Angle {
        let of = |(c, s): (&CylinderKeys, &Station)| (c.throw == throw).then_some(s.throw_angle);
        let found = self.cylinders.iter().zip(&self.stations).find_map(of);
        found.unwrap_or(Angle::from_si(0.0))
    }

    /// Reciprocating mass of a cylinder; none where a part was not weighed.
    fn reciprocating(c: &CylinderKeys, at: &Point<'_>) -> Option<Mass> {
        c.masses.reciprocating().map(|parts| at.sum(&parts))
    }

    /// What turns with the pin for one rod; none where a part was not weighed.
    fn rotating(c: &CylinderKeys, at: &Point<'_>) -> Option<Mass> {
        c.masses.rotating().map(|parts| at.sum(&parts))
    }

    /// The share of the reciprocating mass: as stated, or the best for the pistons of the throw.
    pub(super) fn share(&self, throw: usize, at: &Point<'_>) -> Result<Ratio> {
        match self.share {
            Some(key) => Ok(at.get(key)),
            None => best_share(&self.pistons(throw, at)),
        }
    }

    /// The pistons that hang on a throw.
    pub(super) fn pistons(&self, throw: usize, at: &Point<'_>) -> Vec<ThrowPiston> {
        let on = self.cylinders.iter().zip(&self.stations).filter(|(c, _)| c.throw == throw);
        on.filter_map(|(c, s)| {
            Some(ThrowPiston {
                bank_angle: s.bank_angle,
                pin_angle: Angle::from_si(0.0),
                reciprocating: Self::reciprocating(c, at)?,
            })
        })
        .collect()
    }

    /// The bob weight of a throw.
    pub(super) fn bob_weight(&self, throw: usize, at: &Point<'_>) -> Result<Mass> {
        let on = || self.cylinders.iter().filter(|c| c.throw == throw);
        let mut round: Vec<Mass> = on().filter_map(|c| Self::rotating(c, at)).collect();
        if let (Some(first), Some(oil)) = (round.first_mut(), self.oil) {
            *first += at.get(oil);
        }
        let up_and_down: Vec<Mass> = on().filter_map(|c| Self::reciprocating(c, at)).collect();
        bob_weight(&round, &up_and_down, self.share(throw, at)?)
    }

    /// The engine with all its masses; `bare` leaves counterweights and balance shafts out.
    pub(super) fn engine(&self, at: &Point<'_>, bare: bool) -> Result<ShakingEngine> {
        let mut cylinders = Vec::new();
        let mut rotating = Vec::new();
        for (i, (c, station)) in self.cylinders.iter().zip(&self.stations).enumerate() {
            let pin = self.pins.get(c.throw).map_or(Length::from_si(0.0), |k| at.get(*k));
            let offset =
                self.offsets.as_ref().and_then(|o| o.get(i)).map_or(Length::from_si(0.0), |k| at.get(*k));
            let (position, cylinder) = (pin + offset, c.cylinder(at)?);
            let none = Mass::from_si(0.0);
            let mass = Self::reciprocating(c, at).unwrap_or(none);
            cylinders.push(ShakingCylinder { cylinder, station: *station, position, reciprocating: mass });
            let round = Self::rotating(c, at).unwrap_or(none);
            rotating.push(RotatingMass::on_crank(
                round,
                cylinder.crank_radius(),
                station.throw_angle,
                position,
            )?);
        }
        if !bare {
            rotating.extend(self.turning.iter().map(|t| t.at(at)).collect::<Result<Vec<_>>>()?);
        }
        ShakingEngine::new(cylinders, rotating)
    }

    /// What the crank with its bob weights and counterweights is heavy by in the two planes, before anything is drilled.
    pub(super) fn design(&self, planes: [Key<Length>; 2], at: &Point<'_>) -> Result<[PlacedUnbalance; 2]> {
        let mut all = Vec::new();
        for (throw, pin) in self.pins.iter().enumerate() {
            let radius =
                self.cylinders.iter().find(|c| c.throw == throw).map(|c| c.cylinder(at)).transpose()?;
            let radius = radius.map_or(Length::from_si(0.0), |c| c.crank_radius());
            let bob =
                UnbalanceVector::from_mass(self.bob_weight(throw, at)?, radius, self.throw_angle(throw))?;
            all.push(PlacedUnbalance::new(bob, at.get(*pin))?);
        }
        for turning in self.turning.iter().filter(|t| t.turns == 1) {
            let mass = turning.at(at)?;
            all.push(PlacedUnbalance::new(
                UnbalanceVector::heavy_at(mass.unbalance, mass.angle)?,
                mass.position,
            )?);
        }
        let [a, b] = planes;
        to_planes(&all, at.get(a), at.get(b))
    }
}

fn turning(b: &Balance, r: &mut Readings) -> Result<Vec<Turning>> {
    let mut all = Vec::new();
    for (i, weight) in b.counterweights.iter().enumerate() {
        let field = format!("balance.counterweights[{}]", i + 1);
        all.push(Turning {
            weight: counterweight(weight, &field, r)?,
            angle: r.one(&format!("{field}.angle"), &weight.angle, Allowed::Any)?,
            position: r.one(&format!("{field}.position"), &weight.position, Allowed::Any)?,
            turns: 1,
        });
    }
    for (i, external) in b.external.iter().enumerate() {
        let field = format!("balance.external[{}]", i + 1);
        let unbalance = r.one(&format!("{field}.unbalance"), &external.unbalance, Allowed::NonNegative)?;
        let turning = Turning {
            weight: Weight::Read(unbalance),
            angle: r.one(&format!("{field}.angle"), &external.angle, Allowed::Any)?,
            position: r.one(&format!("{field}.position"), &external.position, Allowed::Any)?,
            turns: external.turns,
        };
        let values = r.values.clone();
        turning.at(&Point::new(r, &values)).map_err(|e| r.place(e, &format!("{field}.turns")))?;
        all.push(turning);
    }
    Ok(all)
}

fn counterweight(doc: &Counterweight, field: &str, r: &mut Readings) -> Result<Weight> {
    let parts = [
        ("inner_radius", doc.inner_radius.is_some()),
        ("outer_radius", doc.outer_radius.is_some()),
        ("included_angle", doc.included_angle.is_some()),
        ("thickness", doc.thickness.is_some()),
        ("metal", doc.metal.is_some()),
    ];
    let name = |n: &str| format!("{field}.{n}");
    if let Some(unbalance) = &doc.unbalance {
        if let Some((extra, _)) = parts.iter().find(|(_, there)| *there) {
            let remedy = "a counterweight has its unbalance or its sector, not both".into();
            return Err(r.place(Error::UnknownKey { field: name(extra), remedy }, &name(extra)));
        }
        return Ok(Weight::Read(r.one(&name("unbalance"), unbalance, Allowed::NonNegative)?));
    }
    let (Some(inner), Some(outer), Some(angle), Some(thickness), Some(metal)) =
        (&doc.inner_radius, &doc.outer_radius, &doc.included_angle, &doc.thickness, &doc.metal)
    else {
        let remedy = format!("its unbalance, or the rest of its sector: {}", missing(&parts));
        return Err(r.place(Error::MissingKey { field: name("unbalance"), remedy }, field));
    };
    let weight = Weight::Sector {
        inner: r.one(&name("inner_radius"), inner, Allowed::NonNegative)?,
        outer: r.one(&name("outer_radius"), outer, Allowed::Positive)?,
        angle: r.one(&name("included_angle"), angle, Allowed::Positive)?,
        thickness: r.one(&name("thickness"), thickness, Allowed::Positive)?,
        density: metal_density(metal).map_err(|e| r.place(e, &name("metal")))?,
    };
    Ok(weight)
}

/// The density of a crank's metal, kg/m3.
pub(super) fn metal_density(name: &str) -> Result<f64> {
    match name.trim() {
        "iron" => Ok(crate::balance::drill::IRON_DENSITY),
        "steel" => Ok(crate::balance::drill::STEEL_DENSITY),
        other => Err(Error::OutOfRange {
            field: "metal".into(),
            value: other.chars().take(40).collect(),
            allowed: "iron or steel".into(),
        }),
    }
}

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
        self.balance = Some(keys);
        Ok(())
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
        let values = self.readings.values.clone();
        let at = Point::new(&self.readings, &values);
        let [a, b] = planes;
        if at.get(a) == at.get(b) {
            let error =
                crate::error::out_of_range("second plane", at.get(b), "another position than the first");
            return Err(self.readings.place(error, "balance.second_plane"));
        }
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
        let values = r.values.clone();
        let at = Point::new(&self.readings, &values);
        if let Some(own) = own {
            return Ok(Some(([at.get(own); 2], "the balance permitted, as stated".into())));
        }
        let Some(name) = &b.grade else { return Ok(None) };
        let grade = BalanceGrade::parse(name).map_err(|e| self.readings.place(e, "balance.grade"))?;
        let (Some(mass), Some(speed)) = (mass, self.keys.speed) else {
            let remedy = "a grade needs balance.rotor_mass and engine.speed".into();
            let error = Error::MissingKey { field: "balance.rotor_mass".into(), remedy };
            return Err(self.readings.place(error, "balance.grade"));
        };
        let whole = grade.permissible(at.get(mass), at.get(speed))?;
        let shared = match (bearings, centre, planes) {
            (Some((first, second)), Some(centre), Some([a, b])) => {
                let (first, second, centre) = (at.get(first), at.get(second), at.get(centre));
                let allowed: BearingAllocation = allocate_to_bearings(whole, centre - first, second - centre)
                    .map_err(|e| self.readings.place(e, "balance.centre_of_mass"))?;
                allocate_to_planes(allowed, [first, second], [at.get(a), at.get(b)])
                    .map_err(|e| self.readings.place(e, "balance.first_bearing"))?
            }
            _ => [whole / 2.0; 2],
        };
        Ok(Some((shared, format!("ISO 21940-11, grade {grade}"))))
    }
}

impl BalanceKeys {
    /// The middle of the crankpins, which moments are about.
    pub(super) fn middle(&self, at: &Point<'_>) -> Length {
        let sum: f64 = self.pins.iter().map(|p| at.get(*p).si()).sum();
        Length::from_si(sum / self.pins.len().max(1) as f64)
    }
}
