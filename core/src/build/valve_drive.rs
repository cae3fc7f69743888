//! The drive of an overhead cam: what stretch of its chain and a milled deck or head do to the phase.

use super::readings::{Allowed, Key, Point, Readings};
use super::valve_sections::Drive;
use crate::error::{Error, Result};
use crate::units::{Angle, Length};
use crate::valvetrain::timing::{ChainDrive, sprocket_pitch_radius};

/// Chain and sprockets.
#[derive(Debug, Clone, Copy)]
pub(super) struct DriveKeys {
    pitch: Key<Length>,
    teeth: [u32; 2],
    centres: Key<Length>,
    milled: Option<Key<Length>>,
    stretch: Option<Key<Length>>,
}

impl DriveKeys {
    pub(super) fn read(doc: &Drive, r: &mut Readings) -> Result<Self> {
        let name = |n: &str| format!("valves.drive.{n}");
        if doc.cam_teeth != 2 * doc.crank_teeth {
            let error = Error::OutOfRange {
                field: "cam_teeth".into(),
                value: doc.cam_teeth.to_string(),
                allowed: format!("twice those of the crank, {}", 2 * u64::from(doc.crank_teeth)),
            };
            return Err(r.place(error, &name("cam_teeth")));
        }
        let keys = Self {
            pitch: r.one(&name("chain_pitch"), &doc.chain_pitch, Allowed::Positive)?,
            teeth: [doc.crank_teeth, doc.cam_teeth],
            centres: r.one(&name("centre_distance"), &doc.centre_distance, Allowed::Positive)?,
            milled: r.maybe(&name("milled"), &doc.milled, Allowed::Any)?,
            stretch: r.maybe(&name("stretch"), &doc.stretch, Allowed::NonNegative)?,
        };
        keys.advance(&Point::new(r, &r.values)).map_err(|e| r.place(e, "valves.drive"))?;
        Ok(keys)
    }

    /// The advance that milling and stretch bring, crank angle; below zero for both.
    pub(super) fn advance(&self, at: &Point<'_>) -> Result<Angle> {
        let [crank, cam] = self.teeth;
        let pitch = at.get(self.pitch);
        let radii = (sprocket_pitch_radius(pitch, crank)?, sprocket_pitch_radius(pitch, cam)?);
        let drive = ChainDrive::new(radii.0, radii.1, at.get(self.centres))?;
        let milled = self.milled.map(|key| drive.advance_from_centre_distance(-at.get(key))).transpose()?;
        let stretched = self.stretch.map(|key| drive.advance_from_stretch(at.get(key))).transpose()?;
        Ok(milled.unwrap_or_default() + stretched.unwrap_or_default())
    }
}
