//! What stands in the rows of a grid, by name.

use super::definition::Study;
use super::figure::{Figure, unknown};
use super::given::Given;
use super::output::Output;
use super::program::Program;
use super::wide::BLOCK;
use crate::error::{Error, Result};
use crate::units::Dimension;

/// What a row is asked for: a figure of the design, or what it comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Named {
    /// A figure, fixed or on an axis.
    Figure(Figure),
    /// An output.
    Output(Output),
}

impl Named {
    /// Its name, as a study is written.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Figure(figure) => figure.name(),
            Self::Output(output) => output.name(),
        }
    }

    /// Its dimension.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Figure(figure) => figure.dimension(),
            Self::Output(output) => output.dimension(),
        }
    }
}

/// Where the values of a figure come from: one for all rows, or an axis with the rows from one of its values to the next.
enum Column<'s> {
    Fixed(f64),
    Axis(&'s [f64], u128),
}

impl Column<'_> {
    /// The values of rows that are in the grid.
    fn fill(&self, rows: &[u128], out: &mut [f64]) {
        match self {
            Self::Fixed(value) => out.fill(*value),
            Self::Axis(values, stride) => {
                let (len, short) = (values.len() as u128, u64::try_from(*stride));
                for (out, row) in out.iter_mut().zip(rows) {
                    // Divisions of 64 bits take a fraction of those of 128.
                    let place = match (u64::try_from(*row), short) {
                        (Ok(row), Ok(stride)) => (row / stride % values.len() as u64) as usize,
                        _ => (row / stride % len) as usize,
                    };
                    *out = values.get(place).copied().unwrap_or(f64::NAN);
                }
            }
        }
    }
}

impl Study {
    /// The figures that are known: those of the axes in their order, then the fixed ones, with those that have a value where nothing is said.
    pub fn figures(&self) -> Vec<Figure> {
        self.given().figures()
    }

    /// The outputs whose figures are all known.
    pub fn outputs(&self) -> Vec<Output> {
        self.given().outputs()
    }

    /// The known figure of a name, else the output.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] with the nearest names; [`Error::MissingKey`] for a figure that is not known, or that the output needs.
    pub fn named(&self, name: &str) -> Result<Named> {
        self.given().named(name)
    }

    /// What stands in each row of some, in study units.
    ///
    /// # Errors
    /// As [`Study::design`]; [`Error::MissingKey`] for a figure that is not known, or that the output needs.
    pub fn values_of(&self, rows: &[u128], named: Named) -> Result<Vec<f64>> {
        match named {
            Named::Figure(figure) => self.figures_of(rows, figure),
            Named::Output(output) => self.outputs_of(rows, output),
        }
    }

    /// The value of each row of some, by evaluating it.
    ///
    /// # Errors
    /// As [`Study::output_of`].
    pub fn outputs_of(&self, rows: &[u128], output: Output) -> Result<Vec<f64>> {
        self.check_output(output)?;
        self.check_rows(rows)?;
        let program = Program::of(output, self.shape());
        let columns: Vec<(usize, Column<'_>)> =
            program.figures().filter_map(|figure| Some((figure.index(), self.column(figure)?))).collect();
        let mut room = program.room(BLOCK.min(rows.len()));
        let mut out = vec![f64::NAN; rows.len()];
        for (rows, out) in rows.chunks(BLOCK).zip(out.chunks_mut(BLOCK)) {
            for (place, column) in &columns {
                if let Some(room) = room.get_mut(*place) {
                    column.fill(rows, room);
                }
            }
            program.run_block(&mut room, out);
        }
        Ok(out)
    }

    fn figures_of(&self, rows: &[u128], figure: Figure) -> Result<Vec<f64>> {
        self.check_rows(rows)?;
        let column = self.column(figure).ok_or_else(|| not_known(figure.name()))?;
        let mut out = vec![f64::NAN; rows.len()];
        column.fill(rows, &mut out);
        Ok(out)
    }

    fn check_rows(&self, rows: &[u128]) -> Result<()> {
        let designs = self.designs()?;
        let beyond = rows.iter().find(|row| **row >= designs);
        beyond.map_or(Ok(()), |row| self.design(*row).map(|_| ()))
    }

    /// Where the values of a figure come from, if it is known.
    fn column(&self, figure: Figure) -> Option<Column<'_>> {
        if let Some(value) = self.fixed(figure) {
            return Some(Column::Fixed(value));
        }
        let place = self.axis_of(figure)?;
        let (_, axis) = self.axes().get(place)?;
        Some(Column::Axis(axis.values(), self.stride(place)))
    }

