//! Reading a number with its unit, as a person writes it.

use super::{Dimension, Dimensioned, TABLE, Unit};
use crate::error::{Error, Result};

/// Reads "4.125 in" as the quantity asked for.
///
/// Spaces are free, both micro signs and the usual signs for degree, powers and products are read. An inch mark
/// (`"`) is never guessed at, nor a bare number (save for a ratio).
///
/// # Errors
/// [`Error::Unreadable`], [`Error::MissingUnit`], [`Error::UnknownUnit`], [`Error::WrongDimension`].
///
/// # Example
/// ```
/// use swept::units::{self, Dimensioned, Length};
/// assert_eq!(units::parse::<Length>("4.125 in")?.si(), 0.104775);
/// assert!(units::parse::<Length>("4.125 kg").is_err());
/// # Ok::<(), swept::Error>(())
/// ```
pub fn parse<Q: Dimensioned>(text: &str) -> Result<Q> {
    quantity_of(text, Q::DIMENSION).map(|(si, _)| Q::from_si(si))
}

/// Reads a number with a unit of the dimension given: the SI value and the unit as found.
///
/// # Errors
/// As [`parse`].
pub fn quantity_of(text: &str, dimension: Dimension) -> Result<(f64, &'static Unit)> {
    let (number, unit) = number_of(text, dimension)?;
    Ok((unit.to_si(number), unit))
}

/// Reads a number with a unit of the dimension given: the number as written and the unit.
///
/// # Errors
/// As [`parse`].
pub(crate) fn number_of(text: &str, dimension: Dimension) -> Result<(f64, &'static Unit)> {
    let (number, unit) = split(text)?;
    let unit = find_for(unit, dimension, text)?;
    finite_si(text, unit.to_si(number))?;
    Ok((number, unit))
}

/// Reads a number with any unit: the SI value and the unit.
///
/// # Errors
/// As [`parse`], without [`Error::WrongDimension`].
pub fn quantity(text: &str) -> Result<(f64, &'static Unit)> {
    let (number, unit) = split(text)?;
    let unit = find(unit)?;
    Ok((finite_si(text, unit.to_si(number))?, unit))
}

/// How many of the unit `to` are `value` of the unit `from`.
///
/// "degC" and "degF" are temperatures here, not differences.
///
/// # Errors
/// [`Error::UnknownUnit`]; [`Error::WrongDimension`] when the two do not measure the same; [`Error::NotFinite`].
///
/// # Example
/// ```
/// assert_eq!(swept::units::convert(2.5, "thou", "um")?, 63.5);
/// # Ok::<(), swept::Error>(())
/// ```
pub fn convert(value: f64, from: &str, to: &str) -> Result<f64> {
    let from = find(from)?;
    let to = find_for(to, from.dimension, to)?;
    if !value.is_finite() {
        return Err(Error::NotFinite { field: "value".into(), value: value.to_string() });
    }
    if from == to {
        return Ok(value);
    }
    finite_si("value", to.from_si(from.to_si(value)))
}

/// The unit with this spelling; a spelling of both a temperature and a difference gives the temperature.
///
/// # Errors
/// [`Error::UnknownUnit`] with the nearest unit known.
pub fn find(spelling: &str) -> Result<&'static Unit> {
    let tidy = tidied(spelling);
    named(&tidy).next().ok_or_else(|| unknown(spelling, &tidy, None))
}

