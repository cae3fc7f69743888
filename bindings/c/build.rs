//! Gives the shared library its SONAME: one for every 0.x ABI, as the crate's major version says.

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    if std::env::var("CARGO_CFG_TARGET_OS").is_ok_and(|os| os == "linux") {
        println!("cargo:rustc-cdylib-link-arg=-Wl,-soname,libswept.so.{}", env!("CARGO_PKG_VERSION_MAJOR"));
    }
}
