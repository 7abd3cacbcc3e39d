//! Writes the pages of an invented house: `cargo run -p airwright-report --example sample -- <folder>`.
//! The report, the certificate and the sheets in each language.

mod data;

use engine::units::System;
use report::words::{Language, Words};
use std::path::Path;

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| ".".to_owned());
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder)?;
    for (language, system) in [(Language::En, System::Ip), (Language::Es, System::Si)] {
        let words = Words::new(language, system);
        let tag = language.tag();
        std::fs::write(
            folder.join(format!("house-{tag}.html")),
            report::html::house(&data::house(), &words).file(),
        )?;
        std::fs::write(
            folder.join(format!("certificate-{tag}.html")),
            report::html::certificate(&data::certificate(), &words).file(),
        )?;
        for (name, page) in [
            ("owner", report::html::owner(&data::owner(), &words)),
            ("hand-off", report::html::hand_off(&data::hand_off(true), &words)),
            ("hand-off-held", report::html::hand_off(&data::hand_off(false), &words)),
            ("test-out", report::html::test_out(&data::test_out(), &words)),
        ] {
            std::fs::write(folder.join(format!("{name}-{tag}.html")), page.file())?;
        }
        std::fs::write(
            folder.join(format!("summary-{tag}.txt")),
            report::text::summary(&data::house(), &words),
        )?;
    }
    Ok(())
}
