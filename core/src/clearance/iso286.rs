//! Limits and fits by ISO 286: tolerance grades, fundamental deviations, "40 H7/p6".

use crate::error::{Error, Result, finite_positive, out_of_range};
use crate::units::{Dimensioned, Length};

/// Upper ends of the main ranges of nominal size, mm.
const RANGES: [f64; 11] = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0];

/// Upper ends of the ranges of the letters c, r and s, which are finer above 30 mm.
const FINE: [f64; 19] = [
    3.0, 6.0, 10.0, 18.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0, 120.0, 140.0, 160.0, 180.0, 200.0, 225.0,
    250.0, 280.0, 315.0,
];

/// Standard tolerances IT4 to IT11 by range, um. ISO 286-1:2010, table 1 (from memory; checked against a transcription).
const GRADES: [(u8, [f64; 11]); 8] = [
    (4, [3.0, 4.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0, 16.0]),
    (5, [4.0, 5.0, 6.0, 8.0, 9.0, 11.0, 13.0, 15.0, 18.0, 20.0, 23.0]),
    (6, [6.0, 8.0, 9.0, 11.0, 13.0, 16.0, 19.0, 22.0, 25.0, 29.0, 32.0]),
    (7, [10.0, 12.0, 15.0, 18.0, 21.0, 25.0, 30.0, 35.0, 40.0, 46.0, 52.0]),
    (8, [14.0, 18.0, 22.0, 27.0, 33.0, 39.0, 46.0, 54.0, 63.0, 72.0, 81.0]),
    (9, [25.0, 30.0, 36.0, 43.0, 52.0, 62.0, 74.0, 87.0, 100.0, 115.0, 130.0]),
    (10, [40.0, 48.0, 58.0, 70.0, 84.0, 100.0, 120.0, 140.0, 160.0, 185.0, 210.0]),
    (11, [60.0, 75.0, 90.0, 110.0, 130.0, 160.0, 190.0, 220.0, 250.0, 290.0, 320.0]),
];

/// Magnitudes of the fundamental deviations of shafts by main range, um: the upper one of d to g (below zero), the lower
/// one of k to p (above zero). ISO 286-1:2010, tables 2 to 5 (from memory; checked against a transcription).
const DEVIATIONS: [(char, [f64; 11]); 8] = [
    ('d', [20.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0, 120.0, 145.0, 170.0, 190.0]),
    ('e', [14.0, 20.0, 25.0, 32.0, 40.0, 50.0, 60.0, 72.0, 85.0, 100.0, 110.0]),
    ('f', [6.0, 10.0, 13.0, 16.0, 20.0, 25.0, 30.0, 36.0, 43.0, 50.0, 56.0]),
    ('g', [2.0, 4.0, 5.0, 6.0, 7.0, 9.0, 10.0, 12.0, 14.0, 15.0, 17.0]),
    ('k', [0.0, 1.0, 1.0, 1.0, 2.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0]),
    ('m', [2.0, 4.0, 6.0, 7.0, 8.0, 9.0, 11.0, 13.0, 15.0, 17.0, 20.0]),
    ('n', [4.0, 8.0, 10.0, 12.0, 15.0, 17.0, 20.0, 23.0, 27.0, 31.0, 34.0]),
    ('p', [6.0, 12.0, 15.0, 18.0, 22.0, 26.0, 32.0, 37.0, 43.0, 50.0, 56.0]),
];

/// The same by the finer ranges, um. Source as above.
const FINE_DEVIATIONS: [(char, [f64; 19]); 3] = [
    (
        'c',
        [
            60.0, 70.0, 80.0, 95.0, 110.0, 120.0, 130.0, 140.0, 150.0, 170.0, 180.0, 200.0, 210.0, 230.0,
            240.0, 260.0, 280.0, 300.0, 330.0,
        ],
    ),
    (
        'r',
        [
            10.0, 15.0, 19.0, 23.0, 28.0, 34.0, 34.0, 41.0, 43.0, 51.0, 54.0, 63.0, 65.0, 68.0, 77.0, 80.0,
            84.0, 94.0, 98.0,
        ],
    ),
    (
        's',
        [
            14.0, 19.0, 23.0, 28.0, 35.0, 43.0, 43.0, 53.0, 59.0, 71.0, 79.0, 92.0, 100.0, 108.0, 122.0,
            130.0, 140.0, 158.0, 170.0,
        ],
    ),
];

/// A tolerance class: a letter and a grade, such as H7 (a hole) or p6 (a shaft).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ToleranceClass {
    letter: Letter,
    hole: bool,
    grade: u8,
}

/// What the letter of a class says; in lower case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Letter {
    Symmetric,
    Of(char),
}

