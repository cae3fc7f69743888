//! The rows of a drill plan on the sheet.

use super::sheet::Printed;
use serde::Serialize;

/// One hole of a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillRow {
    /// Which counterweight.
    pub cheek: String,
    /// From the crank's zero, positive in running direction.
    pub angle_deg: f64,
    /// Which way: "radial" or "axial".
    pub way: &'static str,
    /// Along the crank: the middle of the hole.
    pub position: Printed,
    /// Radius of the mouth, or of the axis of an axial hole.
    pub radius: Printed,
    /// Angle of the drill's point; 180 deg for a flat bottom.
    pub point_deg: f64,
    /// The drill, or the slug.
    pub diameter: Printed,
    /// Depth of the full diameter.
    pub depth: Printed,
    /// Metal of the crank that goes.
    pub removed: Printed,
    /// Mass of the slug that comes, where there is one.
    pub slug: Option<Printed>,
    /// What is left in the first plane after this hole.
    pub left_first: Printed,
    /// Where it is heavy.
    pub left_first_deg: f64,
    /// What is left in the second plane after this hole.
    pub left_second: Printed,
    /// Where it is heavy.
    pub left_second_deg: f64,
    /// Whether both planes are inside after it: the work may stop here.
    pub inside: bool,
}

/// A hole that is there already, for the map; its point is not known and is not drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrilledRow {
    /// Which counterweight.
    pub cheek: String,
    /// From the crank's zero, positive in running direction.
    pub angle_deg: f64,
    /// Which way: "radial" or "axial".
    pub way: &'static str,
    /// Radius of the mouth, or of the axis of an axial hole.
    pub radius: Printed,
    /// Its diameter.
    pub diameter: Printed,
    /// Depth of the full diameter.
    pub depth: Printed,
    /// A flat bottom: 180 deg.
    pub point_deg: f64,
}

/// A counterweight's metal, for the map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CheekRow {
    /// Its name.
    pub cheek: String,
    /// Which way its holes go: "radial" or "axial".
    pub way: &'static str,
    /// Along the crank: the middle of the holes.
    pub position: Printed,
    /// One end of its metal.
    pub from_deg: f64,
    /// The other, further in running direction.
    pub to_deg: f64,
    /// Radius of the holes' mouths or axes.
    pub radius: Printed,
}

/// The plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillTable {
    /// The holes in their order.
    pub steps: Vec<DrillRow>,
    /// Whether there is a plan that brings both planes inside.
    pub inside: bool,
    /// Whether no plan has fewer holes, and none with as many removes less metal.
    pub proved: bool,
    /// No plan has fewer holes.
    pub least_holes: Option<usize>,
    /// Metal that goes in all.
    pub removed: Option<Printed>,
    /// Why there is no plan, with the figures; the steps are then those that come nearest.
    pub shortfall: Option<String>,
    /// What each plane is held to: its limit less the guard for the reading's uncertainty.
    pub guarded: Vec<Printed>,
    /// The counterweights that may be drilled.
    pub cheeks: Vec<CheekRow>,
    /// The holes that are there already.
    pub drilled: Vec<DrilledRow>,
    /// How the angles and lengths are to be read at the crank.
    pub reference: Vec<&'static str>,
    /// What to mind.
    pub cautions: Vec<&'static str>,
}
