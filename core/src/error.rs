//! The one error type: which field, which value with its unit, what is allowed, what to do.

use crate::units::{Dimension, Dimensioned, written};

/// The result of every fallible function of the library.
pub type Result<T> = core::result::Result<T, Error>;

/// What was wrong with an input, with the figures that show it.
///
/// Each kind has named fields; [`Error::field`], [`Error::value`], [`Error::allowed`] and
/// [`Error::line`] give the same facts for every kind, and [`Error::kind`] a frozen code.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// A figure outside what the formula or the part allows.
    #[error("{field} is {value}; allowed: {allowed}")]
    OutOfRange {
        /// The name of the argument or of the document's entry.
        field: String,
        /// The value with its unit.
        value: String,
        /// What is allowed, in words with figures.
        allowed: String,
    },
    /// Not a number, or infinite.
    #[error("{field} is {value}; a finite number is needed")]
    NotFinite {
        /// The name of the argument or of the document's entry.
        field: String,
        /// The value as it came.
        value: String,
    },
    /// A unit of another dimension than the one needed.
    #[error("\"{value}\" is {}; {} is needed, such as \"{example}\"", one(found.name()), one(expected.name()))]
    WrongDimension {
        /// The text as it was written.
        value: String,
        /// The dimension of what was written.
        found: Dimension,
        /// The dimension needed.
        expected: Dimension,
        /// A text that would do.
        example: &'static str,
    },
    /// A number without its unit.
    #[error("\"{value}\" has no unit; write {}, such as \"{example}\"", one(expected))]
    MissingUnit {
        /// The text as it was written.
        value: String,
        /// The dimension needed, in words.
        expected: String,
        /// A text that would do.
        example: &'static str,
    },
    /// A unit that the table does not hold.
    #[error("\"{unit}\" is no unit that swept knows; {remedy}")]
    UnknownUnit {
        /// The unit as it was written.
        unit: String,
        /// The nearest unit known, or why this one is refused.
        remedy: String,
    },
    /// A text that is no number with a unit.
    #[error("\"{value}\" is not readable: {reason}")]
    Unreadable {
        /// The text as it was written.
        value: String,
        /// What is wrong with it.
        reason: String,
    },
    /// A list of another length than the engine needs.
    #[error("{field} has {found} entries; allowed: {expected}")]
    WrongLength {
        /// The list.
        field: String,
        /// How many entries it has.
        found: usize,
        /// How many it should have, in words.
        expected: String,
    },
    /// No value in the range searched satisfies the equation.
    #[error("no {what} between {low} and {high} gives the figure asked for")]
    NoSolution {
        /// The quantity sought.
        what: String,
        /// The lower end of the search, SI.
        low: f64,
        /// The upper end of the search, SI.
        high: f64,
    },
    /// A key the build document does not have.
    #[error("{field}: {remedy}")]
    UnknownKey {
        /// Where it stands, with the key.
        field: String,
        /// The nearest key known, or the keys that may stand there.
        remedy: String,
    },
    /// A key the build document must have.
    #[error("{field} is missing: {remedy}")]
    MissingKey {
        /// The key that is missing.
        field: String,
        /// What to write.
        remedy: String,
    },
    /// A text that is not TOML, or a value of the wrong form.
    #[error("the document is not readable: {reason}")]
    Syntax {
        /// What the parser says.
        reason: String,
    },
    /// A long question that was told to stop.
    #[error("stopped when {:.0} % was done", done * 100.0)]
    Stopped {
        /// The share that was done.
        done: f64,
    },
    /// An error at a known place of a build document.
    #[error("{}{field}{}", line.map(|l| format!("line {l}, ")).unwrap_or_default(), there(field, source))]
    Document {
        /// The line, counted from 1.
        line: Option<usize>,
        /// The entry, such as `pistons.diameter[3]`.
        field: String,
        /// What is wrong there.
        source: Box<Error>,
    },
}

/// A word with its article.
pub(crate) fn one(word: &str) -> String {
    let vowel = word.starts_with(['a', 'e', 'i', 'o', 'u']);
    format!("{} {word}", if vowel { "an" } else { "a" })
}

/// What is wrong at a field, which is not named twice.
fn there(field: &str, source: &Error) -> String {
    let text = source.to_string();
    match text.strip_prefix(field) {
        Some(rest) if rest.starts_with([':', ' ']) => rest.to_owned(),
        _ => format!(": {text}"),
    }
}

