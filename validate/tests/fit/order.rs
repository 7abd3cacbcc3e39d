//! The advice followed against the textbook's order, in few houses; the table in `docs/NEXT.md` has more.

use validate::next_order::{Asked, Bench};

#[test]
fn the_advice_is_quicker_than_the_textbook_and_keeps_its_promises() {
    let bench = Bench::new(true, Asked::Share).unwrap();
    let account = bench.compare(10, 77, &mut |_, _| {});
    assert_eq!(account.unsolved, 0);
    let ((textbook, advice), ratio) = (account.medians(), account.promise_ratio());
    println!("textbook {textbook} min, advice {advice} min, promised over obtained {ratio:.2}");
    assert!(advice <= 0.6 * textbook, "{advice} of {textbook} min");
    assert!((0.7..=1.4).contains(&ratio), "{ratio}");
}
