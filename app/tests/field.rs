//! Field tests through the command line.

use crate::run::{Folder, airwright, json};

fn job(visit: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'field tests'\n");
    folder.write("visits/2026-11-12/visit.toml", format!("format = 1\ndate = '2026-11-12'\n{visit}"));
    folder
}

#[test]
fn a_surface_is_worked_without_house_and_envelope_test() {
    let folder = job("[conditions]\noutdoor = '32 degF'\n\
        [instrument.thermometer]\nmeasures = 'temperature'\naccuracy = '0.5 degC'\n\
        [instrument.hygrometer]\nmeasures = 'relative humidity'\naccuracy = '3 %'\n\
        [test.corner]\nkind = 'surface'\nair = '68 degF'\nrh = '55 %'\nsurface = '46 degF'\n\
        temperature_with = 'thermometer'\nhumidity_with = 'hygrometer'\n");
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.out.contains("dew point") && told.out.contains("water condenses"), "{}", told.out);
    let (_, value) = json(&["results"], folder.path());
    let field = &value["data"]["field"][0];
    assert_eq!(field["kind"], "surface");
    // PsychroLib: 20 degC and 55 % give a dew point of 10.69 degC.
    let dew = field["detail"]["dew_point"]["value"].as_f64().unwrap() - 273.15;
    assert!((dew - 10.69).abs() < 0.01, "{dew}");
    let worked = airwright(&["work"], folder.path());
    assert!(worked.out.contains("tests.html"), "{}", worked.out);
    assert!(folder.read("out/tests.html").contains("surface factor"));
}

#[test]
fn an_unknown_kind_leaves_the_other_tests_alone() {
    let folder = job("[test.a]\nkind = 'surfce'\nrh = '55 %'\n\
        [test.b]\nkind = 'surface'\nair = '20 degC'\nrh = '50 %'\n");
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 1, "{}", told.err);
    assert!(told.err.contains("did you mean `surface`?"), "{}", told.err);
    assert_eq!(told.err.matches("error[").count(), 1, "{}", told.err);
    assert!(told.out.contains("dew point"), "{}", told.out);
}
