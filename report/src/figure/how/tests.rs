use super::*;
use crate::words::Language;
use engine::units::System;

fn badge(mark: &Mark) -> Rect {
    let (x, y) = mark.badge;
    Rect::new(x - BADGE, y - BADGE, x + BADGE, y + BADGE)
}

#[test]
fn every_kind_of_test_is_drawn_and_nothing_else() {
    let kinds: Vec<&str> = engine::doc::field::KINDS.iter().map(|k| k.0).chain(["envelope"]).collect();
    for kind in &kinds {
        let drawn = scenes::ALL.iter().filter(|s| s.kind == *kind).count();
        assert_eq!(drawn, 1, "{kind}");
    }
    assert_eq!(scenes::ALL.len(), kinds.len());
}

#[test]
fn nothing_leaves_the_drawing_and_no_number_covers_another_thing() {
    let view = Rect::new(0.0, 0.0, WIDE, HIGH);
    let mut wrong = Vec::new();
    for scene in scenes::ALL {
        for (at, mark) in scene.marks.iter().enumerate() {
            let (own, number) = (extent(mark.thing, mark.at), badge(mark));
            if !view.holds(&own) || !view.holds(&number) {
                wrong.push(format!("{} {}: outside", scene.kind, at + 1));
            }
            for (other, beside) in scene.marks.iter().enumerate() {
                if other != at && number.overlap(&badge(beside)) > 0.0 {
                    wrong.push(format!("{} {} lies on number {}", scene.kind, at + 1, other + 1));
                }
                // Ducts span a space: a number in the middle of them covers no pipe.
                if beside.thing != Thing::Ducts && number.overlap(&extent(beside.thing, beside.at)) > 0.0 {
                    wrong.push(format!("{} {} covers thing {}", scene.kind, at + 1, other + 1));
                }
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn every_number_is_told_in_every_language() {
    let [en, es] = Language::ALL.map(|l| Words::new(l, System::Si));
    for mark in scenes::ALL.iter().flat_map(|s| s.marks) {
        let said = [&en, &es].map(|w| w.find(mark.word, &[]));
        let [Some(en), Some(es)] = said else { panic!("{} has no words", mark.word) };
        assert_ne!(en, es, "{}", mark.word);
        assert!(en.chars().count() <= 90 && es.chars().count() <= 110, "{} is long", mark.word);
    }
}

#[test]
fn a_drawing_has_a_title_a_description_and_as_many_numbers_as_lines() {
    for scene in scenes::ALL {
        let words = Words::new(Language::En, System::Si);
        let shown = how(scene.kind, "Title", &words).unwrap().render();
        assert!(shown.contains("<title>Title</title>") && shown.contains("<desc>1 "), "{}", scene.kind);
        assert_eq!(shown.matches("<li>").count(), scene.marks.len());
        assert!(scene.marks.len() >= 2, "{}", scene.kind);
    }
    assert!(how("no such kind", "", &Words::new(Language::En, System::Si)).is_none());
}