/// The kind of an [`Error`], with a code that never changes once released.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum ErrorKind {
    /// [`Error::OutOfRange`]
    OutOfRange,
    /// [`Error::NotFinite`]
    NotFinite,
    /// [`Error::WrongDimension`]
    WrongDimension,
    /// [`Error::MissingUnit`]
    MissingUnit,
    /// [`Error::UnknownUnit`]
    UnknownUnit,
    /// [`Error::Unreadable`]
    Unreadable,
    /// [`Error::WrongLength`]
    WrongLength,
    /// [`Error::NoSolution`]
    NoSolution,
    /// [`Error::UnknownKey`]
    UnknownKey,
    /// [`Error::MissingKey`]
    MissingKey,
    /// [`Error::Syntax`]
    Syntax,
    /// [`Error::Stopped`]
    Stopped,
}

impl ErrorKind {
    /// Every kind, in the order of the codes.
    pub const ALL: [Self; 12] = [
        Self::OutOfRange,
        Self::NotFinite,
        Self::WrongDimension,
        Self::MissingUnit,
        Self::UnknownUnit,
        Self::Unreadable,
        Self::WrongLength,
        Self::NoSolution,
        Self::UnknownKey,
        Self::MissingKey,
        Self::Syntax,
        Self::Stopped,
    ];

    /// The frozen code, from 1; the C status of the same meaning.
    pub const fn code(self) -> i32 {
        match self {
            Self::OutOfRange => 1,
            Self::NotFinite => 2,
            Self::WrongDimension => 3,
            Self::MissingUnit => 4,
            Self::UnknownUnit => 5,
            Self::Unreadable => 6,
            Self::WrongLength => 7,
            Self::NoSolution => 8,
            Self::UnknownKey => 9,
            Self::MissingKey => 10,
            Self::Syntax => 11,
            Self::Stopped => 12,
        }
    }

    /// The name, as in the Rust source and as the Python class.
    pub const fn name(self) -> &'static str {
        match self {
            Self::OutOfRange => "OutOfRange",
            Self::NotFinite => "NotFinite",
            Self::WrongDimension => "WrongDimension",
            Self::MissingUnit => "MissingUnit",
            Self::UnknownUnit => "UnknownUnit",
            Self::Unreadable => "Unreadable",
            Self::WrongLength => "WrongLength",
            Self::NoSolution => "NoSolution",
            Self::UnknownKey => "UnknownKey",
            Self::MissingKey => "MissingKey",
            Self::Syntax => "Syntax",
            Self::Stopped => "Stopped",
        }
    }
}

impl Error {
    /// The kind; for an error placed in a document, the kind of what is wrong there.
    pub fn kind(&self) -> ErrorKind {
        match self {
            Self::OutOfRange { .. } => ErrorKind::OutOfRange,
            Self::NotFinite { .. } => ErrorKind::NotFinite,
            Self::WrongDimension { .. } => ErrorKind::WrongDimension,
            Self::MissingUnit { .. } => ErrorKind::MissingUnit,
            Self::UnknownUnit { .. } => ErrorKind::UnknownUnit,
            Self::Unreadable { .. } => ErrorKind::Unreadable,
            Self::WrongLength { .. } => ErrorKind::WrongLength,
            Self::NoSolution { .. } => ErrorKind::NoSolution,
            Self::UnknownKey { .. } => ErrorKind::UnknownKey,
            Self::MissingKey { .. } => ErrorKind::MissingKey,
            Self::Syntax { .. } => ErrorKind::Syntax,
            Self::Stopped { .. } => ErrorKind::Stopped,
            Self::Document { source, .. } => source.kind(),
        }
    }

    /// The argument or entry the error is about, where one is known.
    pub fn field(&self) -> Option<&str> {
        match self {
            Self::OutOfRange { field, .. }
            | Self::NotFinite { field, .. }
            | Self::WrongLength { field, .. }
            | Self::UnknownKey { field, .. }
            | Self::MissingKey { field, .. }
            | Self::Document { field, .. } => Some(field),
            Self::NoSolution { what, .. } => Some(what),
            _ => None,
        }
    }

