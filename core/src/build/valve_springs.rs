//! Rockers and springs of a document.

use super::readings::{Allowed, Key, Point, Readings};
use super::valve_sections::{Moving, Rocker as RockerText, Spring};
use crate::balance::drill::STEEL_DENSITY;
use crate::error::{Error, Result};
use crate::units::{Angle, Dimensioned, Force, Frequency, Length, Mass, Pressure, Ratio, SpringRate};
use crate::valvetrain::rocker::{LifterSeat, Rocker, RockerArm, Train};
use crate::valvetrain::spring::{
    HelicalSpring, InstalledSpring, SpringSet, TrainMasses, ValveSpring, rate_from_readings, surge_frequency,
};

type Maybe<Q> = Option<Key<Q>>;

/// A rocker of real geometry; design figures.
pub(super) fn rocker(doc: &RockerText, field: &str, r: &Readings) -> Result<Train> {
    let length = |n: &str, text| r.exact::<Length>(&format!("{field}.{n}"), text);
    let included: Angle = r.exact(&format!("{field}.included_angle"), &doc.included_angle)?;
    let lean = match &doc.lifter_lean {
        Some(text) => r.exact(&format!("{field}.lifter_lean"), text)?,
        None => Angle::from_si(0.0),
    };
    let placed = |e: Error| r.place(e, field);
    let (tip, radius) = (length("tip_arm", &doc.tip_arm)?, length("tip_radius", &doc.tip_radius)?);
    let arm = RockerArm::new(tip, radius, length("cup_arm", &doc.cup_arm)?, included).map_err(placed)?;
    let (across, height) =
        (length("lifter_across", &doc.lifter_across)?, length("lifter_height", &doc.lifter_height)?);
    let seat = LifterSeat::new(across, height, lean).map_err(placed)?;
    let (stem, pivot) =
        (length("stem_across", &doc.stem_across)?, length("pivot_height", &doc.pivot_height)?);
    let rocker = Rocker::new(arm, stem, pivot, seat).map_err(placed)?;
    let rocker = match &doc.pushrod {
        Some(text) => rocker.with_pushrod(length("pushrod", text)?).map_err(placed)?,
        None => rocker,
    };
    Ok(Train::over(rocker))
}

/// How a spring's rate is known.
#[derive(Debug, Clone, Copy)]
enum RateKeys {
    Stated(Key<SpringRate>),
    Second(Key<Length>, Key<Force>),
}

/// How a spring's solid height is known.
#[derive(Debug, Clone, Copy)]
enum SolidKeys {
    Read(Key<Length>),
    Coils(Key<Length>, Key<Ratio>),
}

/// One spring.
#[derive(Debug, Clone, Copy)]
pub(super) struct SpringKeys {
    pub(super) installed: Key<Length>,
    test: (Key<Length>, Key<Force>),
    rate: RateKeys,
    solid: SolidKeys,
    wire: Maybe<Length>,
    mean: Maybe<Length>,
    active: Maybe<Ratio>,
    mass: Maybe<Mass>,
}

impl SpringKeys {
    pub(super) fn read(doc: &Spring, field: &str, r: &mut Readings) -> Result<Self> {
        use Allowed::Positive;
        let name = |n: &str| format!("{field}.{n}");
        let installed = r.one(&name("installed_height"), &doc.installed_height, Positive)?;
        let test = (
            r.one(&name("test_height"), &doc.test_height, Positive)?,
            r.one(&name("test_load"), &doc.test_load, Allowed::NonNegative)?,
        );
        let wire = r.maybe(&name("wire_diameter"), &doc.wire_diameter, Positive)?;
        let second_height = r.maybe(&name("second_height"), &doc.second_height, Positive)?;
        let second_load = r.maybe(&name("second_load"), &doc.second_load, Positive)?;
        let rate = match (r.maybe(&name("rate"), &doc.rate, Positive)?, second_height.zip(second_load)) {
            (Some(rate), None) if second_height.is_none() && second_load.is_none() => RateKeys::Stated(rate),
            (None, Some((height, load))) => RateKeys::Second(height, load),
            (rate, _) => {
                return Err(either(&name("rate"), "second_height with second_load", rate.is_some(), r));
            }
        };
        let coils = wire.zip(r.maybe(&name("total_coils"), &doc.total_coils, Positive)?);
        let solid = match (r.maybe(&name("solid_height"), &doc.solid_height, Positive)?, coils) {
            (Some(_), Some(_)) => {
                return Err(either(&name("total_coils"), "solid_height", true, r));
            }
            (Some(read), None) => SolidKeys::Read(read),
            (None, Some((wire, coils))) => SolidKeys::Coils(wire, coils),
            (None, None) => {
                return Err(either(&name("solid_height"), "wire_diameter with total_coils", false, r));
            }
        };
        Ok(Self {
            installed,
            test,
            rate,
            solid,
            wire,
            mean: r.maybe(&name("mean_diameter"), &doc.mean_diameter, Positive)?,
            active: r.maybe(&name("active_coils"), &doc.active_coils, Positive)?,
            mass: r.maybe(&name("mass"), &doc.mass, Positive)?,
        })
    }

