use super::*;
use crate::view::{OUTDOORS, Passage, PassageKind, Zone};
use crate::words::Language;
use engine::measure::Estimate;
use engine::units::{Quantity, System};

fn words() -> Words {
    Words::new(Language::En, System::Ip)
}

fn zone(id: &str, kind: ZoneKind, floor_m: f64, ceiling_m: f64, storey: i32) -> Zone {
    Zone {
        id: id.into(),
        name: format!("the {id} zone"),
        kind,
        floor_m,
        ceiling_m,
        width: 10.0,
        storey,
        pressure: None,
        inside: None,
        selected: false,
    }
}

fn passage(from: &str, to: &str, height_m: f64, kind: PassageKind, cfm: f64) -> Passage {
    let si = cfm * 4.719474e-4;
    Passage {
        from: from.into(),
        to: to.into(),
        height_m,
        flow: Number::computed(Estimate::range(si, si * 0.8, si * 1.3, 0.9, Quantity::AirFlow)),
        via_buffer: false,
        kind,
        label: String::new(),
        selected: false,
    }
}

fn house(zones: Vec<Zone>, passages: Vec<Passage>) -> HouseDrawing {
    HouseDrawing { title: "t".into(), setup: "s".into(), zones, passages }
}

/// Houses unlike the sample: on a slab, ducts in the attic, a room with no outside wall, no roof.
fn houses() -> Vec<HouseDrawing> {
    use PassageKind as K;
    use ZoneKind as Z;
    let attic_ducts = house(
        vec![
            zone("living", Z::Living, 0.1, 2.6, 0),
            zone("bath", Z::Living, 0.1, 2.6, 0),
            zone("bedroom", Z::Living, 0.1, 2.6, 0),
            zone("attic", Z::Buffer, 2.7, 4.5, 1),
            Zone { inside: Some("attic".into()), ..zone("supply", Z::Duct, 3.0, 3.2, 0) },
            Zone { inside: Some("attic".into()), ..zone("return", Z::Duct, 3.0, 3.2, 0) },
        ],
        vec![
            passage("return", "supply", 3.0, K::Fan, 800.0),
            passage("living", "return", 2.6, K::Duct, 780.0),
            passage("supply", "living", 2.6, K::Duct, 400.0),
            passage("supply", "bath", 2.6, K::Duct, 60.0),
            passage("supply", "bedroom", 2.6, K::Duct, 250.0),
            passage("supply", "attic", 3.1, K::Leak, 90.0),
            passage("bath", OUTDOORS, 2.4, K::Fan, 50.0),
            passage("bedroom", "bath", 0.2, K::Door, 80.0),
            passage("bath", "living", 0.2, K::Door, 90.0),
            passage(OUTDOORS, "living", 1.0, K::Leak, 70.0),
            passage("attic", OUTDOORS, 4.4, K::Vent, 60.0),
            passage(OUTDOORS, "attic", 2.8, K::Vent, 40.0),
        ],
    );
    let flat_roof = house(
        vec![zone("flat", Z::Living, 0.0, 2.5, 0), zone("cellar", Z::Ground, -2.3, -0.2, -1)],
        vec![
            passage("cellar", "flat", 0.0, K::Leak, 20.0),
            passage("flat", OUTDOORS, 2.0, K::Leak, 20.0),
            passage("flat", "nowhere", 2.0, K::Leak, 20.0),
        ],
    );
    vec![crate::sample::drawing(), attic_ducts, flat_roof, crawl_ducts(), house(vec![], vec![])]
}

/// Ducts in a crawl space, a small bedroom and a closet with a heater; the air handler is not told.
fn crawl_ducts() -> HouseDrawing {
    use PassageKind as K;
    use ZoneKind as Z;
    let named = |id: &str, name: &str, kind, floor_m, ceiling_m, storey, width| Zone {
        name: name.into(),
        width,
        pressure: Some(Number::computed(Estimate::range(1.3, 0.9, 1.8, 0.9, Quantity::Pressure)).signed()),
        ..zone(id, kind, floor_m, ceiling_m, storey)
    };
    house(
        vec![
            named("main", "main floor", Z::Living, 0.6, 3.0, 0, 100.0),
            named("bedroom", "north bedroom", Z::Living, 0.6, 3.0, 0, 14.0),
            named("closet", "heater closet", Z::Closet, 0.6, 3.0, 0, 2.0),
            named("attic", "attic", Z::Buffer, 3.0, 4.6, 1, 100.0),
            named("crawl", "crawl space", Z::Ground, -0.3, 0.6, -1, 100.0),
            Zone { inside: Some("crawl".into()), ..zone("supply", Z::Duct, -0.3, 0.6, -1) },
            Zone { inside: Some("crawl".into()), ..zone("return", Z::Duct, -0.3, 0.6, -1) },
        ],
        vec![
            passage("main", "return", 0.6, K::Duct, 764.0),
            passage("supply", "main", 0.6, K::Duct, 674.0),
            passage("supply", "bedroom", 0.6, K::Duct, 113.0),
            passage("attic", OUTDOORS, 4.5, K::Vent, 148.0),
            passage(OUTDOORS, "attic", 3.0, K::Vent, 101.0),
            passage("crawl", "return", 0.2, K::Duct, 65.0),
            passage("supply", "crawl", 0.2, K::Duct, 58.0),
            passage("crawl", "main", 0.6, K::Leak, 60.0),
            passage("bedroom", "crawl", 0.6, K::Leak, 22.0),
            passage(OUTDOORS, "main", 1.5, K::Leak, 39.0),
            passage("bedroom", OUTDOORS, 1.8, K::Leak, 29.0),
            passage("bedroom", "attic", 3.0, K::Leak, 26.0),
            passage("main", "attic", 3.0, K::Leak, 16.0),
            passage("closet", "attic", 3.0, K::Leak, 1.0),
            passage("closet", OUTDOORS, 4.0, K::Flue, 17.0),
            passage("main", "closet", 0.8, K::Door, 18.0),
            passage("bedroom", "main", 0.7, K::Door, 36.0),
            passage(OUTDOORS, "crawl", 0.2, K::Vent, 43.0),
        ],
    )
}

