//! The figures of a design: what may be fixed or varied.

use crate::error::{Error, Result};
use crate::units::{Dimension, Unit};
use crate::valvetrain::ValveKind;

/// A figure of a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Figure {
    /// Bore diameter.
    Bore,
    /// Stroke: twice the crank radius.
    Stroke,
    /// Rod length, centre to centre.
    RodLength,
    /// Pin offset, positive towards the major thrust side; 0 where nothing is said.
    PinOffset,
    /// Main centre to deck. Or [`Figure::DeckClearance`].
    DeckHeight,
    /// Deck clearance, where the deck height follows the stack. Or [`Figure::DeckHeight`].
    DeckClearance,
    /// Pin centre to crown.
    CompressionHeight,
    /// Thickness of the clamped gasket.
    GasketThickness,
    /// Bore of the gasket.
    GasketBore,
    /// Volume of the chamber in the head.
    ChamberVolume,
    /// Volume of the crown, dish positive, dome negative.
    CrownVolume,
    /// Volume of the crevice above the top ring; 0 where nothing is said.
    CreviceVolume,
    /// Distance of neighbouring bore axes.
    BoreSpacing,
    /// Number of cylinders; 1 where nothing is said.
    Cylinders,
    /// Speed of the crank.
    Speed,
    /// Intake closing after bottom dead centre.
    IntakeClosing,
    /// Reciprocating mass of one cylinder.
    ReciprocatingMass,
    /// First-order shaking force of all cylinders over that of one, from the layout ([`order_factors`](super::order_factors)); 1 of one cylinder, where nothing
    /// is said.
    FirstOrderFactor,
    /// The same of the second order.
    SecondOrderFactor,
    /// How far the cam is turned to be earlier than its centrelines say, of the crank; negative later; 0 where nothing is said.
    CamAdvance,
    /// Gap between the intake valve on its seat and the piston at top dead centre, along the bore.
    IntakeStaticClearance,
    /// Greatest lift of the intake valve along its stem.
    IntakeLift,
    /// Crank angle from where the intake valve leaves its seat to where it is back.
    IntakeDuration,
    /// Crank angle of the intake valve's greatest lift, from overlap top dead centre: after it, positive.
    IntakeCentreline,
    /// Angle of the intake valve's stem to the bore.
    IntakeValveAngle,
    /// Gap between the exhaust valve on its seat and the piston at top dead centre, along the bore.
    ExhaustStaticClearance,
    /// Greatest lift of the exhaust valve along its stem.
    ExhaustLift,
    /// Crank angle from where the exhaust valve leaves its seat to where it is back.
    ExhaustDuration,
    /// Crank angle of the exhaust valve's greatest lift, from overlap top dead centre: before it, negative.
    ExhaustCentreline,
    /// Angle of the exhaust valve's stem to the bore.
    ExhaustValveAngle,
}

impl Figure {
    /// Every figure.
    pub const ALL: [Self; 30] = [
        Self::Bore,
        Self::Stroke,
        Self::RodLength,
        Self::PinOffset,
        Self::DeckHeight,
        Self::DeckClearance,
        Self::CompressionHeight,
        Self::GasketThickness,
        Self::GasketBore,
        Self::ChamberVolume,
        Self::CrownVolume,
        Self::CreviceVolume,
        Self::BoreSpacing,
        Self::Cylinders,
        Self::Speed,
        Self::IntakeClosing,
        Self::ReciprocatingMass,
        Self::FirstOrderFactor,
        Self::SecondOrderFactor,
        Self::CamAdvance,
        Self::IntakeStaticClearance,
        Self::IntakeLift,
        Self::IntakeDuration,
        Self::IntakeCentreline,
        Self::IntakeValveAngle,
        Self::ExhaustStaticClearance,
        Self::ExhaustLift,
        Self::ExhaustDuration,
        Self::ExhaustCentreline,
        Self::ExhaustValveAngle,
    ];

    /// Its place among all figures.
    pub(super) const fn index(self) -> usize {
        self as usize
    }

