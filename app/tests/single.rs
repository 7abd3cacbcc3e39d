//! A single test needs no house.

use crate::run::{Folder, airwright, json};

#[test]
fn the_starter_is_a_single_test_with_a_certificate() {
    let folder = Folder::new();
    let job = folder.path().join("mi casa");
    let made = airwright(&["new"], &job);
    assert_eq!(made.code, 0, "{}", made.err);
    assert!(made.out.contains("airwright work"), "{}", made.out);
    assert!(folder.read("mi casa/job.toml").starts_with('#'));
    let worked = airwright(&["work"], &job);
    assert_eq!(worked.code, 0, "{}\n{}", worked.out, worked.err);
    assert!(worked.out.contains("ACH50") && worked.out.contains("certificate.html"), "{}", worked.out);
    // The limit in the starter is confirmed by nobody, so there is no verdict.
    assert!(worked.out.contains("no verdict"), "{}", worked.out);
    let page = folder.read("mi casa/out/certificate.html");
    assert!(page.contains("Signature") && page.contains("ASTM E779"));
    // Asking for the fit of a job without a house says what is missing.
    let fit = airwright(&["fit"], &job);
    assert_eq!(fit.code, 2);
    assert!(fit.err.contains("J102"), "{}", fit.err);
}

#[test]
fn a_typed_volume_and_area_are_enough() {
    let folder = Folder::new();
    folder.write(
        "job.toml",
        "format = 1\nname = 'one test'\n[building]\nvolume = '400 m3'\nenvelope_area = '420 m2'\n",
    );
    folder.write(
        "visits/2026-02-03/visit.toml",
        "format = 1\ndate = '2026-02-03'\n[instrument.f]\nmeasures = 'air flow'\naccuracy = '0 %'\n\
         shows = 'flow at reference conditions'\n[instrument.p]\nmeasures = 'pressure'\naccuracy = '0 %'\n\
         baseline = 'subtracted'\n[test.t]\nstandard = 'ISO 9972'\ndirection = 'depressurise'\n\
         pressure_with = 'p'\nflow_with = 'f'\nstations = { columns = ['house Pa', 'fan m3/h'], rows = [\n\
         [-10, 361], [-15, 474], [-20, 567], [-25, 668], [-30, 744], [-35, 829], [-40, 897], [-45, 978],\n\
         [-50, 1040], [-60, 1178]] }\n",
    );
    let (code, value) = json(&["results"], folder.path());
    assert!(code < 2, "{value}");
    let result = &value["data"]["results"][0]["result"];
    // FT-2 of the reference data: q50 1044.33434803 m3/h, n 0.658736322.
    let n50 = result["figures"]["ach50"]["total"]["value"].as_f64().unwrap() * 3600.0;
    assert!((n50 - 1044.33434803 / 400.0).abs() < 1e-6, "{n50}");
    let n = result["exponent"]["total"]["value"].as_f64().unwrap();
    assert!((n - 0.658736322).abs() < 1e-8, "{n}");
}
