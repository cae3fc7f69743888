//! Every figure a sheet can hold: its name in documents, the trade's term, its group and its units.

use super::document::Display;
use crate::units::{Dimension, Unit, find_for};

/// The parts of a sheet, in the order of a build.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Group {
    /// Displacement, firing intervals.
    Layout,
    /// Ratios, piston speed and acceleration.
    Motion,
    /// Walls left in the block.
    Walls,
    /// Where the pistons stand at top dead centre.
    Deck,
    /// Volumes and compression ratios.
    Compression,
    /// Plain bearings.
    Bearings,
    /// Pistons in their bores.
    Pistons,
    /// Rings in bores and grooves.
    Rings,
    /// Axial clearances of the crankshaft and rods.
    Crank,
}

/// One figure: what it is called and how it is printed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Term {
    /// Its name in documents and JSON.
    pub(super) name: &'static str,
    /// The trade's term.
    pub(super) term: &'static str,
    pub(super) group: Group,
    pub(super) dimension: Dimension,
    metric: &'static str,
    inch: &'static str,
}

/// The name of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum What {
    Displacement,
    FiringInterval,
    SweptVolume,
    BoreStrokeRatio,
    RodRatio,
    MeanPistonSpeed,
    PeakPistonAcceleration,
    PeakRodAngle,
    WallThickness,
    WallBetweenBores,
    WallHoopStress,
    DeckClearance,
    PistonToHead,
    ClearanceVolume,
    CompressionRatio,
    TrappedCompressionRatio,
    MainBearingClearance,
    RodBearingClearance,
    PistonToWall,
    TopRingGap,
    SecondRingGap,
    TopRingSideClearance,
    SecondRingSideClearance,
    CrankEndFloat,
    RodSideClearance,
}

impl What {
    /// Every figure, in the order of the sheet.
    pub(super) const ALL: [Self; 25] = [
        Self::Displacement,
        Self::FiringInterval,
        Self::SweptVolume,
        Self::BoreStrokeRatio,
        Self::RodRatio,
        Self::MeanPistonSpeed,
        Self::PeakPistonAcceleration,
        Self::PeakRodAngle,
        Self::WallThickness,
        Self::WallBetweenBores,
        Self::WallHoopStress,
        Self::DeckClearance,
        Self::PistonToHead,
        Self::ClearanceVolume,
        Self::CompressionRatio,
        Self::TrappedCompressionRatio,
        Self::MainBearingClearance,
        Self::RodBearingClearance,
        Self::PistonToWall,
        Self::TopRingGap,
        Self::SecondRingGap,
        Self::TopRingSideClearance,
        Self::SecondRingSideClearance,
        Self::CrankEndFloat,
        Self::RodSideClearance,
    ];