/// Deviations of a class at a nominal size, exact in whole or half micrometres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deviations {
    /// Lower deviation: EI of a hole, ei of a shaft.
    pub lower: Length,
    /// Upper deviation: ES of a hole, es of a shaft.
    pub upper: Length,
}

fn micrometres(x: f64) -> Length {
    Length::from_si(x / 1e6)
}

/// The entry of a row for a nominal size.
fn at<const N: usize>(nominal: Length, ends: &[f64; N], row: &[f64; N]) -> Result<f64> {
    let mm = finite_positive("nominal size", nominal)?.si() * 1e3;
    let found = ends.iter().zip(row).find(|(end, _)| mm <= **end * (1.0 + 1e-12));
    found
        .map(|(_, value)| *value)
        .ok_or_else(|| out_of_range("nominal size", nominal, "above 0 and up to 315 mm"))
}

/// The standard tolerance of a grade, IT5 to IT11, at a nominal size.
///
/// # Errors
/// [`Error::NotFinite`]; [`Error::OutOfRange`] for another grade, or a size not above zero or beyond 315 mm.
///
/// # Source
/// ISO 286-1:2010, table 1 (from memory).
pub fn standard_tolerance(nominal: Length, grade: u8) -> Result<Length> {
    if !(5..=11).contains(&grade) {
        return Err(not_a_grade(grade));
    }
    grade_um(nominal, grade).map(micrometres)
}

fn not_a_grade(grade: u8) -> Error {
    Error::OutOfRange {
        field: "tolerance grade".into(),
        value: format!("IT{grade}"),
        allowed: "IT5 to IT11".into(),
    }
}

fn grade_um(nominal: Length, grade: u8) -> Result<f64> {
    let row = GRADES.iter().find(|(g, _)| *g == grade).ok_or_else(|| not_a_grade(grade))?;
    at(nominal, &RANGES, &row.1)
}

/// The magnitude of a shaft's fundamental deviation, um.
fn deviation_um(nominal: Length, letter: char) -> Result<f64> {
    if let Some((_, row)) = FINE_DEVIATIONS.iter().find(|(l, _)| *l == letter) {
        return at(nominal, &FINE, row);
    }
    match DEVIATIONS.iter().find(|(l, _)| *l == letter) {
        Some((_, row)) => at(nominal, &RANGES, row),
        None => Ok(0.0), // h
    }
}

impl ToleranceClass {
    /// Reads "H7" (a hole, upper case) or "js6" (a shaft, lower case).
    ///
    /// # Errors
    /// [`Error::Unreadable`] for a letter other than C to H, JS, K, M, N, P, R, S in either case, or a grade other than
    /// 5 to 11.
    pub fn parse(text: &str) -> Result<Self> {
        let refused = || {
            Error::Unreadable {
            value: text.chars().take(20).collect(),
            reason: "a class is a letter (C to H, JS, K, M, N, P, R, S; lower case for shafts) and a grade from 5 to 11, \
                     such as H7 or p6"
                .into(),
        }
        };
        let text = text.trim();
        let digits = text.find(|c: char| c.is_ascii_digit()).ok_or_else(refused)?;
        let (letters, number) = text.split_at_checked(digits).ok_or_else(refused)?;
        let grade: u8 = number.parse().map_err(|_| refused())?;
        let hole = letters.chars().all(|c| c.is_ascii_uppercase());
        let letter = match letters.to_ascii_lowercase().as_str() {
            "js" => Letter::Symmetric,
            one => match one.chars().next() {
                Some(c) if one.len() == 1 && "cdefghkmnprs".contains(c) => Letter::Of(c),
                _ => return Err(refused()),
            },
        };
        let one_case = hole || letters.chars().all(|c| c.is_ascii_lowercase());
        if one_case && (5..=11).contains(&grade) { Ok(Self { letter, hole, grade }) } else { Err(refused()) }
    }

    /// Whether it is a hole's class.
    pub fn is_hole(&self) -> bool {
        self.hole
    }

    /// Lower and upper deviation at a nominal size.
    ///
    /// # Errors
    /// [`Error::NotFinite`]; [`Error::OutOfRange`] for a size not above zero or beyond 315 mm.
    ///
    /// # Source
    /// ISO 286-1:2010, clause 4 and tables 1 to 5 (from memory).
    pub fn deviations(&self, nominal: Length) -> Result<Deviations> {
        let tolerance = grade_um(nominal, self.grade)?;
        let (lower, upper) = match (self.letter, self.hole) {
            (Letter::Symmetric, _) => (-tolerance / 2.0, tolerance / 2.0),
            (Letter::Of(letter @ 'c'..='h'), true) => {
                let lower = deviation_um(nominal, letter)?;
                (lower, lower + tolerance)
            }
            (Letter::Of(letter @ 'c'..='h'), false) => {
                let upper = -deviation_um(nominal, letter)?;
                (upper - tolerance, upper)
            }
            (Letter::Of(letter), true) => {
                let upper = self.hole_upper(nominal, letter, tolerance)?;
                (upper - tolerance, upper)
            }
            (Letter::Of(letter), false) => {
                // k is zero beyond IT7.
                let lower =
                    if letter == 'k' && self.grade > 7 { 0.0 } else { deviation_um(nominal, letter)? };
                (lower, lower + tolerance)
            }
        };
        Ok(Deviations { lower: micrometres(lower), upper: micrometres(upper) })
    }

