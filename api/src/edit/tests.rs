use super::*;
use crate::File;

fn set(key: &str, value: &str) -> Operation {
    Operation {
        path: "house.toml".to_owned(),
        key: key_path(key).unwrap(),
        change: Change::Set { value: value.to_owned() },
    }
}

fn change(key: &str, change: Change) -> Operation {
    Operation { path: "house.toml".to_owned(), key: key_path(key).unwrap(), change }
}

fn demo() -> Vec<File> {
    crate::demo().unwrap().into_iter().filter(|f| f.name.ends_with(".toml")).collect()
}

fn merged(base: &str, mine: &str, theirs: &str) -> Merged {
    merge("house.toml", base, mine, theirs)
}

/// Lines that only one of two texts has.
fn changed_lines<'a>(a: &'a str, b: &'a str) -> Vec<&'a str> {
    let (left, right): (Vec<&str>, Vec<&str>) = (a.lines().collect(), b.lines().collect());
    let only = |of: &[&'a str], other: &[&str]| {
        of.iter().filter(|l| !other.contains(l)).copied().collect::<Vec<_>>()
    };
    [only(&left, &right), only(&right, &left)].concat()
}

#[test]
fn key_paths_are_read_as_they_are_written() {
    for text in ["zone.main.volume", "complaint[0].limit", "test.\"north wing\".flow", "a[1][2]"] {
        assert_eq!(key_text(&key_path(text).unwrap()), text);
    }
    for text in ["a.", ".a", "a..b", "a[x]", "a[0", "a[0]b", "\"a"] {
        assert!(key_path(text).is_err(), "{text}");
    }
}

/// Every document of the demonstration: one edit changes one line and nothing else.
#[test]
fn an_edit_touches_its_own_line_only() {
    for file in demo() {
        assert_eq!(apply(&file.text, &[]).unwrap(), file.text);
        let doc: toml_edit::DocumentMut = file.text.parse().unwrap();
        assert_eq!(doc.to_string(), file.text, "{}", file.name);
        let new = apply(&file.text, &[set("format", "77")]).unwrap();
        assert_eq!(changed_lines(&file.text, &new), ["format = 1", "format = 77"], "{}", file.name);
    }
}

#[test]
fn comments_and_layout_live() {
    let text = "# head of the file\n\n# own\nformat = 1   # behind\n\n[zone.main]  # here\nvolume   =   \"90 ft3\" # big\n\n# ---- attic\n\n[zone.attic]\nkind = \"attic\"\n";
    let new = apply(text, &[set("zone.main.volume", "\"91 ft3\"")]).unwrap();
    assert_eq!(new, text.replace("90 ft3", "91 ft3"));
    // The key goes with its own comment; what an empty line parts from it stays.
    let new = apply(text, &[change("format", Change::Remove)]).unwrap();
    assert!(new.starts_with("# head of the file\n\n\n[zone.main]"), "{new}");
    let new = apply(text, &[change("zone.attic", Change::Remove)]).unwrap();
    assert!(new.ends_with("# ---- attic\n\n") && !new.contains("kind"), "{new}");
    let new = apply(
        text,
        &[change("zone.bath", Change::Insert { text: "volume = \"9 ft3\"\n".to_owned(), before: None })],
    )
    .unwrap();
    assert_eq!(new, format!("{text}\n[zone.bath]\nvolume = \"9 ft3\"\n"));
    let returns = text.replace('\n', "\r\n");
    let new = apply(&returns, &[set("format", "2")]).unwrap();
    assert_eq!(new, returns.replace("format = 1", "format = 2"));
    let open = "\u{feff}a = 1\nb = 2";
    assert_eq!(apply(open, &[set("a", "3")]).unwrap(), "\u{feff}a = 3\nb = 2");
}

#[test]
fn what_cannot_be_done_is_said() {
    let text = "a = 1\n[t]\nb = 2\n[[l]]\nc = 1\n";
    let fails = |o: Operation| apply(text, &[o]).unwrap_err();
    assert!(matches!(fails(set("a", "nonsense here")), EditError::Value { .. }));
    assert!(matches!(fails(set("t", "1")), EditError::Kind { .. }));
    assert!(matches!(fails(set("a.b", "1")), EditError::Kind { .. }));
    assert!(matches!(fails(change("x", Change::Remove)), EditError::Missing { .. }));
    assert!(matches!(fails(change("l[1]", Change::Remove)), EditError::Missing { .. }));
    assert!(matches!(fails(set("l[4].c", "1")), EditError::Missing { .. }));
    assert!(matches!(
        fails(change("t", Change::Insert { text: String::new(), before: None })),
        EditError::Taken { .. }
    ));
    let broken = apply("a = 1\nb = = 2\n", &[set("a", "2")]).unwrap_err();
    assert!(matches!(broken, EditError::Unreadable { line: 2, .. }), "{broken:?}");
    // All or none: the first of two is not half done.
    assert!(apply(text, &[set("a", "2"), set("a", "x x")]).is_err());
}

