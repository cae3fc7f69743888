//! Every vector in Rust, within the tolerance of its source.
#![allow(clippy::unwrap_used, clippy::panic, missing_docs)]

#[test]
fn every_vector_agrees_with_its_source() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("vectors");
    let mut count = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for vector in swept_tests::read(&text).unwrap() {
            let found = vector.run().unwrap().unwrap_or_else(|| panic!("no function {}", vector.function));
            let scale = if vector.expected == 0.0 { 1.0 } else { vector.expected.abs() };
            let off = (found - vector.expected).abs() / scale;
            assert!(off <= vector.tolerance, "{}: {found} against {}", vector.function, vector.expected);
            count += 1;
        }
    }
    assert!(count >= 300, "only {count} vectors were found");
}
