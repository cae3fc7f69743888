//! The columns of the least clearances of the valves, by the names of their figures.

use super::figure::{Figure, ValveFigures};
use super::valves::{CrankColumns, ValveColumns};
use crate::error::{Error, Result};
use crate::valvetrain::ValveKind;

/// Figures that are zero where nothing is said.
const USUALLY_ZERO: [Figure; 4] =
    [Figure::PinOffset, Figure::CamAdvance, Figure::IntakeValveAngle, Figure::ExhaustValveAngle];

/// The columns of crank, intake and exhaust valve from those of figures: `pin_offset`, `cam_advance`, `intake_valve_angle` and `exhaust_valve_angle` are zero where
/// they are not given, all others must be.
///
/// # Errors
/// [`Error::UnknownKey`] for a figure that has no part in the clearances, and one given twice; [`Error::MissingKey`] for one that is not given.
///
/// # Example
/// ```
/// use swept::study::{Figure, valve_columns};
/// let short = [(Figure::Stroke, &[86.0][..]), (Figure::RodLength, &[143.0][..])];
/// assert!(valve_columns(&short).unwrap_err().to_string().contains("intake_static_clearance"));
/// ```
pub fn valve_columns<'c>(given: &[(Figure, &'c [f64])]) -> Result<(CrankColumns<'c>, [ValveColumns<'c>; 2])> {
    let mut taken = Vec::new();
    let mut of = |figure: Figure| {
        taken.push(figure);
        let found = given.iter().find(|(known, _)| *known == figure).map(|(_, column)| *column);
        found.or_else(|| USUALLY_ZERO.contains(&figure).then_some(&[0.0][..])).ok_or_else(|| {
            let remedy = "the clearances need it, as a value for all or one for each row".into();
            Error::MissingKey { field: figure.name().into(), remedy }
        })
    };
    let crank = CrankColumns {
        stroke: of(Figure::Stroke)?,
        rod_length: of(Figure::RodLength)?,
        pin_offset: of(Figure::PinOffset)?,
        cam_advance: of(Figure::CamAdvance)?,
    };
    let mut valve = |kind: ValveKind| -> Result<ValveColumns<'c>> {
        let figures = ValveFigures::of(kind);
        Ok(ValveColumns {
            static_clearance: of(figures.static_clearance)?,
            lift: of(figures.lift)?,
            duration: of(figures.duration)?,
            centreline: of(figures.centreline)?,
            valve_angle: of(figures.valve_angle)?,
        })
    };
    let valves = [valve(ValveKind::Intake)?, valve(ValveKind::Exhaust)?];
    for (place, (figure, _)) in given.iter().enumerate() {
        let field = figure.name().into();
        if !taken.contains(figure) {
            let known: Vec<&str> = taken.iter().map(|figure| figure.name()).collect();
            let remedy = format!("it has no part in the clearances; they have {}", known.join(", "));
            return Err(Error::UnknownKey { field, remedy });
        }
        if given.iter().take(place).any(|(before, _)| before == figure) {
            return Err(Error::UnknownKey { field, remedy: "given twice".into() });
        }
    }
    Ok((crank, valves))
}
