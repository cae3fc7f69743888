//! The cam's profile under its follower: undercutting and the pressure angle.

use super::readings::{Allowed, Key, Point, Readings};
use super::valve_sections::Lobe;
use crate::error::{Error, Result};
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::follower::{FlatFollower, RollerFollower};
use crate::valvetrain::lift::LiftCurve;

/// What the cam's profile is checked against.
#[derive(Debug, Clone, Copy)]
pub(super) struct ProfileKeys {
    base: Key<Length>,
    /// Of a roller; none for a flat follower.
    pub(super) roller: Option<Key<Length>>,
}

pub(super) fn profile(doc: &Lobe, field: &str, r: &mut Readings) -> Result<Option<ProfileKeys>> {
    let name = |n: &str| format!("{field}.{n}");
    let base = r.maybe(&name("base_circle_radius"), &doc.base_circle_radius, Allowed::Positive)?;
    let roller = r.maybe(&name("roller_radius"), &doc.roller_radius, Allowed::Positive)?;
    let lacks = |n: &str| {
        let remedy = "this follower needs it".into();
        r.place(Error::MissingKey { field: name(n), remedy }, field)
    };
    match doc.follower.as_deref().map(str::trim) {
        None => Ok(None),
        Some("flat") if roller.is_some() => {
            let field = name("roller_radius");
            let remedy = "a flat follower has none".into();
            Err(r.place(Error::UnknownKey { field: field.clone(), remedy }, &field))
        }
        Some("flat") => {
            Ok(Some(ProfileKeys { base: base.ok_or_else(|| lacks("base_circle_radius"))?, roller: None }))
        }
        Some("roller") => {
            let base = base.ok_or_else(|| lacks("base_circle_radius"))?;
            Ok(Some(ProfileKeys { base, roller: Some(roller.ok_or_else(|| lacks("roller_radius"))?) }))
        }
        Some(other) => {
            let value = format!("\"{}\"", other.chars().take(40).collect::<String>());
            let error =
                Error::OutOfRange { field: "follower".into(), value, allowed: "flat or roller".into() };
            Err(r.place(error, &name("follower")))
        }
    }
}

impl ProfileKeys {
    fn roller(&self, radius: Key<Length>, at: &Point<'_>) -> Result<RollerFollower> {
        RollerFollower::new(at.get(self.base), at.get(radius), Length::from_si(0.0))
    }

    /// Least convex radius of the cam; an undercut cam is refused.
    pub(super) fn least_radius(&self, curve: &LiftCurve, at: &Point<'_>) -> Result<Length> {
        let (by_cam, none) = (|cam| curve.at(cam), Length::from_si(0.0));
        let found = match self.roller {
            Some(radius) => self.roller(radius, at)?.check_curvature(by_cam, none)?,
            None => FlatFollower::new(at.get(self.base))?.check_curvature(by_cam, none)?,
        };
        Ok(found.value)
    }

    /// Greatest pressure angle of the roller, without its sign.
    pub(super) fn pressure_angle(&self, curve: &LiftCurve, at: &Point<'_>) -> Result<Option<Angle>> {
        let Some(radius) = self.roller else { return Ok(None) };
        let found = self.roller(radius, at)?.greatest_pressure_angle(|cam| curve.at(cam))?;
        Ok(Some(found.value.abs()))
    }
}
