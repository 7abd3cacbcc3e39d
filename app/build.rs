//! Embeds the phone's pages, `web/dist`, where `./web/build` has made them; the program is whole
//! without them.

use std::path::{Path, PathBuf};

fn gather(folder: &Path, files: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() { gather(&path, files)? } else { files.push(path) }
    }
    Ok(())
}

fn main() -> std::io::Result<()> {
    // Asked when it runs: a kept build folder may have been filled from another clone.
    let home = std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default();
    let dist = Path::new(&home).join("../web/dist");
    let mut files = Vec::new();
    // A watched path that is not there would build the program anew each time; `./web/build` touches
    // this script instead.
    println!("cargo::rerun-if-changed=build.rs");
    if dist.is_dir() {
        println!("cargo::rerun-if-changed={}", dist.display());
        gather(&dist, &mut files)?;
    }
    files.sort();
    let mut code = String::from("&[\n");
    for file in &files {
        let parts = file.strip_prefix(&dist).unwrap_or(file).components();
        let name: Vec<String> = parts.map(|p| p.as_os_str().to_string_lossy().into_owned()).collect();
        code += &format!("    ({:?}, include_bytes!({:?})),\n", name.join("/"), file.display().to_string());
    }
    code += "]\n";
    let out = std::env::var_os("OUT_DIR").unwrap_or_default();
    std::fs::write(Path::new(&out).join("pages.rs"), code)
}