/// What `diff` finds makes the new values and comments out of the old text.
#[test]
fn differences_lead_from_one_text_to_the_other() {
    let old = "# top\na = 1\n\n[t]\nb = 2 # two\nx = { p = 1, q = 2 }\n\n[[l]]\nname = \"one\"\nv = 1\n\n[[l]]\nname = \"two\"\nv = 2\n[[l]]\nname = \"three\"\n[l.deep]\nk = 1\n";
    let news = [
        "# top\na = 2\n\n[t]\nb = 2 # two\nx = { p = 1, q = 3 }\n\n[[l]]\nname = \"two\"\nv = 2\n\n[[l]]\nname = \"three\"\n[l.deep]\nk = 5\n[[l]]\nname = \"four\"\n",
        "# other top\na = 1\n[t]\nb = 2 # deux\nx = 5\n",
        "a = 1\nnew = [1, 2]\n[t]\n[u.v]\nw = 1 # why\n[[l]]\nname = \"zero\"\n[[l]]\nname = \"one\"\nv = 1\n[[m]]\nz = 1\n",
        "",
        "l = 5\nt = 6\na.b.c = 1\n# the end\n",
    ];
    for new in news {
        let operations = diff("house.toml", old, new);
        let made = apply(old, &operations).unwrap();
        let value = |t: &str| t.parse::<toml_edit::DocumentMut>().map(|d| toml_value(d.as_table())).unwrap();
        assert_eq!(value(&made), value(new), "{operations:#?}\n{made}");
        for line in new.lines().filter(|l| l.contains('#')) {
            let comment = line.split('#').nth(1).unwrap();
            assert!(made.contains(comment), "{comment} is lost in\n{made}");
        }
        // And nothing is left to do.
        assert_eq!(diff("house.toml", &made, new), [], "{made}");
    }
    assert_eq!(diff("rooms.csv", "a", "b").len(), 1);
}

/// Values alone, in order of keys.
fn toml_value(table: &dyn toml_edit::TableLike) -> serde_json::Value {
    let of = |item: &toml_edit::Item| match item {
        toml_edit::Item::ArrayOfTables(list) => list.iter().map(|t| toml_value(t)).collect(),
        item => match item.as_table_like() {
            Some(table) => toml_value(table),
            None => item.to_string().trim().into(),
        },
    };
    let mut map = serde_json::Map::new();
    for (key, item) in table.iter() {
        let value = of(item);
        if value != serde_json::json!({}) && value != serde_json::json!([]) {
            map.insert(key.to_owned(), value);
        }
    }
    map.into()
}

#[test]
fn different_fields_merge_and_the_same_field_shows_both() {
    let base = "# c\na = 1\nb = 2\n\n[t]\nc = 3\n";
    let m = merged(base, "# c\na = 10\nb = 2\n\n[t]\nc = 3\n", "# c\na = 1\nb = 20 # why\n\n[t]\nc = 3\n");
    assert_eq!(m.text, "# c\na = 10\nb = 20 # why\n\n[t]\nc = 3\n");
    assert!(m.conflicts.is_empty());
    let m = merged(base, "# c\na = 10\nb = 2\n\n[t]\nc = 30\n", "# c\na = 11\nb = 2\n\n[t]\nc = 3\n");
    assert_eq!(m.text, "# c\na = 11\nb = 2\n\n[t]\nc = 30\n");
    let both = Conflict {
        path: "house.toml".to_owned(),
        key: "a".to_owned(),
        base: Some("1".to_owned()),
        theirs: Some("11".to_owned()),
        mine: Some("10".to_owned()),
    };
    assert_eq!(m.conflicts, [both]);
    // Both said the same: no conflict. One removed the table that the other edits: a conflict.
    assert!(merged(base, "a = 5\nb = 2\n", "# c\na = 5\nb = 2\n[t]\nc = 3\n").conflicts.is_empty());
    let m = merged(base, "# c\na = 1\nb = 2\n\n[t]\nc = 4\n", "# c\na = 1\nb = 2\n");
    assert_eq!((m.conflicts.len(), m.conflicts[0].mine.as_deref()), (1, Some("4")));
    assert_eq!(m.conflicts[0].theirs, None);
    // Two comments in one place.
    let m = merged("a = 1\n", "a = 1 # x\n", "a = 1 # y\n");
    assert_eq!(m.conflicts.len(), 1);
    // A text that is no TOML is one field.
    assert_eq!(merge("r.csv", "1", "2", "3").conflicts.len(), 1);
    assert_eq!(merged("a = 1", "a = = 1", "a = 3").conflicts.len(), 1);
}