/// The unit of this dimension with this spelling; `text` is the whole text for the error.
///
/// # Errors
/// [`Error::MissingUnit`], [`Error::UnknownUnit`], [`Error::WrongDimension`].
pub fn find_for(spelling: &str, dimension: Dimension, text: &str) -> Result<&'static Unit> {
    // Most texts have the symbol as it stands in the table.
    if let Some(unit) = TABLE.iter().find(|u| u.dimension == dimension && u.symbol == spelling) {
        return Ok(unit);
    }
    let tidy = tidied(spelling);
    if tidy.is_empty() && dimension != Dimension::Ratio {
        return Err(Error::MissingUnit {
            value: clipped(text),
            expected: dimension.name().into(),
            example: dimension.example(),
        });
    }
    if let Some(unit) = named(&tidy).find(|u| u.dimension == dimension) {
        return Ok(unit);
    }
    match named(&tidy).next() {
        Some(other) => Err(Error::WrongDimension {
            value: clipped(text),
            found: other.dimension,
            expected: dimension,
            example: dimension.example(),
        }),
        None => Err(unknown(spelling, &tidy, Some(dimension))),
    }
}

fn named(tidy: &str) -> impl Iterator<Item = &'static Unit> {
    TABLE.iter().filter(move |u| u.symbol == tidy || u.spellings.contains(&tidy))
}

/// One spelling for signs that look alike: micro, degree, powers, products, white space.
fn tidied(spelling: &str) -> String {
    let mut plain = String::with_capacity(spelling.len());
    for c in spelling.trim().chars() {
        match c {
            '\u{b5}' | '\u{3bc}' => plain.push('u'),
            '\u{b0}' => plain.push_str("deg"),
            '\u{b2}' => plain.push('2'),
            '\u{b3}' => plain.push('3'),
            '\u{b7}' | '\u{22c5}' | '*' => plain.push(' '),
            '^' => {}
            c => plain.push(c),
        }
    }
    let words: Vec<&str> = plain.split_whitespace().collect();
    words.join(" ").replace(" /", "/").replace("/ ", "/")
}

/// The number and the rest of the text.
fn split(text: &str) -> Result<(f64, &str)> {
    let text = text.trim();
    let end = number_end(text);
    let (digits, rest) = text.split_at_checked(end).unwrap_or((text, ""));
    let parsed = match digits.strip_prefix('\u{2212}') {
        Some(rest) => format!("-{rest}").parse::<f64>(),
        None => digits.parse(),
    };
    match parsed {
        Ok(number) if !continues_number(rest) && !has_uncertainty(rest) => Ok((number, rest.trim())),
        _ => Err(Error::Unreadable { value: clipped(text), reason: reason(text, rest) }),
    }
}

fn has_uncertainty(text: &str) -> bool {
    text.contains("+/-") || text.contains('\u{b1}') || text.contains("+-")
}

fn continues_number(rest: &str) -> bool {
    let mut chars = rest.trim_start().chars();
    match chars.next() {
        Some(',') | Some('.') | Some('/') => true,
        Some(c) => c.is_ascii_digit(),
        None => false,
    }
}

fn reason(text: &str, rest: &str) -> String {
    let lower = text.to_ascii_lowercase();
    if has_uncertainty(text) {
        return "an uncertainty cannot stand here; write the figure alone".into();
    }
    if rest.starts_with(',') {
        "the decimal sign is a point, and thousands are not parted".into()
    } else if lower.starts_with("nan") || lower.contains("inf") {
        "a finite number is needed".into()
    } else {
        "write one number, then its unit, such as \"86.00 mm\"".into()
    }
}

/// Where the number ends: sign, digits, point, digits, and an exponent only where digits follow.
fn number_end(text: &str) -> usize {
    let mut mantissa = true;
    let mut chars = text.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        let sign = matches!(c, '+' | '-' | '\u{2212}') && at == 0;
        let point = c == '.' && mantissa;
        let exponent = matches!(c, 'e' | 'E') && mantissa && at > 0 && exponent_follows(text, at);
        if exponent {
            mantissa = false;
            chars.next_if(|(_, next)| matches!(next, '+' | '-'));
        } else if !(sign || point || c.is_ascii_digit()) {
            return at;
        }
    }
    text.len()
}

fn exponent_follows(text: &str, at: usize) -> bool {
    let rest = text.get(at + 1..).unwrap_or("");
    rest.trim_start_matches(['+', '-']).starts_with(|c: char| c.is_ascii_digit())
}