    /// Rows from one value of an axis to the next.
    pub(super) fn stride(&self, place: usize) -> u128 {
        self.axes().iter().skip(place + 1).map(|(_, axis)| axis.len() as u128).product()
    }
}

impl Given {
    /// The figures that are known: those that vary in their order, then the fixed ones.
    pub(super) fn figures(&self) -> Vec<Figure> {
        let varied = self.varied().iter().copied();
        varied.chain(Figure::ALL.into_iter().filter(|f| self.fixed(*f).is_some())).collect()
    }

    /// The outputs whose figures are all known.
    pub(super) fn outputs(&self) -> Vec<Output> {
        Output::ALL.into_iter().filter(|o| self.check_output(*o).is_ok()).collect()
    }

    /// The known figure of a name, else the output.
    pub(super) fn named(&self, name: &str) -> Result<Named> {
        let figure = Figure::of_name(name);
        if let Some(figure) = figure.filter(|f| self.fixed(*f).is_some() || self.place_of(*f).is_some()) {
            return Ok(Named::Figure(figure));
        }
        if let Ok(output) = Output::parse(name) {
            return self.check_output(output).map(|()| Named::Output(output));
        }
        match figure {
            Some(_) => Err(not_known(name)),
            None => {
                const ALL: usize = Figure::ALL.len() + Output::ALL.len();
                let mut names =
                    Figure::ALL.map(Figure::name).into_iter().chain(Output::ALL.map(Output::name));
                let all: [&'static str; ALL] = core::array::from_fn(|_| names.next().unwrap_or_default());
                Err(unknown(name, "figure or output", all))
            }
        }
    }
}

pub(super) fn not_known(name: &str) -> Error {
    Error::MissingKey { field: name.into(), remedy: "the study has it neither fixed nor on an axis".into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn study() -> Study {
        Study::parse(
            r#"{
            "axes": [
                {"figure": "bore", "from": "80 mm", "to": "90 mm", "count": 7},
                {"figure": "pin_offset", "values": ["0 mm", "1 mm", "0.5 mm"]},
                {"figure": "stroke", "from": "70 mm", "to": "95 mm", "count": 31},
                {"figure": "rod_length", "values": ["150 mm", "140 mm"]}
            ],
            "fixed": {"cylinders": "4"},
            "limits": {"displacement": {"lower": "1700 cm3", "upper": "2000 cm3"}, "rod_ratio": {"lower": "1.7"}}
        }"#,
        )
        .unwrap()
    }

    #[test]
    fn values_are_those_of_each_design() {
        let study = study();
        let rows: Vec<u128> = (0..study.designs().unwrap()).rev().collect();
        for (i, figure) in
            [Figure::Bore, Figure::PinOffset, Figure::Stroke, Figure::RodLength].iter().enumerate()
        {
            let found = study.values_of(&rows, study.named(figure.name()).unwrap()).unwrap();
            let want: Vec<f64> = rows.iter().map(|r| study.design(*r).unwrap()[i].1).collect();
            assert_eq!(found, want);
        }
        for output in study.outputs() {
            let found = study.outputs_of(&rows, output).unwrap();
            let want: Vec<f64> = rows.iter().map(|r| study.output_of(*r, output).unwrap()).collect();
            assert_eq!(found, want, "{output:?}");
        }
        assert_eq!(study.values_of(&[3], Named::Figure(Figure::Cylinders)).unwrap(), [4.0]);
        assert!(study.values_of(&[1302], Named::Figure(Figure::Bore)).is_err());
        assert!(matches!(study.named("speed"), Err(Error::MissingKey { .. })));
        assert!(matches!(study.named("mean_piston_speed"), Err(Error::MissingKey { .. })));
        let near = study.named("displacment").unwrap_err().to_string();
        assert!(near.contains("displacement"), "{near}");
        assert!(
            study.outputs().contains(&Output::RodRatio)
                && !study.outputs().contains(&Output::PeakAcceleration)
        );
    }
}
