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
    /// Cams, valves, springs.
    Valves,
    /// Plain bearings.
    Bearings,
    /// Pistons in their bores.
    Pistons,
    /// Rings in bores and grooves.
    Rings,
    /// Axial clearances of the crankshaft and rods.
    Crank,
    /// Masses, shaking, unbalance.
    Balance,
    /// Bolts and what they clamp.
    Bolts,
    /// Press fits, and holes and shafts against their fits.
    Fits,
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
    IntakeCentreline,
    ExhaustCentreline,
    LobeSeparation,
    CamAdvance,
    DriveAdvance,
    AdvanceOverGround,
    IntakeOpening,
    IntakeClosing,
    ExhaustOpening,
    ExhaustClosing,
    IntakeDuration,
    ExhaustDuration,
    ValveOverlap,
    ValveLift,
    IntakeValveToPiston,
    ExhaustValveToPiston,
    ValveToPocketWall,
    ValveToBore,
    ValveToValve,
    CoilBindMargin,
    RetainerToSeal,
    SpringSeatLoad,
    SpringOpenLoad,
    SpringShearStress,
    FloatSpeed,
    SpringFrequencyRatio,
    LeastCamRadius,
    CamPressureAngle,
    IntakeGasSpeed,
    IntakeMachIndex,
    MainBearingClearance,
    MainBearingLeastClearance,
    MainBearingOffCrown,
    MainBearingOutOfRound,
    MainBearingTaper,
    MainBearingCrush,
    RodBearingClearance,
    RodBearingLeastClearance,
    RodBearingOffCrown,
    RodBearingOutOfRound,
    RodBearingTaper,
    RodBearingCrush,
    PistonToWall,
    PinToBoss,
    PinToRod,
    PinInterference,
    TopRingGap,
    SecondRingGap,
    TopRingSideClearance,
    SecondRingSideClearance,
    TopRingBackClearance,
    SecondRingBackClearance,
    TopRingWallPressure,
    SecondRingWallPressure,
    CrankEndFloat,
    RodSideClearance,
    ReciprocatingMass,
    RotatingMass,
    BobWeight,
    DesignUnbalance,
    ResidualUnbalance,
    ShakingForceFirst,
    ShakingForceSecond,
    ShakingMomentFirst,
    ShakingMomentSecond,
    BoltPreload,
    BoltProofShare,
    BoltClampingForce,
    BoltSidePull,
    BoltSeparationLoad,
    BoltSeparationMargin,
    BoltLoad,
    BoltClampLeft,
    PressInterference,
    PressPressure,
    PressInnerStress,
    PressOuterStress,
    PressHoopStress,
    PressHoldingForce,
    PressHoldingTorque,
    PressHeating,
    PressCooling,
    FitHole,
    FitShaft,
    FitClearance,
}

