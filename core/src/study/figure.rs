//! The figures of a design: what may be fixed or varied.

use crate::error::{Error, Result};
use crate::units::{Dimension, Unit};

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
}

impl Figure {
    /// Every figure.
    pub const ALL: [Self; 17] = [
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
        }
    }

    /// Its dimension.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::ChamberVolume | Self::CrownVolume | Self::CreviceVolume => Dimension::Volume,
            Self::Cylinders => Dimension::Ratio,
            Self::Speed => Dimension::RotationalSpeed,
            Self::IntakeClosing => Dimension::Angle,
            Self::ReciprocatingMass => Dimension::Mass,
            _ => Dimension::Length,
        }
    }

    /// The figure of a name.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] with the nearest name.
    pub fn parse(name: &str) -> Result<Self> {
        let found = Self::ALL.into_iter().find(|f| f.name() == name);
        found.ok_or_else(|| unknown(name, "figure", Self::ALL.map(Self::name)))
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

/// How many study units one SI unit of a dimension is: of mm, mm2, mm3, mm/s and so on; all others are SI.
const fn parts(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::Length | Dimension::Velocity | Dimension::Acceleration | Dimension::Force => 1e3,
        Dimension::Area => 1e6,
        Dimension::Volume => 1e9,
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

/// A value in the SI unit of its dimension in study units.
pub fn from_si(dimension: Dimension, si: f64) -> f64 {
    si * parts(dimension)
}

/// A value in study units in a written unit.
pub fn shown(unit: &Unit, value: f64) -> f64 {
    value / factor(unit)
}

/// How many study units one of this unit is, from the exact fraction of the unit.
fn factor(unit: &Unit) -> f64 {
    unit.in_parts(parts(unit.dimension))
}
