//! The committed header is what cbindgen makes of the sources, and every kind of error has its status.
#![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, missing_docs)]

use std::ffi::CStr;
use std::path::Path;
use swept::ErrorKind;
use swept_c::{status_of, swept_status, swept_status_name};

#[test]
fn the_committed_header_is_current() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let config = cbindgen::Config::from_file(root.join("cbindgen.toml")).unwrap();
    let mut made = Vec::new();
    cbindgen::generate_with_config(root, config).unwrap().write(&mut made);
    // rustdoc's heading says nothing to a C programmer.
    let made = String::from_utf8(made).unwrap().replace("//\n// # Safety\n// ", "// Pointers: ");
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

/// The enum as the header prints it, against the codes of the core and the names that the library gives.
#[test]
fn the_header_s_statuses_are_the_codes_and_have_their_names() {
    let header = include_str!("../include/swept.h");
    let body = header.split_once("enum swept_status").unwrap().1.split_once("};").unwrap().0;
    let mut codes = Vec::new();
    for line in body.lines().filter(|line| line.trim_start().starts_with("SWEPT_")) {
        let (name, code) = line.trim().trim_end_matches(',').split_once(" = ").unwrap();
        let code = code.parse::<i32>().unwrap();
        // SAFETY: a static, zero-terminated text.
        let told = unsafe { CStr::from_ptr(swept_status_name(code)) };
        assert_eq!(told.to_str().unwrap(), name);
        codes.push(code);
    }
    assert!(ErrorKind::ALL.iter().all(|kind| codes.contains(&kind.code())), "{codes:?}");
    assert!(codes.contains(&0) && codes.len() == ErrorKind::ALL.len() + 5);
}
