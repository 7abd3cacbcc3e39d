//! The `airwright` program.
fn main() {}
