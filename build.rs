//! Packs the knowledge into the program. A bad rule fails the build.
fn main() {
    println!("cargo::rerun-if-changed=knowledge");
}
