//! What a claim about the order of events is told: certain, against it, never, one of the two, and
//! what a certain order rests on.

use super::support::{Texts, shown};

/// Two parts that move side by side, each in a room of its own.
fn juniper(more: &str, when: [&str; 2]) -> String {
    let side = |name: &str, when: &str| {
        format!(
            "chamber {name}_room\nvalve feed_{name}  3/2  mechanical\n  \
             rest     joins {name}_room to open_air\n  shifted  joins line to {name}_room\n  \
             shifts   while trigger\nmoving {name}\n  positions back, front\n  rests     back\n  \
             face rear      in {name}_room  pushes forward{when}\n  spring keeper  pushes back\n\
             fact {name}.rear larger than {name}.keeper  (by hand)\n"
        )
    };
    let [left, right] = when;
    format!("cutaway juniper\nsupply line\n{}{}{more}", side("left", left), side("right", right))
}

fn told(cutaway: &str, holds: &str) -> String {
    let page = format!(
        "---\ntitle: Juniper\nengine: juniper\nclaims:\n  \
         - {{say: It is so., holds: \"{holds}\"}}\n---\n\nJuniper is apart.\n"
    );
    let texts = Texts {
        pages: [("content/juniper.md".to_owned(), page)].into(),
        imprint: "title: A folio\npressure: gauge\nambient: 101.325 kPa\n".to_owned(),
        cutaways: [("diagrams/juniper.cut".to_owned(), cutaway.to_owned())].into(),
        ..Texts::default()
    };
    let (folio, _) = texts.index();
    shown(&texts.judge(&folio, "content/juniper.md").slips)
}

const ORDER: &str = "order left reaches front before right leaves back  (timed)\n";

#[test]
fn an_order_of_independent_events_is_open() {
    let told = told(&juniper("", ["", ""]), "happens_before(left at front, right at front)");
    assert!(told.contains("claim-undecided") && told.contains("in some runs and not in others"));
}

#[test]
fn what_holds_only_by_an_order_names_it() {
    let engine = juniper(ORDER, ["", ""]);
    let told_of = |holds: &str| told(&engine, holds);
    assert_eq!(told_of("happens_before(left leaves back, right at front)"), "");
    let denied = told_of("not happens_before(left leaves back, right at front)");
    let order = "\u{201c}left reaches front before right leaves back\u{201d}";
    assert!(denied.contains(&format!("as long as {order} holds")), "{denied}");
    // What holds anyway rests on no order.
    let denied = told_of("not happens_before(trigger, right at front)");
    assert!(denied.contains("in every run") && !denied.contains("as long as"), "{denied}");
    let denied = told_of("not ends_at_rest(juniper)");
    assert!(denied.contains("every run ends at rest") && !denied.contains("as long as"));
}

#[test]
fn an_event_that_never_happens_comes_before_nothing() {
    let engine = juniper("", ["", ""]);
    for holds in
        ["happens_before(trigger, left_room drops)", "happens_before(left_room drops, trigger)"]
    {
        let told = told(&engine, holds);
        assert!(told.contains("claim-false") && told.contains("never happens"), "{told}");
    }
}

#[test]
fn of_two_that_exclude_each_other_only_one_happens() {
    let engine = juniper("", ["  while right at back", "  while left at back"]);
    let told = told(&engine, "happens_before(left at front, right at front)");
    assert!(told.contains("claim-false") && told.contains("only one of"), "{told}");
}

/// A room passes the marks of its gauge whether or not anything hangs on them; nothing is said of
/// their order beside what moves where the file does not decide it.
#[test]
fn a_landmark_on_which_nothing_hangs_can_be_asked_about() {
    let more = "landmark half\nlandmark most  above half\nchamber cup\n\
                way leak_in  from line to cup  narrow  while left at front\n\
                moving plug\n  positions in, out\n  rests in\n  face foot  in cup  pushes forward\n";
    let engine = juniper(more, ["", ""]);
    let told_of = |holds: &str| told(&engine, holds);
    assert_eq!(told_of("happens_before(left_room rises to half, left_room rises to most)"), "");
    assert_eq!(told_of("happens_before(left_room rises to most, left leaves back)"), "");
    assert_eq!(told_of("happens_before(cup rises to half, plug at out)"), "");
    assert_eq!(told_of("not happens(cup falls below half)"), "");
    // What moves freely is faster than what is narrow, and any air in the cup moves the plug.
    assert_eq!(told_of("happens_before(plug at out, cup rises to most)"), "");
}
