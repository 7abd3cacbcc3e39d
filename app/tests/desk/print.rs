//! Sheets as PDF from a desk: where that is built in, and said where it is not.

use super::client::{Serving, folder};
use serde_json::json;

#[test]
fn a_desk_prints_a_sheet_of_its_own_copy_or_says_that_it_cannot() {
    let desk = Serving::new(folder("maple"), &[]);
    let token = desk.join(&desk.code(), "ann");
    let can = cfg!(feature = "pdf");
    assert_eq!(desk.as_device(&token, "GET /desk/device", None).json()["pdf"], can);
    let print = |job: &str, sheet: &str| {
        let body = json!({ "sheet": sheet, "written": { "language": "es" }, "now": "2026-11-26" });
        desk.as_device(&token, &format!("POST /desk/jobs/{job}/pdf"), Some(&body))
    };
    let made = print("maple", "owner.html");
    if can {
        assert_eq!(made.status, 200, "{made:?}");
        assert!(made.head.contains("application/pdf") && made.body.starts_with("%PDF-"), "{}", made.head);
        for (job, sheet) in [("maple", "no-such.html"), ("oak", "owner.html")] {
            assert_eq!(print(job, sheet).status, 404, "{job} {sheet}");
        }
        let unknown = desk.as_device(&token, "POST /desk/jobs/maple/pdf", Some(&json!({ "page": "owner" })));
        assert_eq!((unknown.status, unknown.code()), (400, "K154".to_owned()));
    } else {
        assert_eq!((made.status, made.code()), (404, "K159".to_owned()));
    }
    // Nobody else is given any.
    let stranger = desk.ask("POST /desk/jobs/maple/pdf", &[], Some("{}"));
    assert_eq!(stranger.status, 401);
}
