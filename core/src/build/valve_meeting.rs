//! One kind of valve over the piston of one cylinder: how near they come.

use super::chain::{Chain, Formula};
use super::keys::CylinderKeys;
use super::readings::Point;
use super::terms::What;
use super::valve_keys::{ValveKeys, ValveTrainKeys};
use crate::error::Result;
use crate::units::{Angle, Dimensioned, Length};
use crate::valvetrain::pocket::{
    AdvanceLimits, ClearanceSearch, CrankGrid, LeastClearance, MeasuredAlong, PistonToValve,
};
use crate::valvetrain::timing::ValveKind;
use std::sync::Arc;

/// One kind of valve over the piston of one cylinder.
pub(super) struct Meeting {
    keys: Arc<ValveTrainKeys>,
    kind: usize,
    /// From 0.
    pub(super) cylinder: usize,
    c: CylinderKeys,
    piston: Formula,
}

impl Chain {
    /// One kind of valve over the piston of one cylinder (from 0), where all is known that it takes.
    pub(super) fn meeting(&self, kind: usize, cylinder: usize) -> Option<Meeting> {
        let keys = self.valves.clone()?;
        if !keys.valves.get(kind)?.needs_for_head().is_empty() {
            return None;
        }
        let (piston, _) = self.piston_to_head_of(cylinder)?;
        Some(Meeting::new(keys, kind, (cylinder, *self.keys.cylinders.get(cylinder)?), piston))
    }
}

impl Meeting {
    /// The cylinder by its place from 0.
    pub(super) fn new(
        keys: Arc<ValveTrainKeys>,
        kind: usize,
        (cylinder, c): (usize, CylinderKeys),
        piston: Formula,
    ) -> Self {
        Self { keys, kind, cylinder, c, piston }
    }

    fn valve(&self) -> &ValveKeys {
        let [intake, exhaust] = &self.keys.valves;
        if self.kind == 0 { intake } else { exhaust }
    }

    pub(super) fn what(&self) -> What {
        match self.valve().kind {
            ValveKind::Intake => What::IntakeValveToPiston,
            ValveKind::Exhaust => What::ExhaustValveToPiston,
        }
    }

    pub(super) fn lash(&self, at: &Point<'_>) -> Length {
        self.valve().lash(at)
    }

    pub(super) fn gap(&self, at: &Point<'_>) -> Result<Option<PistonToValve>> {
        let v = self.valve();
        let Some(head) = v.valve_head(at)? else { return Ok(None) };
        let piston = Length::from_si((self.piston)(at)?);
        let pocket = v.crown_pocket(self.cylinder, at)?;
        PistonToValve::new(self.c.cylinder(at)?, head, piston, pocket, self.keys.allowances(at)?).map(Some)
    }

    /// The least clearance along the stem and where it is.
    pub(super) fn least(&self, at: &Point<'_>) -> Result<Option<LeastClearance>> {
        self.least_with(self.lash(at), Angle::from_si(0.0), at)
    }

    /// The same with another lash, the cam advanced further.
    pub(super) fn least_with(
        &self,
        lash: Length,
        by: Angle,
        at: &Point<'_>,
    ) -> Result<Option<LeastClearance>> {
        let Some(gap) = self.gap(at)? else { return Ok(None) };
        let (grid, along) = (CrankGrid::default(), MeasuredAlong::Stem);
        let motion = self.valve().motion_with(lash, at)?;
        ClearanceSearch { gap: &gap, grid, along, motion }.at_advance(by).map(Some)
    }

    /// Between which further advances a clearance is kept.
    pub(super) fn advance_limits(
        &self,
        needed: Length,
        low: Angle,
        high: Angle,
        at: &Point<'_>,
    ) -> Result<Option<AdvanceLimits>> {
        let Some(gap) = self.gap(at)? else { return Ok(None) };
        let (grid, along) = (CrankGrid::default(), MeasuredAlong::Stem);
        let search = ClearanceSearch { gap: &gap, grid, along, motion: self.valve().motion(at)? };
        search.advance_limits(needed, low, high).map(Some)
    }

    /// The least clearance to the wall of the pocket, or to the bore; none where the head never comes below the crown.
    pub(super) fn least_wall(&self, at: &Point<'_>, pocket: bool) -> Result<Option<f64>> {
        let Some(gap) = self.gap(at)? else { return Ok(None) };
        // It moves as the head does, sideways: whole degrees are fine enough.
        let (grid, along) = (CrankGrid::new(360)?, MeasuredAlong::Stem);
        let search = ClearanceSearch { gap: &gap, grid, along, motion: self.valve().motion(at)? };
        let least = if pocket { search.least_pocket_wall()? } else { search.least_bore_wall()? };
        Ok(least.map(|l| l.clearance.si()))
    }
}