fn finite_si(text: &str, si: f64) -> Result<f64> {
    if si.is_finite() {
        return Ok(si);
    }
    Err(Error::NotFinite { field: "value".into(), value: clipped(text) })
}

/// At most 60 characters of a text, for an error message.
fn clipped(text: &str) -> String {
    let mut short: String = text.chars().take(60).collect();
    if short.len() < text.len() {
        short.push_str("...");
    }
    short
}

fn unknown(spelling: &str, tidy: &str, dimension: Option<Dimension>) -> Error {
    Error::UnknownUnit { unit: clipped(spelling), remedy: remedy(tidy, dimension) }
}

fn remedy(tidy: &str, dimension: Option<Dimension>) -> String {
    match tidy {
        "\"" | "''" | "\u{2033}" | "'" | "\u{2032}" => {
            return "an inch or foot mark is not read; write in, thou or ft".into();
        }
        "J" => return "a torque is written in N m; J is an energy".into(),
        "ft lb" | "lb ft" | "ft lbs" | "in lb" | "lb in" => {
            return "lb is a mass; a torque is written lbf ft or lbf in".into();
        }
        _ => {}
    }
    let near = TABLE
        .iter()
        .filter(|u| dimension.is_none_or(|d| u.dimension == d))
        .flat_map(|u| core::iter::once(&u.symbol).chain(u.spellings))
        .filter(|s| !s.is_empty())
        .max_by(|a, b| likeness(a, tidy).total_cmp(&likeness(b, tidy)));
    match (near, dimension) {
        (Some(near), _) if likeness(near, tidy) > 0.5 => format!("did you mean {near}?"),
        (_, Some(d)) => format!("write {}, such as \"{}\"", crate::error::one(d.name()), d.example()),
        _ => "see the table of units".into(),
    }
}