    /// Its name, as a study is written.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Stroke => "stroke",
            Self::RodLength => "rod_length",
            Self::PinOffset => "pin_offset",
            Self::DeckHeight => "deck_height",
            Self::DeckClearance => "deck_clearance",
            Self::CompressionHeight => "compression_height",
            Self::GasketThickness => "gasket_thickness",
            Self::GasketBore => "gasket_bore",
            Self::ChamberVolume => "chamber_volume",
            Self::CrownVolume => "crown_volume",
            Self::CreviceVolume => "crevice_volume",
            Self::BoreSpacing => "bore_spacing",
            Self::Cylinders => "cylinders",
            Self::Speed => "speed",
            Self::IntakeClosing => "intake_closing",
            Self::ReciprocatingMass => "reciprocating_mass",
            Self::FirstOrderFactor => "first_order_factor",
            Self::SecondOrderFactor => "second_order_factor",
            Self::CamAdvance => "cam_advance",
            Self::IntakeStaticClearance => "intake_static_clearance",
            Self::IntakeLift => "intake_lift",
            Self::IntakeDuration => "intake_duration",
            Self::IntakeCentreline => "intake_centreline",
            Self::IntakeValveAngle => "intake_valve_angle",
            Self::ExhaustStaticClearance => "exhaust_static_clearance",
            Self::ExhaustLift => "exhaust_lift",
            Self::ExhaustDuration => "exhaust_duration",
            Self::ExhaustCentreline => "exhaust_centreline",
            Self::ExhaustValveAngle => "exhaust_valve_angle",
        }
    }

    /// Its dimension.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::ChamberVolume | Self::CrownVolume | Self::CreviceVolume => Dimension::Volume,
            Self::Cylinders | Self::FirstOrderFactor | Self::SecondOrderFactor => Dimension::Ratio,
            Self::Speed => Dimension::RotationalSpeed,
            Self::IntakeClosing
            | Self::CamAdvance
            | Self::IntakeDuration
            | Self::IntakeCentreline
            | Self::IntakeValveAngle
            | Self::ExhaustDuration
            | Self::ExhaustCentreline
            | Self::ExhaustValveAngle => Dimension::Angle,
            Self::ReciprocatingMass => Dimension::Mass,
            _ => Dimension::Length,
        }
    }

    /// The figure of a name, if there is one.
    pub(super) fn of_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|f| f.name() == name)
    }

    /// The figure of a name.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] with the nearest name.
    pub fn parse(name: &str) -> Result<Self> {
        Self::of_name(name).ok_or_else(|| unknown(name, "figure", Self::ALL.map(Self::name)))
    }
}

/// The figures of one valve.
pub(super) struct ValveFigures {
    pub(super) static_clearance: Figure,
    pub(super) lift: Figure,
    pub(super) duration: Figure,
    pub(super) centreline: Figure,
    pub(super) valve_angle: Figure,
}

impl ValveFigures {
    pub(super) const fn of(valve: ValveKind) -> Self {
        match valve {
            ValveKind::Intake => Self {
                static_clearance: Figure::IntakeStaticClearance,
                lift: Figure::IntakeLift,
                duration: Figure::IntakeDuration,
                centreline: Figure::IntakeCentreline,
                valve_angle: Figure::IntakeValveAngle,
            },
            ValveKind::Exhaust => Self {
                static_clearance: Figure::ExhaustStaticClearance,
                lift: Figure::ExhaustLift,
                duration: Figure::ExhaustDuration,
                centreline: Figure::ExhaustCentreline,
                valve_angle: Figure::ExhaustValveAngle,
            },
        }
    }
}

/// The refusal of an unknown name, with the nearest ones.
pub(super) fn unknown<const N: usize>(name: &str, kind: &str, known: [&'static str; N]) -> Error {
    let mut near = known;
    near.sort_by(|a, b| strsim::jaro_winkler(b, name).total_cmp(&strsim::jaro_winkler(a, name)));
    let nearest: Vec<&str> = near.into_iter().take(3).collect();
    let field: String = name.chars().take(60).collect();
    Error::UnknownKey { field, remedy: format!("no such {kind}; the nearest are {}", nearest.join(", ")) }
}

/// How many study units one SI unit of a dimension is: of mm, mm2, mm3, mm/s and so on, and of degrees; all others are SI.
const fn parts(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Length | Dimension::Velocity | Dimension::Acceleration | Dimension::Force => 1e3,
        Dimension::Area => 1e6,
        Dimension::Volume => 1e9,
        Dimension::Angle => 180.0 / core::f64::consts::PI,
        _ => 1.0,
    }
}

/// A value of a written unit in study units; one rounding at most.
pub fn taken(unit: &Unit, value: f64) -> f64 {
    value * factor(unit)
}

/// A value in study units in the SI unit of its dimension.
pub fn si(dimension: Dimension, value: f64) -> f64 {
    value / parts(dimension)
}

/// A value in study units in a written unit.
pub fn shown(unit: &Unit, value: f64) -> f64 {
    value / factor(unit)
}

/// How many study units one of this unit is, from the exact fraction of the unit.
pub(super) fn factor(unit: &Unit) -> f64 {
    unit.in_parts(parts(unit.dimension))
}
