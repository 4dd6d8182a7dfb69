//! Tells Cargo to build this crate again when a source of the demo is added or taken away; it makes nothing.

fn main() {
    println!("cargo:rerun-if-changed=../../demo-project");
    println!("cargo:rerun-if-changed=build.rs");
}