#[test]
fn names_keep_off_arrows_and_ducts() {
    let house = crawl_ducts();
    let l = layout::layout(&house, Size::Wide);
    let drawn = route::arrows(&house, &l, &words(), Size::Wide);
    assert_eq!(drawn.boxes.len(), 3, "a heater, an air handler, a mark on the wall that faces the reader");
    let labels = labels::place(&house, &l, &drawn, &words(), Size::Wide);
    let names = house.zones.iter().filter(|z| z.kind != ZoneKind::Duct).count();
    for name in labels.iter().take(names) {
        for arrow in &drawn.arrows {
            let shared = name.rect.overlap(&arrow.rect());
            assert!(shared < 6.0, "{name:?} covers {shared} px2 of {arrow:?}");
        }
        for pipe in &drawn.pipes {
            for w in pipe.points.windows(2) {
                let body = Rect::new(w[0].0, w[0].1, w[1].0, w[1].1).grown(pipe.width / 2.0 - 1.0);
                assert!(name.rect.overlap(&body) < 6.0, "{name:?} covers a duct");
            }
        }
    }
}

#[test]
fn rooms_stand_beside_the_rooms_they_share_air_with() {
    let house = crawl_ducts();
    let l = layout::layout(&house, Size::Wide);
    let x = |i: usize| l.places[i].as_ref().map_or(0.0, |p| p.rect.x0);
    assert!((x(1) < x(0)) == (x(0) < x(2)), "the main floor is between bedroom and closet");
}

#[test]
fn labels_stay_on_the_canvas_and_off_one_another() {
    for (n, house) in houses().iter().enumerate() {
        for size in [Size::Narrow, Size::Wide] {
            let l = layout::layout(house, size);
            let drawn = route::arrows(house, &l, &words(), size);
            let labels = labels::place(house, &l, &drawn, &words(), size);
            let canvas = Rect::new(0.0, 0.0, l.width, l.height);
            for (i, a) in labels.iter().enumerate() {
                assert!(canvas.holds(&a.rect), "house {n} {size:?}: {a:?} leaves the canvas");
                for b in &labels[..i] {
                    let shared = a.rect.overlap(&b.rect);
                    assert!(shared < 20.0, "house {n} {size:?}: {a:?} and {b:?} share {shared} px2");
                }
            }
        }
    }
}

#[test]
fn the_wide_sample_names_every_zone_and_nearly_every_flow() {
    let house = crate::sample::drawing();
    let text = section(&house, &words(), Size::Wide).inner_text();
    for name in ["attic", "garage", "upper hall", "east bedroom", "main floor"] {
        assert!(text.contains(name), "{name} is missing");
    }
    let drawn = text.matches("cfm").count();
    assert!(drawn + 4 >= house.passages.len() * 2, "{drawn} flows in figure and description");
}

#[test]
fn arrows_grow_with_the_square_root_of_flow() {
    let wide = |q| arrows::arrow_width(q, 1.0, Size::Wide);
    assert!((wide(1.0) / wide(0.25) - 2.0).abs() < 1e-9);
    assert!((wide(0.0) - 1.8).abs() < 1e-9);
}

#[test]
fn an_arrow_points_where_the_air_goes() {
    let p = passage("a", "b", 1.0, PassageKind::Door, -30.0);
    let h = house(
        vec![zone("a", ZoneKind::Living, 0.0, 2.5, 0), zone("b", ZoneKind::Living, 0.0, 2.5, 0)],
        vec![p],
    );
    let l = layout::layout(&h, Size::Wide);
    let drawn = route::arrows(&h, &l, &words(), Size::Wide);
    assert!(drawn.arrows[0].to.0 < drawn.arrows[0].from.0, "air from b to a goes left");
    let out = house(
        vec![zone("a", ZoneKind::Living, 0.0, 2.5, 0)],
        vec![passage(OUTDOORS, "a", 1.0, PassageKind::Leak, 9.0)],
    );
    let l = layout::layout(&out, Size::Wide);
    let a = &route::arrows(&out, &l, &words(), Size::Wide).arrows[0];
    let middle = (l.body.0 + l.body.1) / 2.0;
    assert!((a.to.0 - middle).abs() < (a.from.0 - middle).abs(), "outdoor air points inwards");
    assert_eq!(a.air, Air::Outdoor);
}

#[test]
fn nothing_is_drawn_at_no_number() {
    for house in houses() {
        for size in [Size::Narrow, Size::Wide] {
            let svg = section(&house, &words(), size).render();
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        }
    }
}
