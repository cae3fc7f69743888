//! From the text of a document to a chain that holds, or one clear error with its line.

use super::chain::Chain;
use super::document::Document;
use super::lines::{Lines, line_of};
use super::sheet::Sheet;
use super::tolerances::ToleranceStack;
use crate::error::{Error, Result};
use crate::metrology::Distribution;

/// A document longer than this (bytes) is no build document.
pub const MOST_BYTES: usize = 1 << 20;

/// A build document, read and checked.
pub struct Build {
    pub(super) chain: Chain,
}

impl core::fmt::Debug for Build {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "Build({:?}, {} readings)", self.chain.title, self.chain.readings.values.len())
    }
}

impl Build {
    /// Reads a build document (TOML) and checks every entry, the chain and the limits' names.
    ///
    /// # Errors
    /// Every kind of [`Error`] but [`Error::NoSolution`], each with line and field where there is one: a text that is no TOML, a
    /// key that is not known or missing, a wrong dimension or length of list, an impossible figure.
    ///
    /// # Example
    /// ```
    /// let build = swept::build::Build::parse(r#"
    ///     schema = 1
    ///     engine.cylinders = 1
    ///     block.bore = "86.00 mm +/- 0.01 mm"
    ///     crank.stroke = "86 mm"
    ///     rods.length = "143 mm"
    /// "#)?;
    /// let sheet = build.sheet()?;
    /// let displacement = &sheet.findings[0];
    /// assert_eq!(displacement.value.text, "499.56 cm3");
    /// # Ok::<(), swept::Error>(())
    /// ```
    pub fn parse(text: &str) -> Result<Self> {
        if text.len() > MOST_BYTES {
            return Err(Error::OutOfRange {
                field: "the document".into(),
                value: format!("{} bytes", text.len()),
                allowed: format!("at most {MOST_BYTES} bytes"),
            });
        }
        let document = read(text)?;
        let mut chain = Chain::new(&document, Lines::read(text))?;
        chain.possible(&chain.readings.values)?;
        chain.set_natural_limits()?;
        Ok(Self { chain })
    }

    /// Evaluates the chain: findings, uncertainties, verdicts and cuts.
    ///
    /// # Errors
    /// Those of the formulas, placed in the document.
    pub fn sheet(&self) -> Result<Sheet> {
        self.chain.sheet()
    }

    /// One figure over the drawing tolerances of its readings: `what` by its name in documents, `place` counted from 1 over the places of that
    /// figure.
    ///
    /// # Errors
    /// [`Error::UnknownKey`] for a name that is not known; [`Error::OutOfRange`] for a place that the figure does not have or trials outside
    /// 100 to 100 million.
    pub fn tolerance_stack(
        &self,
        what: &str,
        place: usize,
        trials: usize,
        distribution: Distribution,
    ) -> Result<ToleranceStack> {
        self.chain.tolerance_stack(self.chain.figure(what, place)?, trials, distribution)
    }

    /// The JSON Schema of build documents.
    pub fn schema_json() -> String {
        let schema = schemars::schema_for!(Document);
        // A tree of strings always serialises.
        serde_json::to_string_pretty(&schema).unwrap_or_default()
    }
}

fn read(text: &str) -> Result<Document> {
    let deserializer = toml::Deserializer::parse(text).map_err(|e| syntax(text, &e, ""))?;
    serde_path_to_error::deserialize(deserializer).map_err(|e| {
        let path = counted_from_one(&e.path().to_string());
        syntax(text, e.inner(), &path)
    })
}

/// `walls[0].cylinder` as `walls[1].cylinder`: people count from one.
fn counted_from_one(path: &str) -> String {
    let mut out = String::new();
    for (i, part) in path.split('[').enumerate() {
        match part.split_once(']').map(|(n, rest)| (n.parse::<usize>(), rest)) {
            Some((Ok(n), rest)) if i > 0 => out.push_str(&format!("[{}]{rest}", n + 1)),
            _ if i > 0 => out.push_str(&format!("[{part}")),
            _ => out.push_str(part),
        }
    }
    if out == "." { String::new() } else { out }
}

/// The error of the TOML reader as ours: an unknown key with the nearest, a missing key, or what it says.
fn syntax(text: &str, error: &toml::de::Error, path: &str) -> Error {
    let line = error.span().map(|s| line_of(text, s.start));
    let message = error.message().trim();
    let names: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
    let join = |key: &str| match path {
        "" => key.to_owned(),
        path if path.ends_with(key) => path.to_owned(),
        path => format!("{path}.{key}"),
    };
    match (message, names.split_first()) {
        (m, Some((key, known))) if m.starts_with("unknown field") => {
            Error::UnknownKey { field: (*key).into(), remedy: nearest(key, known) }.at(line, join(key))
        }
        (m, Some((key, _))) if m.starts_with("missing field") => missing(text, path, &join(key)),
        _ => Error::Syntax { reason: in_words(message) }
            .at(line, if path.is_empty() { "document" } else { path }),
    }
}

/// What the reader says, without names of Rust types.
fn in_words(message: &str) -> String {
    let message =
        message.replace("usize", "a whole number from 0 up").replace("u32", "a whole number from 0 up");
    message.replace("a sequence", "a list").chars().take(300).collect()
}

/// A required key that is missing; of a section that is missing whole, the key that it must have.
fn missing(text: &str, table: &str, path: &str) -> Error {
    if !table.is_empty() {
        let remedy = format!("{table} needs it");
        let error = Error::MissingKey { field: path.into(), remedy };
        return error.at(Lines::read(text).of(table), path);
    }
    let field = match path {
        "engine" => "engine.cylinders",
        "block" => "block.bore",
        "crank" => "crank.stroke",
        "rods" => "rods.length",
        other => other,
    };
    Error::MissingKey { field: field.into(), remedy: "every build document needs it".into() }.at(None, field)
}

fn nearest(key: &str, known: &[&str]) -> String {
    let best = known.iter().max_by(|a, b| strsim::jaro(a, key).total_cmp(&strsim::jaro(b, key)));
    match best {
        Some(near) if strsim::jaro(near, key) > 0.6 => {
            format!("no such key here; did you mean {near}?")
        }
        _ => format!("no such key here; known are {}", known.join(", ")),
    }
}