/// Both began a table that was not there: what each wrote counts, and only what they wrote differently is shown.
#[test]
fn a_table_that_both_began_is_merged_by_its_fields() {
    let base = "format = 1\n";
    let mine = "format = 1\n\n[tester]\nname = \"Ann\"\nrank = 2\n\n[firm]\n";
    let theirs = "format = 1\n\n[tester]\nrank = 3\n\n[firm]\nlicence = \"L\"\n";
    let both = merged(base, mine, theirs);
    assert!(both.text.contains("name = \"Ann\"") && both.text.contains("licence = \"L\""), "{}", both.text);
    assert!(both.text.contains("rank = 3") && both.text.matches("[tester]").count() == 1, "{}", both.text);
    let keys: Vec<_> =
        both.conflicts.iter().map(|c| (c.key.as_str(), c.theirs.as_deref(), c.mine.as_deref())).collect();
    assert_eq!(keys, [("tester.rank", Some("3"), Some("2"))]);
}

#[test]
fn entries_of_lists_merge_by_who_they_are() {
    let list = |names: &[(&str, u8)]| {
        names.iter().map(|(n, v)| format!("[[l]]\nname = \"{n}\"\nv = {v}\n")).collect::<String>()
    };
    let base = list(&[("a", 1), ("b", 2), ("c", 3)]);
    // They took the first away and added one in the middle; I changed the last and added one behind.
    let theirs = list(&[("b", 2), ("x", 9), ("c", 3)]);
    let mine = list(&[("a", 1), ("b", 2), ("c", 30), ("y", 8)]);
    let m = merged(&base, &mine, &theirs);
    assert_eq!(m.conflicts, []);
    let want: toml_edit::DocumentMut = list(&[("b", 2), ("x", 9), ("c", 30), ("y", 8)]).parse().unwrap();
    assert_eq!(
        toml_value(m.text.parse::<toml_edit::DocumentMut>().unwrap().as_table()),
        toml_value(want.as_table())
    );
    // Both add at the end: both are there.
    let m = merged(&base, &format!("{base}[[l]]\nname = \"m\"\n"), &format!("{base}[[l]]\nname = \"t\"\n"));
    assert_eq!(m.conflicts, []);
    assert!(m.text.contains("\"m\"") && m.text.contains("\"t\""), "{}", m.text);
    // They removed what I changed.
    let m = merged(&base, &list(&[("a", 5), ("b", 2), ("c", 3)]), &list(&[("b", 2), ("c", 3)]));
    assert_eq!((m.conflicts.len(), m.conflicts[0].key.as_str()), (1, "l[0].v"));
}

/// Two people who each set fields of their own: in either order the same values, nothing lost.
#[test]
fn many_pairs_of_edits_meet_in_the_same_values() {
    use rand_like::Few;
    let house = demo().into_iter().find(|f| f.name == "house.toml").unwrap().text;
    let keys = [
        "zone.main.volume",
        "zone.attic.volume",
        "zone.crawl.floor",
        "site.terrain",
        "zone.closet.label",
        "leak.walls_main.at50",
    ];
    let mut few = Few(7);
    for round in 0..60 {
        let mut pick = |n: usize| few.below(n);
        let split = 1 + pick(keys.len() - 1);
        let edit = |keys: &[&str], who: &str| {
            keys.iter().map(|k| set(k, &format!("\"{who} {round}\""))).collect::<Vec<_>>()
        };
        let mut mine = edit(&keys[..split], "mine");
        let theirs = edit(&keys[split..], "theirs");
        if pick(2) == 0 {
            mine.push(change(
                "zone.new",
                Change::Insert { text: "kind = \"living\"\n".to_owned(), before: None },
            ));
        }
        let (mine, theirs) = (apply(&house, &mine).unwrap(), apply(&house, &theirs).unwrap());
        let (one, two) = (merged(&house, &mine, &theirs), merged(&house, &theirs, &mine));
        assert_eq!((&one.conflicts, &two.conflicts), (&vec![], &vec![]));
        let value = |t: &str| toml_value(t.parse::<toml_edit::DocumentMut>().unwrap().as_table());
        assert_eq!(value(&one.text), value(&two.text));
        assert_eq!(one.text.matches(&format!(" {round}\"")).count(), keys.len());
        assert_eq!(house.matches('#').count(), one.text.matches('#').count());
    }
}

mod rand_like {
    /// A few numbers that are the same in every run.
    pub(super) struct Few(pub(super) u64);
    impl Few {
        pub(super) fn below(&mut self, n: usize) -> usize {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) as usize % n
        }
    }
}

#[test]
fn operations_travel_as_json() {
    let text = r#"[{"path":"house.toml","key":["zone","main","volume"],"do":"set","value":"\"9 ft3\""},
        {"path":"job.toml","key":["complaint",0],"do":"remove"}]"#;
    let operations: Vec<Operation> = serde_json::from_str(text).unwrap();
    assert_eq!(operations[0], set("zone.main.volume", "\"9 ft3\""));
    assert_eq!(operations[1].key, [Step::Name("complaint".to_owned()), Step::Entry(0)]);
    let back = serde_json::to_value(&operations).unwrap();
    assert_eq!(serde_json::from_value::<Vec<Operation>>(back).unwrap(), operations);
}