    fn rate(&self, at: &Point<'_>) -> Result<SpringRate> {
        let first = (at.get(self.test.0), at.get(self.test.1));
        match self.rate {
            RateKeys::Stated(rate) => Ok(at.get(rate)),
            RateKeys::Second(height, load) => rate_from_readings(first, (at.get(height), at.get(load))),
        }
    }

    fn solid(&self, at: &Point<'_>) -> Length {
        match self.solid {
            SolidKeys::Read(key) => at.get(key),
            SolidKeys::Coils(wire, coils) => at.get(wire) * at.get(coils),
        }
    }

    /// Open height less solid height.
    pub(super) fn coil_bind_margin(&self, lift: Length, at: &Point<'_>) -> Length {
        at.get(self.installed) - lift - self.solid(at)
    }

    /// The spring where it is installed; its load follows its rate down to any height, for coil bind is a figure of its own.
    pub(super) fn spring(&self, at: &Point<'_>) -> Result<InstalledSpring> {
        const NO_HEIGHT: f64 = 1e-6;
        let (height, load) = (at.get(self.test.0), at.get(self.test.1));
        let spring = ValveSpring::new(self.rate(at)?, height, load, Length::from_si(NO_HEIGHT))?;
        InstalledSpring::new(spring, at.get(self.installed))
    }

    fn coils(&self, at: &Point<'_>) -> Result<Option<HelicalSpring>> {
        let (Some(wire), Some(mean), Some(active)) = (self.wire, self.mean, self.active) else {
            return Ok(None);
        };
        let (wire, mean, active) = (at.get(wire), at.get(mean), at.get(active));
        HelicalSpring::squared_and_ground(wire, mean, active).map(Some)
    }

    /// Shear stress of the wire at a lift, with Bergstraesser's factor.
    pub(super) fn stress(&self, lift: Length, at: &Point<'_>) -> Result<Option<Pressure>> {
        let Some(coils) = self.coils(at)? else { return Ok(None) };
        let load = self.spring(at)?.load(lift)?;
        coils.shear_stress(load, coils.bergstraesser_factor()).map(Some)
    }

    /// Lowest natural frequency, from the wire of steel.
    pub(super) fn frequency(&self, at: &Point<'_>) -> Result<Option<Frequency>> {
        let Some(coils) = self.coils(at)? else { return Ok(None) };
        surge_frequency(self.rate(at)?, coils.active_mass(STEEL_DENSITY)?).map(Some)
    }

    pub(super) fn has_coils(&self) -> bool {
        self.wire.is_some() && self.mean.is_some() && self.active.is_some()
    }
}

/// All springs of a valve together.
pub(super) fn set(springs: &[SpringKeys], at: &Point<'_>) -> Result<SpringSet> {
    let all = springs.iter().map(|s| s.spring(at)).collect::<Result<Vec<_>>>()?;
    SpringSet::of(&all)
}

/// What moves with a valve.
#[derive(Debug, Clone, Copy)]
pub(super) struct MovingKeys {
    valve: Key<Mass>,
    retainer: Key<Mass>,
    rocker: Maybe<Mass>,
    lifter: Maybe<Mass>,
}

impl MovingKeys {
    pub(super) fn read(doc: &Moving, field: &str, r: &mut Readings) -> Result<Self> {
        let name = |n: &str| format!("{field}.{n}");
        Ok(Self {
            valve: r.one(&name("valve"), &doc.valve, Allowed::Positive)?,
            retainer: r.one(&name("retainer_and_locks"), &doc.retainer_and_locks, Allowed::NonNegative)?,
            rocker: r.maybe(&name("rocker"), &doc.rocker, Allowed::NonNegative)?,
            lifter: r.maybe(&name("lifter_and_pushrod"), &doc.lifter_and_pushrod, Allowed::NonNegative)?,
        })
    }

    /// The mass at the valve that has the kinetic energy of all of it, the springs included where they were weighed.
    pub(super) fn effective(&self, springs: &[SpringKeys], ratio: Ratio, at: &Point<'_>) -> Result<Mass> {
        let of = |key: Maybe<Mass>| key.map_or(Mass::from_si(0.0), |k| at.get(k));
        let springs = springs.iter().map(|s| of(s.mass).si()).sum();
        let masses = TrainMasses::new(
            at.get(self.valve),
            at.get(self.retainer),
            Mass::from_si(springs),
            of(self.rocker),
            of(self.lifter),
            ratio,
        )?;
        Ok(masses.effective())
    }
}

/// The refusal of two ways of saying the same, both or neither.
fn either(field: &str, other: &str, both: bool, r: &Readings) -> Error {
    let remedy = match both {
        true => format!("this or {other}, not both"),
        false => format!("or {other}"),
    };
    let error = match both {
        true => Error::UnknownKey { field: field.into(), remedy },
        false => Error::MissingKey { field: field.into(), remedy },
    };
    r.place(error, field)
}