impl What {
    /// Every figure, in the order of the sheet.
    pub(super) const ALL: [Self; 101] = [
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
        Self::IntakeCentreline,
        Self::ExhaustCentreline,
        Self::LobeSeparation,
        Self::CamAdvance,
        Self::DriveAdvance,
        Self::AdvanceOverGround,
        Self::IntakeOpening,
        Self::IntakeClosing,
        Self::ExhaustOpening,
        Self::ExhaustClosing,
        Self::IntakeDuration,
        Self::ExhaustDuration,
        Self::ValveOverlap,
        Self::ValveLift,
        Self::IntakeValveToPiston,
        Self::ExhaustValveToPiston,
        Self::ValveToPocketWall,
        Self::ValveToBore,
        Self::ValveToValve,
        Self::CoilBindMargin,
        Self::RetainerToSeal,
        Self::SpringSeatLoad,
        Self::SpringOpenLoad,
        Self::SpringShearStress,
        Self::FloatSpeed,
        Self::SpringFrequencyRatio,
        Self::LeastCamRadius,
        Self::CamPressureAngle,
        Self::IntakeGasSpeed,
        Self::IntakeMachIndex,
        Self::MainBearingClearance,
        Self::MainBearingLeastClearance,
        Self::MainBearingOffCrown,
        Self::MainBearingOutOfRound,
        Self::MainBearingTaper,
        Self::MainBearingCrush,
        Self::RodBearingClearance,
        Self::RodBearingLeastClearance,
        Self::RodBearingOffCrown,
        Self::RodBearingOutOfRound,
        Self::RodBearingTaper,
        Self::RodBearingCrush,
        Self::PistonToWall,
        Self::PinToBoss,
        Self::PinToRod,
        Self::PinInterference,
        Self::TopRingGap,
        Self::SecondRingGap,
        Self::TopRingSideClearance,
        Self::SecondRingSideClearance,
        Self::TopRingBackClearance,
        Self::SecondRingBackClearance,
        Self::TopRingWallPressure,
        Self::SecondRingWallPressure,
        Self::CrankEndFloat,
        Self::RodSideClearance,
        Self::ReciprocatingMass,
        Self::RotatingMass,
        Self::BobWeight,
        Self::DesignUnbalance,
        Self::ResidualUnbalance,
        Self::ShakingForceFirst,
        Self::ShakingForceSecond,
        Self::ShakingMomentFirst,
        Self::ShakingMomentSecond,
        Self::BoltPreload,
        Self::BoltProofShare,
        Self::BoltClampingForce,
        Self::BoltSidePull,
        Self::BoltSeparationLoad,
        Self::BoltSeparationMargin,
        Self::BoltLoad,
        Self::BoltClampLeft,
        Self::PressInterference,
        Self::PressPressure,
        Self::PressInnerStress,
        Self::PressOuterStress,
        Self::PressHoopStress,
        Self::PressHoldingForce,
        Self::PressHoldingTorque,
        Self::PressHeating,
        Self::PressCooling,
        Self::FitHole,
        Self::FitShaft,
        Self::FitClearance,
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
            Self::IntakeCentreline => row("intake_centreline", "intake centreline after overlap TDC", G::Valves, D::Angle, "deg", "deg"),
            Self::ExhaustCentreline => row("exhaust_centreline", "exhaust centreline before overlap TDC", G::Valves, D::Angle, "deg", "deg"),
            Self::LobeSeparation => row("lobe_separation", "lobe separation, cam degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::CamAdvance => row("cam_advance", "cam advance, crank degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::DriveAdvance => row("drive_advance", "cam advance by milling and stretch, crank degrees: in the centreline that a wheel found already, not in that of a cam card", G::Valves, D::Angle, "deg", "deg"),
            Self::AdvanceOverGround => row("advance_over_ground", "advance over the ground centreline, crank degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::IntakeOpening => row("intake_opening", "intake opens before TDC", G::Valves, D::Angle, "deg", "deg"),
            Self::IntakeClosing => row("intake_closing", "intake closes after BDC", G::Valves, D::Angle, "deg", "deg"),
            Self::ExhaustOpening => row("exhaust_opening", "exhaust opens before BDC", G::Valves, D::Angle, "deg", "deg"),
            Self::ExhaustClosing => row("exhaust_closing", "exhaust closes after TDC", G::Valves, D::Angle, "deg", "deg"),
            Self::IntakeDuration => row("intake_duration", "intake duration, crank degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::ExhaustDuration => row("exhaust_duration", "exhaust duration, crank degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::ValveOverlap => row("valve_overlap", "valve overlap, crank degrees", G::Valves, D::Angle, "deg", "deg"),
            Self::ValveLift => row("valve_lift", "valve lift, lash taken up", G::Valves, D::Length, "mm", "in"),
            Self::IntakeValveToPiston => row("intake_valve_to_piston", "intake valve-to-piston, along the stem, least", G::Valves, D::Length, "mm", "in"),
            Self::ExhaustValveToPiston => row("exhaust_valve_to_piston", "exhaust valve-to-piston, along the stem, least", G::Valves, D::Length, "mm", "in"),
            Self::ValveToPocketWall => row("valve_to_pocket_wall", "valve to the wall of its pocket, least", G::Valves, D::Length, "mm", "in"),
            Self::ValveToBore => row("valve_to_bore", "valve to the bore, least", G::Valves, D::Length, "mm", "in"),
            Self::ValveToValve => row("valve_to_valve", "intake valve to exhaust valve, least", G::Valves, D::Length, "mm", "in"),
            Self::CoilBindMargin => row("coil_bind_margin", "coil-bind margin, valve open", G::Valves, D::Length, "mm", "in"),
            Self::RetainerToSeal => row("retainer_to_seal", "retainer to seal, valve open", G::Valves, D::Length, "mm", "in"),
            Self::SpringSeatLoad => row("spring_seat_load", "spring load on the seat", G::Valves, D::Force, "N", "lbf"),
            Self::SpringOpenLoad => row("spring_open_load", "spring load, valve open", G::Valves, D::Force, "N", "lbf"),
            Self::SpringShearStress => row("spring_shear_stress", "shear stress of the wire, valve open", G::Valves, D::Pressure, "MPa", "psi"),
            Self::FloatSpeed => row("float_speed", "engine speed at which the spring no longer holds the valve to the cam (kinematic estimate)", G::Valves, D::RotationalSpeed, "rpm", "rpm"),
            Self::SpringFrequencyRatio => row("spring_frequency_ratio", "natural frequency of the spring over cam turns", G::Valves, D::Ratio, "", ""),
            Self::LeastCamRadius => row("least_cam_radius", "least convex radius of the cam", G::Valves, D::Length, "mm", "in"),
            Self::CamPressureAngle => row("cam_pressure_angle", "greatest pressure angle of the roller", G::Valves, D::Angle, "deg", "deg"),
            Self::IntakeGasSpeed => row("intake_gas_speed", "mean gas speed in the intake throat", G::Valves, D::Velocity, "m/s", "ft/s"),
            Self::IntakeMachIndex => row("intake_mach_index", "intake Mach index", G::Valves, D::Ratio, "", ""),
            Self::MainBearingClearance => row("main_bearing_clearance", "main bearing clearance", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingClearance => row("rod_bearing_clearance", "rod bearing clearance", G::Bearings, D::Length, "mm", "in"),
            Self::PistonToWall => row("piston_to_wall", "piston-to-wall clearance", G::Pistons, D::Length, "mm", "in"),
            Self::TopRingGap => row("top_ring_gap", "top ring end gap", G::Rings, D::Length, "mm", "in"),
            Self::SecondRingGap => row("second_ring_gap", "second ring end gap", G::Rings, D::Length, "mm", "in"),
            Self::TopRingSideClearance => row("top_ring_side_clearance", "top ring side clearance", G::Rings, D::Length, "mm", "in"),
            Self::SecondRingSideClearance => row("second_ring_side_clearance", "second ring side clearance", G::Rings, D::Length, "mm", "in"),
            Self::MainBearingLeastClearance => row("main_bearing_least_clearance", "main bearing clearance, least surveyed", G::Bearings, D::Length, "mm", "in"),
            Self::MainBearingOffCrown => row("main_bearing_off_crown_clearance", "main bearing clearance off the crown", G::Bearings, D::Length, "mm", "in"),
            Self::MainBearingOutOfRound => row("main_bearing_out_of_round", "main bearing out-of-round", G::Bearings, D::Length, "mm", "in"),
            Self::MainBearingTaper => row("main_bearing_taper", "main bearing taper", G::Bearings, D::Length, "mm", "in"),
            Self::MainBearingCrush => row("main_bearing_crush", "main shell interference from crush", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingLeastClearance => row("rod_bearing_least_clearance", "rod bearing clearance, least surveyed", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingOffCrown => row("rod_bearing_off_crown_clearance", "rod bearing clearance off the crown", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingOutOfRound => row("rod_bearing_out_of_round", "rod bearing out-of-round", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingTaper => row("rod_bearing_taper", "rod bearing taper", G::Bearings, D::Length, "mm", "in"),
            Self::RodBearingCrush => row("rod_bearing_crush", "rod shell interference from crush", G::Bearings, D::Length, "mm", "in"),
            Self::PinToBoss => row("pin_to_boss", "pin-to-boss clearance", G::Pistons, D::Length, "mm", "in"),
            Self::PinToRod => row("pin_to_rod", "pin-to-rod (bush) clearance", G::Pistons, D::Length, "mm", "in"),
            Self::PinInterference => row("pin_interference", "pin interference in the rod", G::Pistons, D::Length, "mm", "in"),
            Self::TopRingBackClearance => row("top_ring_back_clearance", "top ring back clearance", G::Rings, D::Length, "mm", "in"),
            Self::SecondRingBackClearance => row("second_ring_back_clearance", "second ring back clearance", G::Rings, D::Length, "mm", "in"),
            Self::TopRingWallPressure => row("top_ring_wall_pressure", "top ring pressure on the wall, from tension", G::Rings, D::Pressure, "MPa", "psi"),
            Self::SecondRingWallPressure => row("second_ring_wall_pressure", "second ring pressure on the wall, from tension", G::Rings, D::Pressure, "MPa", "psi"),
            Self::ReciprocatingMass => row("reciprocating_mass", "reciprocating mass", G::Balance, D::Mass, "g", "g"),
            Self::RotatingMass => row("rotating_mass", "rotating mass", G::Balance, D::Mass, "g", "g"),
            Self::BobWeight => row("bob_weight", "bob weight", G::Balance, D::Mass, "g", "g"),
            Self::DesignUnbalance => row("design_unbalance", "unbalance by design, bob weights on", G::Balance, D::Unbalance, "g mm", "oz in"),
            Self::ResidualUnbalance => row("residual_unbalance", "residual unbalance as read", G::Balance, D::Unbalance, "g mm", "oz in"),
            Self::ShakingForceFirst => row("shaking_force_first", "shaking force, 1st order, greatest", G::Balance, D::Force, "kN", "lbf"),
            Self::ShakingForceSecond => row("shaking_force_second", "shaking force, 2nd order, greatest", G::Balance, D::Force, "kN", "lbf"),
            Self::ShakingMomentFirst => row("shaking_moment_first", "shaking moment, 1st order, greatest", G::Balance, D::Torque, "N m", "lbf ft"),
            Self::ShakingMomentSecond => row("shaking_moment_second", "shaking moment, 2nd order, greatest", G::Balance, D::Torque, "N m", "lbf ft"),
            Self::BoltPreload => row("bolt_preload", "bolt preload", G::Bolts, D::Force, "kN", "lbf"),
            Self::BoltProofShare => row("bolt_proof_share", "share of the proof load", G::Bolts, D::Ratio, "", ""),
            Self::BoltClampingForce => row("bolt_clamping_force", "part of the preload that clamps", G::Bolts, D::Force, "kN", "lbf"),
            Self::BoltSidePull => row("bolt_side_pull", "part of the preload that pulls sideways", G::Bolts, D::Force, "kN", "lbf"),
            Self::BoltSeparationLoad => row("bolt_separation_load", "load that opens the joint", G::Bolts, D::Force, "kN", "lbf"),
            Self::BoltSeparationMargin => row("bolt_separation_margin", "load that opens the joint over the outer load", G::Bolts, D::Ratio, "", ""),
            Self::BoltLoad => row("bolt_load", "bolt load under the outer load", G::Bolts, D::Force, "kN", "lbf"),
            Self::BoltClampLeft => row("bolt_clamp_left", "clamping left under the outer load", G::Bolts, D::Force, "kN", "lbf"),
            Self::PressInterference => row("press_interference", "press interference", G::Fits, D::Length, "mm", "in"),
            Self::PressPressure => row("press_pressure", "contact pressure", G::Fits, D::Pressure, "MPa", "psi"),
            Self::PressInnerStress => row("press_inner_stress", "equivalent stress, inner part", G::Fits, D::Pressure, "MPa", "psi"),
            Self::PressOuterStress => row("press_outer_stress", "equivalent stress, outer part", G::Fits, D::Pressure, "MPa", "psi"),
            Self::PressHoopStress => row("press_hoop_stress", "hoop stress", G::Fits, D::Pressure, "MPa", "psi"),
            Self::PressHoldingForce => row("press_holding_force", "push-out force", G::Fits, D::Force, "kN", "lbf"),
            Self::PressHoldingTorque => row("press_holding_torque", "slipping torque", G::Fits, D::Torque, "N m", "lbf ft"),
            Self::PressHeating => row("press_heating", "heating of the outer part to assemble", G::Fits, D::TemperatureDifference, "K", "K"),
            Self::PressCooling => row("press_cooling", "cooling of the inner part to assemble", G::Fits, D::TemperatureDifference, "K", "K"),
            Self::FitHole => row("fit_hole", "hole", G::Fits, D::Length, "mm", "in"),
            Self::FitShaft => row("fit_shaft", "shaft", G::Fits, D::Length, "mm", "in"),
            Self::FitClearance => row("fit_clearance", "clearance of the fit", G::Fits, D::Length, "mm", "in"),
            Self::CrankEndFloat => row("crank_end_float", "crankshaft end float", G::Crank, D::Length, "mm", "in"),
            Self::RodSideClearance => row("rod_side_clearance", "rod side clearance", G::Crank, D::Length, "mm", "in"),
        }
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