    /// The value as it came, with its unit, where there is one.
    pub fn value(&self) -> Option<String> {
        match self {
            Self::OutOfRange { value, .. }
            | Self::NotFinite { value, .. }
            | Self::WrongDimension { value, .. }
            | Self::MissingUnit { value, .. }
            | Self::Unreadable { value, .. } => Some(value.clone()),
            Self::UnknownUnit { unit, .. } => Some(unit.clone()),
            Self::WrongLength { found, .. } => Some(found.to_string()),
            Self::Document { source, .. } => source.value(),
            _ => None,
        }
    }

    /// What is allowed, in words, where that can be said.
    pub fn allowed(&self) -> Option<String> {
        match self {
            Self::OutOfRange { allowed, .. } => Some(allowed.clone()),
            Self::NotFinite { .. } => Some("a finite number".into()),
            Self::WrongDimension { expected, example, .. } => {
                Some(format!("a {expected}, such as \"{example}\""))
            }
            Self::MissingUnit { expected, example, .. } => {
                Some(format!("a {expected}, such as \"{example}\""))
            }
            Self::WrongLength { expected, .. } => Some(expected.clone()),
            Self::NoSolution { low, high, .. } => Some(format!("between {low} and {high}")),
            Self::UnknownUnit { remedy, .. }
            | Self::UnknownKey { remedy, .. }
            | Self::MissingKey { remedy, .. } => Some(remedy.clone()),
            Self::Unreadable { reason, .. } | Self::Syntax { reason } => Some(reason.clone()),
            Self::Stopped { .. } => None,
            Self::Document { source, .. } => source.allowed(),
        }
    }

    /// The line of the build document, counted from 1, where there is one.
    pub fn line(&self) -> Option<usize> {
        match self {
            Self::Document { line, .. } => *line,
            _ => None,
        }
    }

    /// The same error, placed in a build document.
    pub fn at(self, line: Option<usize>, field: impl Into<String>) -> Self {
        Self::Document { line, field: field.into(), source: Box::new(self) }
    }
}

/// An [`Error::OutOfRange`] for a quantity, as [`written`] writes it.
pub fn out_of_range<Q: Dimensioned>(field: &str, q: Q, allowed: impl Into<String>) -> Error {
    Error::OutOfRange { field: field.into(), value: written(q), allowed: allowed.into() }
}

/// Passes a finite quantity on.
///
/// # Errors
/// [`Error::NotFinite`] for NaN and infinities.
pub fn finite<Q: Dimensioned>(field: &str, q: Q) -> Result<Q> {
    if q.si().is_finite() {
        return Ok(q);
    }
    Err(Error::NotFinite { field: field.into(), value: written(q) })
}

/// Passes a finite quantity above zero on.
///
/// # Errors
/// [`Error::NotFinite`], or [`Error::OutOfRange`] at zero and below.
pub fn finite_positive<Q: Dimensioned>(field: &str, q: Q) -> Result<Q> {
    let q = finite(field, q)?;
    if q.si() > 0.0 {
        return Ok(q);
    }
    Err(out_of_range(field, q, "above zero"))
}

/// Passes a finite quantity of zero or more on.
///
/// # Errors
/// [`Error::NotFinite`], or [`Error::OutOfRange`] below zero.
pub fn non_negative<Q: Dimensioned>(field: &str, q: Q) -> Result<Q> {
    let q = finite(field, q)?;
    if q.si() >= 0.0 {
        return Ok(q);
    }
    Err(out_of_range(field, q, "zero or more"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn codes_are_frozen_distinct_and_in_order() {
        let codes: Vec<i32> = ErrorKind::ALL.iter().map(|k| k.code()).collect();
        assert_eq!(codes, (1..=12).collect::<Vec<_>>());
    }

    #[test]
    fn an_error_in_a_document_keeps_its_kind_and_figures() {
        let error = finite_positive("bore", Length::from_si(-0.086)).unwrap_err();
        let placed = error.at(Some(7), "block.bore[2]");
        assert_eq!(placed.kind(), ErrorKind::OutOfRange);
        assert_eq!(placed.line(), Some(7));
        assert_eq!(placed.field(), Some("block.bore[2]"));
        assert_eq!(placed.value().as_deref(), Some("-86 mm"));
        assert_eq!(placed.to_string(), "line 7, block.bore[2]: bore is -86 mm; allowed: above zero");
    }

    #[test]
    fn not_a_number_and_infinity_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let kind = finite("bore", Length::from_si(bad)).unwrap_err().kind();
            assert_eq!(kind, ErrorKind::NotFinite);
        }
    }
}
