//! Lists every message catalogue, so that a new `locales/<language>/*.ftl` is part of the program
//! without a line of code.

use std::path::{Path, PathBuf};

fn catalogues(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "ftl") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

fn main() -> std::io::Result<()> {
    // Asked when it runs: a kept build folder may have been filled from another clone.
    let home = std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default();
    let root = Path::new(&home).join("locales");
    let mut code = String::new();
    for (name, folder) in [("EN", "en"), ("ES", "es")] {
        let folder = root.join(folder);
        println!("cargo::rerun-if-changed={}", folder.display());
        code += &format!(
            "/// Catalogue files of one language: name and text.\npub(super) const {name}: &[(&str, &str)] = &[\n"
        );
        for file in catalogues(&folder)? {
            println!("cargo::rerun-if-changed={}", file.display());
            let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            code += &format!("    ({stem:?}, include_str!({:?})),\n", file.display().to_string());
        }
        code += "];\n";
    }
    let out = std::env::var_os("OUT_DIR").unwrap_or_default();
    std::fs::write(Path::new(&out).join("catalogues.rs"), code)
}
