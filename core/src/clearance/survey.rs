//! Diameters read at several angles and stations: out-of-round, taper, and the least and greatest.

use crate::error::{Error, Result, finite, finite_positive};
use crate::units::{Angle, Dimensioned, Length};

/// Diameters of one bore or journal: a row for each station along its axis, in each a reading for each angle.
#[derive(Debug, Clone, PartialEq)]
pub struct DiameterSurvey {
    angles: Vec<Angle>,
    stations: Vec<Length>,
    diameters: Vec<Vec<Length>>,
}

impl DiameterSurvey {
    /// From the angles (of a bearing, from its parting line), the stations along the axis, and a row of diameters for each station.
    ///
    /// # Errors
    /// [`Error::WrongLength`] without angles or stations, or for rows of another length; [`Error::NotFinite`];
    /// [`Error::OutOfRange`] for a diameter not above zero.
    pub fn new(angles: Vec<Angle>, stations: Vec<Length>, diameters: Vec<Vec<Length>>) -> Result<Self> {
        let length = |field: &str, found: usize, expected: String| {
            Err(Error::WrongLength { field: field.into(), found, expected })
        };
        if angles.is_empty() || stations.is_empty() {
            return length("angles and stations", 0, "at least 1 of each".into());
        }
        if diameters.len() != stations.len() {
            return length(
                "rows of diameters",
                diameters.len(),
                format!("{}, one for each station", stations.len()),
            );
        }
        if let Some(row) = diameters.iter().find(|row| row.len() != angles.len()) {
            return length(
                "diameters of a station",
                row.len(),
                format!("{}, one for each angle", angles.len()),
            );
        }
        angles.iter().try_for_each(|a| finite("angle", *a).map(|_| ()))?;
        stations.iter().try_for_each(|s| finite("station", *s).map(|_| ()))?;
        diameters.iter().flatten().try_for_each(|d| finite_positive("diameter", *d).map(|_| ()))?;
        Ok(Self { angles, stations, diameters })
    }

    /// The angles read.
    pub fn angles(&self) -> &[Angle] {
        &self.angles
    }

    /// The stations read.
    pub fn stations(&self) -> &[Length] {
        &self.stations
    }

    /// The least diameter: of a bore what a journal has to pass.
    pub fn least(&self) -> Length {
        extremes(self.diameters.iter().flatten()).0
    }

    /// The greatest diameter: of a journal what a bore has to pass.
    pub fn greatest(&self) -> Length {
        extremes(self.diameters.iter().flatten()).1
    }

    /// The mean of all diameters.
    pub fn mean(&self) -> Length {
        let sum: f64 = self.diameters.iter().flatten().map(|d| d.si()).sum();
        Length::from_si(sum / (self.angles.len() * self.stations.len()) as f64)
    }

    /// Out-of-round: the largest difference of two diameters at one station.
    ///
    /// A difference of diameters, twice the out-of-roundness of an oval; lobes of odd number do not show in diameters at all.
    ///
    /// # Source
    /// Common practice, no source.
    pub fn out_of_round(&self) -> Length {
        let ranges = self.diameters.iter().map(|row| range(row.iter()));
        Length::from_si(ranges.map(|r| r.si()).fold(0.0, f64::max))
    }

    /// Taper: the largest difference of two diameters at one angle.
    ///
    /// # Source
    /// Common practice, no source.
    pub fn taper(&self) -> Length {
        let at = |i: usize| self.diameters.iter().filter_map(move |row| row.get(i));
        let ranges = (0..self.angles.len()).map(|i| range(at(i)).si());
        Length::from_si(ranges.fold(0.0, f64::max))
    }
}

fn extremes<'a>(all: impl Iterator<Item = &'a Length>) -> (Length, Length) {
    let (least, greatest) =
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, g), d| (l.min(d.si()), g.max(d.si())));
    (Length::from_si(least), Length::from_si(greatest))
}

fn range<'a>(all: impl Iterator<Item = &'a Length>) -> Length {
    let (least, greatest) = extremes(all);
    greatest - least
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    fn survey(rows: &[&[f64]]) -> Result<DiameterSurvey> {
        let angles = (0..rows[0].len()).map(|i| Angle::from_si(i as f64 * 0.5)).collect();
        let stations = (0..rows.len()).map(|i| Length::from_si(i as f64 * 0.01)).collect();
        let mm = |row: &&[f64]| row.iter().map(|d| Length::from_si(d / 1e3)).collect();
        DiameterSurvey::new(angles, stations, rows.iter().map(mm).collect())
    }

    #[test]
    fn oval_and_taper_are_told_apart() {
        let s = survey(&[&[59.010, 59.002, 59.006], &[59.013, 59.004, 59.008]]).unwrap();
        assert_relative_eq!(s.out_of_round().si(), 9e-6, epsilon = 1e-12);
        assert_relative_eq!(s.taper().si(), 3e-6, epsilon = 1e-12);
        assert_relative_eq!(s.least().si(), 59.002e-3);
        assert_relative_eq!(s.greatest().si(), 59.013e-3);
        assert_relative_eq!(s.mean().si(), (59.010 + 59.002 + 59.006 + 59.013 + 59.004 + 59.008) / 6e3);
        assert_eq!(survey(&[&[59.0]]).unwrap().taper().si(), 0.0);
    }

    #[test]
    fn rows_must_fit() {
        assert!(survey(&[&[59.0, 59.0], &[59.0]]).is_err());
        assert!(survey(&[&[59.0, f64::NAN]]).is_err());
        assert!(survey(&[&[59.0, -1.0]]).is_err());
        assert!(DiameterSurvey::new(vec![], vec![], vec![]).is_err());
    }

    proptest! {
        /// A perfect cone is all taper, a perfect oval cylinder all out-of-round.
        #[test]
        fn cones_and_ovals(step in 0.0..0.01f64, oval in 0.0..0.01f64) {
            let cone = survey(&[&[50.0, 50.0], &[50.0 + step, 50.0 + step]]).unwrap();
            prop_assert!((cone.taper().si() * 1e3 - step).abs() < 1e-12 && cone.out_of_round().si() == 0.0);
            let ovals = survey(&[&[50.0, 50.0 + oval], &[50.0, 50.0 + oval]]).unwrap();
            prop_assert!((ovals.out_of_round().si() * 1e3 - oval).abs() < 1e-12 && ovals.taper().si() == 0.0);
        }
    }
}
