//! The committed header is what cbindgen makes of the sources, and every kind of error has its status.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, missing_docs)]

use std::path::Path;
use swept::ErrorKind;
use swept_c::{status_of, swept_status};

#[test]
fn the_committed_header_is_current() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config = cbindgen::Config::from_file(root.join("cbindgen.toml")).unwrap();
    let mut made = Vec::new();
    cbindgen::generate_with_config(root, config).unwrap().write(&mut made);
    let made = String::from_utf8(made).unwrap();
    let path = root.join("include/swept.h");
    if std::env::var_os("UPDATE").is_some() {
        std::fs::write(&path, &made).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(made == committed, "include/swept.h is not current: run `make gen` and commit it");
}

#[test]
fn every_kind_of_error_has_the_status_of_its_code() {
    for kind in ErrorKind::ALL {
        let status = status_of(kind);
        assert_eq!(status as i32, kind.code(), "{}", kind.name());
        assert_ne!(status, swept_status::SWEPT_OTHER);
    }
}
