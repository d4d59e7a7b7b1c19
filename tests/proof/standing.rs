//! How figures stand in the end: waivers of one place, and what bears a figure out.

use super::support::{Texts, shown};
use gaugebook::proof::{PageProof, Status};
use gaugebook::slip::Severity;

const IMPRINT: &str = "title: Test bench\npressure: gauge\n";

/// A page of one engine with `waivers` and `body`, judged for `imprint`.
fn judged(imprint: &str, waivers: &str, body: &str) -> PageProof {
    let page = format!(
        "---\ntitle: Rowan\nengine: rowan\nsources:\n  bench: {{kind: measured}}\n  \
         card: {{kind: maker, title: a card}}\nreadings_from: bench\nreadings:\n  \
         pressure: 128 psi\n  \
         bore: {{is: 0.90 mm, also: [{{is: 0.90 mm, from: card}}]}}\n  \
         stem: {{is: 9.50 mm, also: [9.50 mm]}}\n  \
         seat: 9.50 mm (0.374 in)\nwaivers:\n{waivers}---\n\n{body}\n"
    );
    let mut texts = Texts { imprint: imprint.to_owned(), ..Texts::default() };
    texts.pages.insert("content/rowan.md".to_owned(), page);
    let (folio, _) = texts.index();
    texts.judge(&folio, "content/rowan.md")
}

fn codes(proof: &PageProof) -> Vec<&str> {
    proof.slips.iter().map(|slip| slip.code).collect()
}

fn statuses(proof: &PageProof) -> Vec<Status> {
    proof.figures.iter().map(|(_, figure)| figure.status).collect()
}

#[test]
fn what_a_waiver_lets_pass_is_neither_wrong_nor_checked() {
    let waiver = "  - {fault: figure-disagrees, at: 182 psi, because: misprint, on: 2026-04-02}\n";
    let proof = judged(IMPRINT, waiver, "The pressure is 182 psi.");
    assert_eq!(codes(&proof), [] as [&str; 0], "{}", shown(&proof.slips));
    assert_eq!(statuses(&proof), [Status::Waived]);
    let counts = &proof.coverage;
    assert_eq!((counts.waived, counts.disagrees, counts.own_reading), (1, 0, 0));
}

#[test]
fn a_waiver_names_one_place() {
    let body = "The line has 8 bar.\n\nThe hut shuts off at 8\u{a0}bar, the pressure is 128 psi.";
    let short = "  - {fault: untied-figure, at: 8 bar, because: a remark, on: 2026-04-02}\n";
    assert_eq!(codes(&judged(IMPRINT, short, body)), ["waiver-ambiguous"]);
    // More of the sentence, its blanks of whatever kind.
    let long =
        "  - {fault: untied-figure, at: shuts off at 8 bar, because: a remark, on: 2026-04-02}\n";
    let proof = judged(IMPRINT, long, body);
    assert_eq!(codes(&proof), ["new-figure"], "{}", shown(&proof.slips));
    assert_eq!(proof.slips[0].spot.source.place(proof.slips[0].spot.span.start).line, 17);
}

#[test]
fn a_waiver_has_place_day_and_reason() {
    for bare in [
        "{fault: untied-figure, at: \"\", because: a remark, on: 2026-04-02}",
        "{fault: untied-figure, at: 8 bar, because: \" \", on: 2026-04-02}",
        "{fault: untied-figure, at: 8 bar, because: a remark}",
        "{fault: raw-html, at: <b>, because: it looks better, on: 2026-04-02}",
    ] {
        let proof = judged(IMPRINT, &format!("  - {bare}\n"), "The pressure is 128 psi.");
        assert_eq!(codes(&proof), ["waiver-incomplete"], "{bare}");
        assert_eq!(proof.slips[0].severity, Severity::Stop);
    }
}

#[test]
fn a_waiver_ends_by_the_day_of_the_imprint() {
    let waiver = "  - {fault: untied-figure, at: 8 bar, because: a remark, on: 2026-04-02, until: 2026-05-01}\n";
    let on = |day: &str| {
        let imprint = format!("{IMPRINT}{day}");
        let proof = judged(&imprint, waiver, "The line has 8 bar.");
        codes(&proof).join(" ")
    };
    assert_eq!(on(""), "");
    assert_eq!(on("date: 2026-04-30\n"), "");
    assert_eq!(on("date: 2026-05-01\n"), "waiver-ended new-figure");
}

#[test]
fn two_statements_bear_each_other_out_only_from_two_sources_or_ways() {
    let body = "The bore is 0.90 mm. The stem is 9.50 mm. The seat is 9.50 mm. The pressure is 128 \
                psi. The pressure is 128 psi (8.83 bar).";
    assert_eq!(
        statuses(&judged(IMPRINT, "  []\n", body)),
        [
            Status::SecondStatement,
            Status::OwnReading,
            Status::ConversionAgrees,
            Status::OwnReading,
            Status::ConversionAgrees,
        ]
    );
}

#[test]
fn a_blank_before_the_bracket_of_a_binding_is_told() {
    let proof = judged(IMPRINT, "  []\n", "It runs at [128 psi] (by: pressure).");
    assert_eq!(codes(&proof), ["binding-unreadable"], "{}", shown(&proof.slips));
}
