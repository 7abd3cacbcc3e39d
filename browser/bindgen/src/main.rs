//! `bindgen MODULE.wasm DIR`: writes the module with its JavaScript and types.

use wasm_bindgen_cli_support::Bindgen;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args_os().skip(1);
    let (Some(module), Some(folder)) = (words.next(), words.next()) else {
        return Err("usage: bindgen MODULE.wasm DIR".into());
    };
    let mut bindgen = Bindgen::new();
    bindgen
        .web(true)?
        .typescript(true)
        .omit_default_module_path(false)
        .input_path(module)
        .generate(folder)?;
    Ok(())
}
