//! Whatever people write, reading it ends in documents and diagnostics and never in a panic.

use engine::doc::{File, Sink, load};
use engine::fit::observe::collect;
use engine::units::{Quantity, UNITS, parse};
use proptest::prelude::*;

const JOB: &str = include_str!("../../api/assets/demo/job.toml");
const HOUSE: &str = include_str!("../../api/assets/demo/house.toml");
const PLANS: &str = include_str!("../../api/assets/demo/plans.toml");
const VISIT: &str = include_str!("../../api/assets/demo/visit.toml");

fn read_all(job: &str, house: &str, plans: &str, visit: &str) -> usize {
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    let files = [
        file("job.toml", job),
        file("house.toml", house),
        file("plans.toml", plans),
        file("visits/2026-11-12/visit.toml", visit),
    ];
    let sink = Sink::default();
    let documents = load(&files, &sink);
    if let Some(text) = &documents.house {
        let house = engine::house::build(text, &sink);
        collect(&house, &documents.visits, 0.0, &sink);
        let prices = &documents.job.prices;
        engine::plan::resolve(&documents.plans, prices, &house, None, None, &sink);
        let text = engine::doc::plans::Plans {
            plans: documents.plans.clone(),
            searches: documents.searches.clone(),
            events: Vec::new(),
        };
        engine::plan::resolve_searches(&text, prices, &house, None, &sink);
    }
    let found = sink.into_inner();
    // Every place lies within its file, on whole characters.
    for span in found.list.iter().flat_map(|d| &d.spans) {
        let text = files.iter().find(|f| f.name == span.file).map_or("", |f| &f.text);
        assert!(span.start <= span.end && span.end <= text.len(), "{span:?}");
    }
    found.list.len()
}

/// The text with a stretch replaced.
fn edited(text: &str, at: f64, gone: usize, put: &str) -> String {
    let chars: Vec<char> = text.chars().collect();
    let start = (at * chars.len() as f64) as usize;
    let end = (start + gone).min(chars.len());
    chars[..start].iter().collect::<String>() + put + &chars[end..].iter().collect::<String>()
}

#[test]
fn the_demonstration_documents_are_without_fault() {
    assert_eq!(read_all(JOB, HOUSE, PLANS, VISIT), 0);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn any_text_is_read_without_a_panic(text in "\\PC{0,200}", toml in "[a-z\\[\\]=\\.'\"0-9 \n#{},-]{0,200}") {
        read_all(&text, &toml, &text, &toml);
        read_all(&toml, &text, &toml, &text);
    }

    #[test]
    fn a_slip_anywhere_in_good_documents_is_survived(
        at in 0.0..1.0_f64,
        gone in 0_usize..40,
        put in "[a-z0-9 ='\"\n\\.,\\-\\[\\]{}%\u{e9}]{0,12}",
    ) {
        read_all(&edited(JOB, at, gone, &put), HOUSE, PLANS, VISIT);
        read_all(JOB, &edited(HOUSE, at, gone, &put), PLANS, VISIT);
        read_all(JOB, HOUSE, &edited(PLANS, at, gone, &put), VISIT);
        read_all(JOB, HOUSE, PLANS, &edited(VISIT, at, gone, &put));
    }

    #[test]
    fn what_a_unit_writes_it_reads(value in -1e6..1e6_f64, which in 0..UNITS.len()) {
        let unit = &UNITS[which];
        // A pure number needs no unit; every other is written with it.
        let text = if unit.quantity == Quantity::Number { format!("{value}") } else { format!("{value} {}", unit.symbol) };
        let read = parse(&text, unit.quantity).unwrap();
        prop_assert!((read.si - unit.to_si(value)).abs() <= 1e-12 * unit.to_si(value).abs());
        let back = unit.from_si(read.si);
        prop_assert!((back - value).abs() <= 1e-9 * (1.0 + value.abs() + unit.offset.abs() / unit.factor));
    }
}
