//! Flows through a hole whose back pressure the page gives in another formula.

use super::support::{Texts, shown};

/// The slips of a page whose store is filled through a hole from 9 bar gauge down to `lowest`.
fn slips(lowest: &str, flow: &str) -> String {
    let page = format!(
        "---\ntitle: Linden\nengine: linden\nsources: {{b: {{kind: measured}}}}\n\
         readings_from: b\nreadings: {{line: 9.0 bar, lowest: {lowest}, ready: 8.5 bar, \
         room: 20 cm³, jet: 0.90 mm}}\nderived:\n  jet_area: circle_area(jet)\n  \
         refill: \"fill_time(room, jet_area, line, lowest, ready, 0.8)\"\n  flow: \"{flow}\"\n---\n\n\
         Linden is apart.\n"
    );
    let texts = Texts {
        pages: [("content/linden.md".to_owned(), page)].into(),
        imprint: "title: A folio\npressure: gauge\nambient: 101.325 kPa\n".to_owned(),
        ..Texts::default()
    };
    let (folio, mut slips) = texts.index();
    slips.extend(texts.judge(&folio, "content/linden.md").slips);
    shown(&slips)
}

/// ISO 6358-1: an ideal nozzle is choked below 0.528 of the absolute pressure before it.
/// (2 + 1.013) / (9 + 1.013) = 0.30; (5 + 1.013) / (9 + 1.013) = 0.60; (4.2 + 1.013) / 10.013 is
/// 0.52, and 0.57 at the upper end of ± 0.5 bar.
#[test]
fn a_flow_is_choked_only_where_the_page_lets_it() {
    let flow = "choked_flow(circle_area(jet), line, 0.8)";
    let told = |lowest: &str| slips(lowest, flow);
    assert!(!told("2.0 bar").contains("speed of sound"), "{}", told("2.0 bar"));
    let subsonic = told("5.0 bar");
    assert!(subsonic.contains("the air does not reach the speed of sound"), "{subsonic}");
    assert!(
        subsonic.contains("write `orifice_flow(circle_area(jet), line, lowest, 0.8)`"),
        "{subsonic}"
    );
    assert!(told("4.2 bar ± 0.5 bar").contains("may not reach"), "{}", told("4.2 bar ± 0.5 bar"));
    // Another pressure before the hole, or one behind it, is another flow.
    for other in ["choked_flow(jet_area, 12 bar, 0.8)", "orifice_flow(jet_area, line, lowest, 0.8)"]
    {
        assert!(!slips("5.0 bar", other).contains("speed of sound"), "{other}");
    }
}