    #[rustfmt::skip]
    pub(super) const fn term(self) -> Term {
        use Dimension as D;
        use Group as G;
        const fn row(name: &'static str, term: &'static str, group: Group, dimension: Dimension, metric: &'static str, inch: &'static str) -> Term {
            Term { name, term, group, dimension, metric, inch }
        }
        match self {
            Self::Displacement => row("displacement", "displacement", G::Layout, D::Volume, "cm3", "in3"),
            Self::FiringInterval => row("firing_interval", "firing interval", G::Layout, D::Angle, "deg", "deg"),
            Self::SweptVolume => row("swept_volume", "swept volume", G::Motion, D::Volume, "cm3", "in3"),
            Self::BoreStrokeRatio => row("bore_stroke_ratio", "bore/stroke ratio", G::Motion, D::Ratio, "", ""),
            Self::RodRatio => row("rod_ratio", "rod/stroke ratio", G::Motion, D::Ratio, "", ""),
            Self::MeanPistonSpeed => row("mean_piston_speed", "mean piston speed", G::Motion, D::Velocity, "m/s", "ft/min"),
            Self::PeakPistonAcceleration => row("peak_piston_acceleration", "peak piston acceleration", G::Motion, D::Acceleration, "m/s2", "ft/s2"),
            Self::PeakRodAngle => row("peak_rod_angle", "peak side-thrust (rod) angle", G::Motion, D::Angle, "deg", "deg"),
            Self::WallThickness => row("wall_thickness", "wall left, thinnest", G::Walls, D::Length, "mm", "in"),
            Self::WallBetweenBores => row("wall_between_bores", "wall left between bores", G::Walls, D::Length, "mm", "in"),
            Self::WallHoopStress => row("wall_hoop_stress", "hoop stress in the thinnest wall", G::Walls, D::Pressure, "MPa", "psi"),
            Self::DeckClearance => row("deck_clearance", "deck clearance", G::Deck, D::Length, "mm", "in"),
            Self::PistonToHead => row("piston_to_head", "piston-to-head distance", G::Deck, D::Length, "mm", "in"),
            Self::ClearanceVolume => row("clearance_volume", "clearance volume", G::Compression, D::Volume, "cm3", "cm3"),
            Self::CompressionRatio => row("compression_ratio", "compression ratio", G::Compression, D::Ratio, "", ""),
            Self::TrappedCompressionRatio => row("trapped_compression_ratio", "trapped compression ratio", G::Compression, D::Ratio, "", ""),
            Self::MainBearingClearance => row("main_bearing_clearance", "main bearing clearance", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingClearance => row("rod_bearing_clearance", "rod bearing clearance", G::Bearings, D::Length, "mm", "in"),
            Self::PistonToWall => row("piston_to_wall", "piston-to-wall clearance", G::Pistons, D::Length, "mm", "in"),
            Self::TopRingGap => row("top_ring_gap", "top ring end gap", G::Rings, D::Length, "mm", "in"),
            Self::SecondRingGap => row("second_ring_gap", "second ring end gap", G::Rings, D::Length, "mm", "in"),
            Self::TopRingSideClearance => row("top_ring_side_clearance", "top ring side clearance", G::Rings, D::Length, "mm", "in"),
            Self::SecondRingSideClearance => row("second_ring_side_clearance", "second ring side clearance", G::Rings, D::Length, "mm", "in"),
            Self::CrankEndFloat => row("crank_end_float", "crankshaft end float", G::Crank, D::Length, "mm", "in"),
            Self::RodSideClearance => row("rod_side_clearance", "rod side clearance", G::Crank, D::Length, "mm", "in"),
        }
    }

    /// Whether it is a gap or a wall, which no engine has below zero.
    pub(super) const fn is_a_gap(self) -> bool {
        matches!(
            self,
            Self::WallThickness
                | Self::WallBetweenBores
                | Self::MainBearingClearance
                | Self::RodBearingClearance
                | Self::PistonToWall
                | Self::TopRingGap
                | Self::SecondRingGap
                | Self::TopRingSideClearance
                | Self::SecondRingSideClearance
                | Self::CrankEndFloat
                | Self::RodSideClearance
        )
    }

    /// The figure of this name, or the nearest name.
    pub(super) fn named(name: &str) -> Result<Self, &'static str> {
        if let Some(what) = Self::ALL.iter().find(|w| w.term().name == name) {
            return Ok(*what);
        }
        let likeness = |w: &Self| strsim::jaro(w.term().name, name);
        let nearest = Self::ALL.iter().max_by(|a, b| likeness(a).total_cmp(&likeness(b)));
        Err(nearest.map_or("", |w| w.term().name))
    }
}

impl Term {
    /// The unit the figure is printed in.
    pub(super) fn unit(&self, display: Display) -> Option<&'static Unit> {
        let symbol = match display {
            Display::Metric => self.metric,
            Display::Inch => self.inch,
        };
        find_for(symbol, self.dimension, symbol).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_prints_in_both_systems_and_is_found_by_its_name() {
        for what in What::ALL {
            let term = what.term();
            assert!(term.unit(Display::Metric).is_some(), "{what:?}");
            assert!(term.unit(Display::Inch).is_some(), "{what:?}");
            assert_eq!(What::named(term.name), Ok(what));
        }
        assert_eq!(What::named("deck_clearence"), Err("deck_clearance"));
    }
}
