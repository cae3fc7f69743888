//! What the tests of build documents share.

use swept::Error;
use swept::build::{Build, Sheet};

/// The sheet of a document that holds.
pub(crate) fn sheet(text: &str) -> Sheet {
    Build::parse(text).unwrap_or_else(|e| panic!("{e}")).sheet().unwrap_or_else(|e| panic!("{e}"))
}

/// The error of a document that does not.
pub(crate) fn refused(text: &str) -> Error {
    match Build::parse(text) {
        Err(error) => error,
        Ok(build) => build.sheet().map(|_| ()).expect_err("must be refused"),
    }
}