fn likeness(a: &str, b: &str) -> f64 {
    let short: String = b.chars().take(40).collect();
    strsim::jaro(&a.to_lowercase(), &short.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ErrorKind;
    use crate::units::{AngularVelocity, Length, Ratio, TemperatureInterval, Torque};
    use proptest::prelude::*;

    fn si(text: &str) -> f64 {
        quantity(text).unwrap().0
    }

    #[test]
    fn spellings_a_person_uses_are_read() {
        for text in ["4.125 in", "4.125in", "  4.125   inch ", "+4.125 in", "4125 thou", "4.125e0 in"] {
            assert_eq!(si(text), 0.104775, "{text}");
        }
        assert_eq!(si("12 \u{b5}m"), si("12 \u{3bc}m"));
        assert_eq!(si("12 um"), 12e-6);
        assert_eq!(si("450 cm\u{b3}"), si("450 cc"));
        assert_eq!(si("95 N\u{b7}m"), si("95 Nm"));
        assert_eq!(si("20 \u{b0}C"), 293.15);
        assert_eq!(si("\u{2212}3 mm"), -3e-3);
        assert_eq!(si("10.5:1"), 10.5);
        assert_eq!(parse::<Ratio>("2 %").unwrap().si(), 0.02);
    }

    fn kind_of<Q: Dimensioned>(text: &str) -> ErrorKind {
        match parse::<Q>(text) {
            Ok(_) => panic!("{text} was read"),
            Err(e) => e.kind(),
        }
    }

    #[test]
    fn what_is_not_clear_is_refused() {
        assert_eq!(kind_of::<Length>("4.125 kg"), ErrorKind::WrongDimension);
        assert_eq!(kind_of::<Length>("4.125"), ErrorKind::MissingUnit);
        assert_eq!(kind_of::<Length>("4.125\""), ErrorKind::UnknownUnit);
        assert_eq!(kind_of::<Length>("4.125 inn"), ErrorKind::UnknownUnit);
        for text in
            ["", "mm", "nan mm", "inf mm", "4,125 in", "4 1/8 in", "1 2 mm", "--1 mm", "1.2.3 mm", "."]
        {
            assert_eq!(kind_of::<Length>(text), ErrorKind::Unreadable, "{text}");
        }
        assert_eq!(kind_of::<Length>("1e999 mm"), ErrorKind::NotFinite);
        assert_eq!(kind_of::<AngularVelocity>("100 Hz"), ErrorKind::WrongDimension);
        assert_eq!(kind_of::<Torque>("100 J"), ErrorKind::UnknownUnit);
        assert_eq!(kind_of::<Torque>("70 ft lb"), ErrorKind::UnknownUnit);
    }

    #[test]
    fn the_nearest_unit_is_named() {
        let text = parse::<Length>("4.125 inchs").unwrap_err().to_string();
        assert!(text.contains("did you mean inch"), "{text}");
    }

    #[test]
    fn writing_keeps_to_the_digits_that_were_read() {
        assert_eq!(find("mm").unwrap().write(si("4.125 in")), "104.775 mm");
        assert_eq!(find("in").unwrap().write(si("3.7601 in")), "3.7601 in");
        assert_eq!(find("%").unwrap().write(0.02), "2%");
    }

    #[test]
    fn a_temperature_difference_has_no_zero_offset() {
        assert_eq!(parse::<TemperatureInterval>("80 degC").unwrap().si(), 80.0);
        assert_eq!(parse::<TemperatureInterval>("90 degF").unwrap().si(), 50.0);
        assert_eq!(convert(20.0, "degC", "degF").unwrap().round(), 68.0);
    }

    /// Exact sizes, each the nearest binary64 of the exact fraction. Source: NIST SP 811 (2008) App. B.8, from
    /// memory, by way of the exact definitions of inch, pound, standard gravity and US gallon.
    #[test]
    fn sizes_are_those_of_the_definitions() {
        let exact: &[(&str, f64)] = &[
            ("1 lb", 0.45359237),
            ("1 gn", 9.80665),
            ("1 US gal", 0.003785411784),
            ("1 US fl oz", 2.95735295625e-05),
            ("1 US qt", 0.000946352946),
            ("1 ozf in", 0.0070615518142260435),
            ("1 oz", 0.028349523125),
            ("1 oz in", 720.077887375e-6),
            ("1 ureyn", 0.006894757293168362),
            ("1 inHg", 3386.388640341),
            ("1 in3", 16.387064e-6),
            ("1 ksi", 6894757.293168361),
            ("1 psi", 6894.757293168362),
            ("1 ft/min", 0.00508),
            ("1 in", 0.0254),
            ("1 thou", 2.54e-5),
            ("1 lbf", 4.4482216152605),
            ("1 lbf ft", 1.3558179483314004),
            ("1 lbf in", 0.1129848290276167),
        ];
        for (text, expected) in exact {
            assert_eq!(si(text), *expected, "{text}");
        }
        assert_eq!(convert(1.0, "bar", "psi").unwrap(), 14.50377377302092);
        assert_eq!(convert(1.0, "MPa", "psi").unwrap(), 145.03773773020922);
        assert_eq!(convert(1.0, "oz in", "g mm").unwrap(), 720.077887375);
    }

    proptest! {
        #[test]
        fn every_unit_round_trips(row in 0..TABLE.len(), value in -1e6..1e6f64) {
            let unit = &TABLE[row];
            let si = unit.to_si(value);
            let (back, found) = quantity_of(&unit.write(si), unit.dimension).unwrap();
            prop_assert_eq!(found, unit);
            let scale = si.abs().max(unit.difference_to_si(unit.offset_for_test()).abs());
            prop_assert!((back - si).abs() <= 8.0 * f64::EPSILON * scale);
        }

        #[test]
        fn no_text_panics(text in "\\PC{0,40}") {
            let _ = quantity(&text);
            let _ = parse::<Length>(&text);
        }
    }
}
