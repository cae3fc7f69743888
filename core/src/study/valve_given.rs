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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_go_to_their_figures_and_what_is_not_said_is_zero() {
        let needed: Vec<Figure> = Figure::ALL
            .into_iter()
            .filter(|f| {
                matches!(f, Figure::Stroke | Figure::RodLength)
                    || f.name().starts_with("intake_")
                    || f.name().starts_with("exhaust_")
            })
            .filter(|f| !matches!(f, Figure::IntakeClosing) && !USUALLY_ZERO.contains(f))
            .collect();
        let values: Vec<[f64; 1]> = needed.iter().map(|f| [f.index() as f64]).collect();
        let mut given: Vec<(Figure, &[f64])> =
            needed.iter().zip(&values).map(|(f, v)| (*f, &v[..])).collect();
        let (crank, [intake, exhaust]) = valve_columns(&given).unwrap();
        let at = |figure: Figure| [figure.index() as f64];
        assert_eq!((crank.stroke, crank.rod_length), (&at(Figure::Stroke)[..], &at(Figure::RodLength)[..]));
        assert_eq!((intake.lift, exhaust.lift), (&at(Figure::IntakeLift)[..], &at(Figure::ExhaustLift)[..]));
        assert_eq!(exhaust.static_clearance, at(Figure::ExhaustStaticClearance));
        assert_eq!(
            (intake.duration, exhaust.centreline),
            (&at(Figure::IntakeDuration)[..], &at(Figure::ExhaustCentreline)[..])
        );
        for zero in [crank.pin_offset, crank.cam_advance, intake.valve_angle, exhaust.valve_angle] {
            assert_eq!(zero, [0.0]);
        }
        for stray in [Figure::Bore, Figure::IntakeClosing, Figure::Stroke] {
            given.push((stray, &[1.0]));
            let error = valve_columns(&given).unwrap_err();
            assert!(matches!(&error, Error::UnknownKey { field, .. } if field == stray.name()), "{error}");
            given.pop();
        }
        for place in 0..given.len() {
            let mut fewer = given.clone();
            let (figure, _) = fewer.remove(place);
            let error = valve_columns(&fewer).unwrap_err();
            assert!(matches!(&error, Error::MissingKey { field, .. } if field == figure.name()), "{error}");
        }
    }
}
