use super::*;

#[test]
fn a_protocol_for_every_word_and_nothing_recalled_is_seen() {
    use crate::doc::field::combustion_zone::PROTOCOL_IDS;
    use crate::procedure::source::{FROM_MEMORY, source};
    assert_eq!(PROTOCOL_IDS.len(), PROTOCOLS.len());
    for (_, id) in PROTOCOL_IDS {
        let p = protocol(*id).unwrap();
        let l = p.levels;
        let mut all = vec![l.tell, l.stop, l.leave, p.spillage_warm, p.spillage_cold, p.flue_after];
        all.extend([p.gas_leave, p.oven_limit()]);
        all.extend(APPLIANCE_TYPES.iter().map(|(_, k)| p.flue_limit(*k).map(|f| f.0)));
        for number in all.into_iter().flatten() {
            assert!(source(number.source).is_some(), "{number:?}");
            assert!(!number.seen || number.source != FROM_MEMORY, "{number:?}");
        }
        let order: Vec<f64> = [l.tell, l.stop, l.leave].into_iter().flatten().map(|p| p.si).collect();
        assert!(order.is_sorted(), "{order:?}");
    }
}

#[test]
fn a_level_can_be_lowered_and_not_raised() {
    let bpi = protocol(ProtocolId::Bpi1200).unwrap();
    let (lower, refused) = levels(bpi, [Some(5e-6), None, None]);
    assert_eq!((lower.tell.unwrap().si, refused), (5e-6, 0));
    let (same, refused) = levels(bpi, [None, Some(50e-6), None]);
    assert_eq!((same.stop.unwrap().si, refused), (36e-6, 1));
}

#[test]
fn one_sample_is_enough() {
    let levels = protocol(ProtocolId::Bpi1200).unwrap().levels;
    let mut samples = vec![1e-6; 100];
    samples[40] = 36e-6;
    let all = reached(&samples, &levels);
    assert_eq!(all.len(), 2);
    assert_eq!((all[1].action, all[1].sample), (Action::Stop, 41));
    // The residential code's middle band begins lower.
    samples[40] = 31e-6;
    let code = protocol(ProtocolId::FuelGasCodeAppendix).unwrap().levels;
    assert_eq!(reached(&samples, &code).last().unwrap().action, Action::Stop);
    assert_eq!(reached(&samples, &levels).last().unwrap().action, Action::Tell);
}

#[test]
fn the_guide_goes_on_where_it_was_left() {
    let devices = Devices {
        exhausts: vec!["hood".into(), "dryer".into()],
        handler: true,
        zone_doors: vec!["closet".into()],
        room_doors: vec!["bed".into(), "bath".into()],
    };
    let all = combustion_states(&devices);
    // Three sets that run, four of doors, and each room door by itself.
    assert_eq!(all.len(), 14);
    let read: Vec<(State, f64)> = all.iter().take(5).map(|s| (s.clone(), -3.0)).collect();
    let guide = Guide::new(&devices, &read);
    assert_eq!(guide.tried, 5);
    assert_eq!(guide.untried().next(), all.get(5));
    // (2^3 - 1) sets that run times 2^3 of doors.
    assert!((guide.combinations - 56.0).abs() < 1e-9);
    // A house without anything has nothing to try.
    assert!(combustion_states(&Devices::default()).is_empty());
}

#[test]
fn bases_are_never_mixed() {
    assert_eq!(on_basis(100e-6, false, true, None), None);
    assert_eq!(on_basis(100e-6, true, true, None), Some(100e-6));
    let there = on_basis(100e-6, false, true, Some(0.08)).unwrap();
    let back = on_basis(there, true, false, Some(0.08)).unwrap();
    assert!((back - 100e-6).abs() < 1e-15);
    assert!(there > 100e-6);
}