    /// The upper deviation of the holes K to S, um: that of the shaft turned round, plus the step Delta from the next finer grade
    /// for sizes above 3 mm, for K, M, N to grade 8 and P to S to grade 7.
    fn hole_upper(&self, nominal: Length, letter: char, tolerance: f64) -> Result<f64> {
        let small = nominal.si() <= 3e-3 * (1.0 + 1e-12);
        let finest_rule = if "kmn".contains(letter) { 8 } else { 7 };
        let stepped = self.grade <= finest_rule && !small;
        let delta = if stepped { tolerance - grade_um(nominal, self.grade - 1)? } else { 0.0 };
        let largest = nominal.si() > 250e-3 * (1.0 + 1e-12);
        Ok(match (letter, self.grade) {
            ('m', 6) if largest => -9.0, // the standard's one exception
            ('k', 9..) => 0.0,
            ('n', 9..) if !small => 0.0,
            _ => delta - deviation_um(nominal, letter)?,
        })
    }
}

/// A fit: a nominal size, a hole's class and a shaft's class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IsoFit {
    /// Nominal size.
    pub nominal: Length,
    /// The hole's class.
    pub hole: ToleranceClass,
    /// The shaft's class.
    pub shaft: ToleranceClass,
}

impl IsoFit {
    /// Reads "40 H7/p6"; the size is in millimetres, as the standard writes it.
    ///
    /// # Errors
    /// [`Error::Unreadable`]; [`Error::OutOfRange`] for a size not above zero or beyond 315 mm.
    ///
    /// # Example
    /// ```
    /// use swept::clearance::IsoFit;
    /// use swept::units::Dimensioned;
    /// let (least, greatest) = IsoFit::parse("25 H7/g6")?.clearance()?;
    /// assert!((least.si() - 7e-6).abs() < 1e-12 && (greatest.si() - 41e-6).abs() < 1e-12);
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        let refused = || Error::Unreadable {
            value: text.chars().take(40).collect(),
            reason: "a fit is a size in mm, a hole and a shaft, such as 40 H7/p6".into(),
        };
        let (front, shaft) = text.split_once('/').ok_or_else(refused)?;
        let front = front.trim();
        let letter = front.find(|c: char| c.is_ascii_uppercase()).ok_or_else(refused)?;
        let (size, hole) = front.split_at_checked(letter).ok_or_else(refused)?;
        let size = size.trim().trim_end_matches("mm").trim();
        let nominal: f64 = size.parse().map_err(|_| refused())?;
        let nominal = finite_positive("nominal size", Length::from_si(nominal / 1e3))?;
        let (hole, shaft) = (ToleranceClass::parse(hole)?, ToleranceClass::parse(shaft)?);
        if !hole.hole || shaft.hole {
            return Err(refused());
        }
        at(nominal, &RANGES, &RANGES)?;
        Ok(Self { nominal, hole, shaft })
    }

    /// Least and greatest clearance; below zero is interference.
    ///
    /// # Errors
    /// As [`ToleranceClass::deviations`].
    pub fn clearance(&self) -> Result<(Length, Length)> {
        let (hole, shaft) = (self.hole.deviations(self.nominal)?, self.shaft.deviations(self.nominal)?);
        Ok((hole.lower - shaft.upper, hole.upper - shaft.lower))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn um(x: Length) -> f64 {
        (x.si() * 1e9).round() / 1e3
    }

    fn limits(size: f64, class: &str) -> (f64, f64) {
        let d = ToleranceClass::parse(class).unwrap().deviations(Length::from_si(size / 1e3)).unwrap();
        (um(d.lower), um(d.upper))
    }

    /// ISO 286-1:2010, as transcribed in an open data set, and Shigley, example 7-7 (from memory).
    #[test]
    fn cells_of_the_tables() {
        let it = |size: f64, grade| um(standard_tolerance(Length::from_si(size / 1e3), grade).unwrap());
        assert_eq!([5, 6, 7, 8, 9, 10, 11].map(|g| it(2.0, g)), [4.0, 6.0, 10.0, 14.0, 25.0, 40.0, 60.0]);
        assert_eq!([5, 6, 7, 8, 9, 10, 11].map(|g| it(30.0, g)), [9.0, 13.0, 21.0, 33.0, 52.0, 84.0, 130.0]);
        assert_eq!(
            [5, 6, 7, 8, 9, 10, 11].map(|g| it(40.0, g)),
            [11.0, 16.0, 25.0, 39.0, 62.0, 100.0, 160.0]
        );
        assert_eq!(
            [5, 6, 7, 8, 9, 10, 11].map(|g| it(60.0, g)),
            [13.0, 19.0, 30.0, 46.0, 74.0, 120.0, 190.0]
        );
        assert_eq!(
            [5, 6, 7, 8, 9, 10, 11].map(|g| it(120.0, g)),
            [15.0, 22.0, 35.0, 54.0, 87.0, 140.0, 220.0]
        );
        for (size, e, f, g, k, m, n, p) in [
            (8.0, -25.0, -13.0, -5.0, 1.0, 6.0, 10.0, 15.0),
            (15.0, -32.0, -16.0, -6.0, 1.0, 7.0, 12.0, 18.0),
            (25.0, -40.0, -20.0, -7.0, 2.0, 8.0, 15.0, 22.0),
            (70.0, -60.0, -30.0, -10.0, 2.0, 11.0, 20.0, 32.0),
            (100.0, -72.0, -36.0, -12.0, 3.0, 13.0, 23.0, 37.0),
            (150.0, -85.0, -43.0, -14.0, 3.0, 15.0, 27.0, 43.0),
        ] {
            let upper = |class| limits(size, class).1;
            let lower = |class| limits(size, class).0;
            assert_eq!([upper("e6"), upper("f6"), upper("g6"), upper("h6")], [e, f, g, 0.0]);
            assert_eq!([lower("k6"), lower("m6"), lower("n6"), lower("p6")], [k, m, n, p]);
            assert_eq!([limits(size, "E7").0, limits(size, "F7").0, limits(size, "G7").0], [-e, -f, -g]);
        }
        let sizes = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 65.0, 80.0, 100.0, 120.0, 140.0, 160.0, 180.0];
        let s = [14.0, 19.0, 23.0, 28.0, 35.0, 43.0, 53.0, 59.0, 71.0, 79.0, 92.0, 100.0, 108.0];
        assert_eq!(sizes.map(|size| limits(size, "s6").0), s);
        let fit = IsoFit::parse("34 H11/c11").unwrap();
        assert_eq!(um(fit.clearance().unwrap().0), 120.0);
        assert_eq!(limits(34.0, "c11"), (-280.0, -120.0));
    }

    /// Holes of handbook tables (from memory).
    #[test]
    fn holes_with_the_step_between_grades() {
        for (size, class, expected) in [
            (25.0, "H7", (0.0, 21.0)),
            (25.0, "K7", (-15.0, 6.0)),
            (25.0, "M7", (-21.0, 0.0)),
            (25.0, "N7", (-28.0, -7.0)),
            (25.0, "P7", (-35.0, -14.0)),
            (25.0, "R7", (-41.0, -20.0)),
            (25.0, "S7", (-48.0, -27.0)),
            (40.0, "K6", (-13.0, 3.0)),
            (25.0, "N8", (-36.0, -3.0)),
            (25.0, "N9", (-52.0, 0.0)),
            (2.0, "N7", (-14.0, -4.0)),
            (2.0, "P7", (-16.0, -6.0)),
            (25.0, "JS7", (-10.5, 10.5)),
            (300.0, "M6", (-41.0, -9.0)),
        ] {
            assert_eq!(limits(size, class), expected, "{size} {class}");
        }
    }

    #[test]
    fn what_is_no_fit_is_refused() {
        for text in [
            "40 H7",
            "40 H7/P6",
            "40 h7/p6",
            "H7/p6",
            "40 H4/p6",
            "40 I7/p6",
            "40 H7/p",
            "40 Js7/p6",
            "",
            "40 H777/p6",
        ] {
            assert!(IsoFit::parse(text).is_err(), "{text}");
        }
        assert!(IsoFit::parse("0 H7/p6").is_err());
        assert!(IsoFit::parse("316 H7/p6").is_err());
        assert!(IsoFit::parse("nan H7/p6").is_err());
        assert_eq!(IsoFit::parse(" 40 mm H7 / p6 ").unwrap(), IsoFit::parse("40H7/p6").unwrap());
    }

    proptest! {
        #[test]
        fn a_tolerance_zone_is_as_wide_as_its_grade(size in 0.1..315.0f64, grade in 5u8..=11, hole: bool, letter in 0usize..13) {
            let letters = ["c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"];
            let class = format!("{}{grade}", if hole { letters[letter].to_uppercase() } else { letters[letter].into() });
            let (lower, upper) = limits(size, &class);
            let it = um(standard_tolerance(Length::from_si(size / 1e3), grade).unwrap());
            prop_assert!((upper - lower - it).abs() < 1e-6);
        }
    }
}
