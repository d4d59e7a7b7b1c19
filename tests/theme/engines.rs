//! Three invented engines: one page with everything on it, two short ones.

use crate::frames::{contents, coverage, figure, frame, millimetres, shown};
use gaugebook::body::blocks::Setting;
use gaugebook::body::parts::{open_apart, open_box};
use gaugebook::site::figure::{FigureView, Mark, figure_html};
use gaugebook::site::view::{
    AsideRow, Caution, ClaimRow, CorrectionRow, DerivedRow, EnginePage, Frame, KeyFigure, Link,
    MarkRow, QuestionRow, ReadingGroup, ReadingRow, RevisionRow, SequenceRow, Shown, SourceRow,
    Standing, Statement, Verdict, View, WaiverRow,
};

/// All engine pages.
pub(crate) fn all() -> Vec<View> {
    vec![
        View::Engine(Box::new(rowan())),
        View::Engine(Box::new(short("hazel", "Hazel: one spool, one spring", 0.8))),
        View::Engine(Box::new(short("ash", "Ash: a diaphragm lets go", 1.4))),
    ]
}

/// 128 psi gauge.
pub(crate) fn pressure() -> Shown {
    let kind = "gauge pressure".into();
    Shown { kind, ..shown("128 psi", "883 kPa", "128 psi", "882528.93") }
}

fn volume() -> Shown {
    Shown { kind: "volume".into(), ..shown("22 cm³", "22 cm³", "1.3 in³", "0.000022") }
}

fn energy() -> Shown {
    Shown { kind: "energy".into(), ..shown("29.8 J", "29.8 J", "22.0 ft·lbf", "29.8") }
}

fn reading(id: &str, value: Shown, source: &str, mark: Mark) -> ReadingRow {
    ReadingRow {
        anchor: format!("reading-{id}"),
        id: id.into(),
        label: id.replace('_', " "),
        shown: Some(value),
        source: source.into(),
        source_anchor: format!("source-{source}"),
        source_kind: if source == "bench" { "measured" } else { "maker says" }.into(),
        mark,
        ..ReadingRow::default()
    }
}

fn length(id: &str, value: f64, mark: Mark) -> ReadingRow {
    let plus_minus = Some(millimetres(0.02, 2));
    ReadingRow { plus_minus, ..reading(id, millimetres(value, 2), "bench", mark) }
}

fn readings() -> Vec<ReadingGroup> {
    let operating = ReadingRow {
        cues: vec!["working pressure".into()],
        plus_minus: Some(shown("4 psi", "28 kPa", "4 psi", "27579")),
        how_checked: "two places in the text; claim 1".into(),
        how_sure: "as the card states it".into(),
        setting: true,
        note: "Set with the regulator warm.".into(),
        ..reading("operating_pressure", pressure(), "card", Mark::Computed)
    };
    let dwell = ReadingRow {
        setting: true,
        ..reading("dwell", shown("12 ms", "12 ms", "12 ms", "0.012"), "card", Mark::OwnReading)
    };
    let store = ReadingRow {
        cues: vec!["store".into(), "rear chamber".into()],
        plus_minus: Some(shown("0.3 cm³", "0.3 cm³", "0.02 in³", "0.0000003")),
        form: "water fill, 3 readings".into(),
        also: vec![Statement {
            shown: shown("22.3 cm³", "22.3 cm³", "1.36 in³", "0.0000223"),
            source: "card".into(),
            source_anchor: "source-card".into(),
            verdict: Verdict::Agree,
            reason: "differs by 0.3 cm³, within the ± of the first".into(),
            ..Statement::default()
        }],
        ..reading("store_volume", volume(), "bench", Mark::SecondStatement)
    };
    let seat = ReadingRow {
        shown: None,
        not_measured: "not opened".into(),
        ..length("poppet_seat", 0.0, Mark::OwnReading)
    };
    let tail = ReadingRow {
        borrowed_from: "Hazel".into(),
        source_anchor: String::new(),
        source_kind: "assumed".into(),
        ..length("tail_length", 31.0, Mark::OwnReading)
    };
    let mut bores = vec![
        ReadingRow {
            how_checked: "derived: metering area; corrected once".into(),
            form: "goes 0.88 mm, stops 0.92 mm".into(),
            ..length("metering_bore", 0.9, Mark::Computed)
        },
        seat,
    ];
    for (index, id) in ["switch_land", "switch_bore", "sail_bore", "nose_bore"].iter().enumerate() {
        bores.push(length(id, 13.05 + 1.95 * f64::from(index as u32), Mark::OwnReading));
    }
    let lengths = ["bolt_length", "bolt_travel", "nose_length", "shaft_length"];
    let lengths = lengths.iter().enumerate();
    let mut lengths: Vec<ReadingRow> = lengths
        .map(|(index, id)| length(id, 24.0 + 10.0 * f64::from(index as u32), Mark::OwnReading))
        .collect();
    lengths.push(tail);
    vec![
        ReadingGroup { label: "Pressures and times".into(), rows: vec![operating, dwell] },
        ReadingGroup { label: "Volumes".into(), rows: vec![store] },
        ReadingGroup { label: "Bores".into(), rows: bores },
        ReadingGroup { label: "Lengths".into(), rows: lengths },
    ]
}

fn derived() -> Vec<DerivedRow> {
    let here = |title: &str, anchor: &str| Link::new(title, format!("engines/rowan.html#{anchor}"));
    vec![
        DerivedRow {
            anchor: "derived-metering_area".into(),
            id: "metering_area".into(),
            label: "metering area".into(),
            shown: shown("0.636 mm²", "0.636 mm²", "0.000986 in²", "6.36e-7"),
            plus_minus: Some(shown("0.028 mm²", "0.028 mm²", "0.000044 in²", "2.8e-8")),
            formula: "circle_area(metering_bore)".into(),
            inputs: vec![here("metering bore 0.90 mm", "reading-metering_bore")],
            how_sure: "all of the ± comes from the metering bore".into(),
            ..DerivedRow::default()
        },
        DerivedRow {
            anchor: "derived-store_energy".into(),
            id: "store_energy".into(),
            label: "stored energy".into(),
            cues: vec!["energy in the store".into()],
            shown: energy(),
            formula: "stored_energy(store_volume, operating_pressure)".into(),
            inputs: vec![
                here("store volume 22 cm³", "reading-store_volume"),
                here("operating pressure 128 psi", "reading-operating_pressure"),
            ],
            note: "Isothermal: the most that the air could give.".into(),
            ..DerivedRow::default()
        },
    ]
}

fn standing() -> Standing {
    let fault = |name: &str| Link::new(name, format!("faults/{name}.html"));
    let source = |name: &str, kind: &str, details: &str, figures| SourceRow {
        anchor: format!("source-{name}"),
        name: name.into(),
        kind: kind.into(),
        details: details.into(),
        figures,
    };
    Standing {
        coverage: coverage([9, 4, 11, 3, 1]),
        sources: vec![
            source("bench", "measured", "caliper, 0.02 mm, on 2026-03-02", 14),
            source("card", "maker says", "Rowan service card, rev B", 4),
        ],
        corrections: vec![CorrectionRow {
            on: "2026-04-02".into(),
            figure: "metering bore".into(),
            anchor: "reading-metering_bore".into(),
            was: "1.10 mm".into(),
            now: "0.90 mm".into(),
            because: "read off the wrong drill shank".into(),
            source: "bench".into(),
        }],
        marks: vec![MarkRow {
            anchor: "mark-1".into(),
            mark: Mark::Untied,
            sign: Mark::Untied.sign().into(),
            fault: fault("untied-figure"),
            text: "about 40 shots".into(),
            message: "no reading of this page is meant by the words around it.".into(),
        }],
        asides: vec![AsideRow {
            anchor: "aside-1".into(),
            text: "300 bar".into(),
            because: "bottle rating, common practice".into(),
        }],
        waivers: vec![WaiverRow {
            anchor: "waiver-1".into(),
            fault: fault("over-precise"),
            at: "8.826 bar".into(),
            because: "the card prints it so".into(),
            on: "2026-04-02".into(),
        }],
    }
}

fn key_figures() -> Vec<KeyFigure> {
    let key = |label: &str, shown: Shown, plus_minus: Option<Shown>, anchor: &str, mark| {
        KeyFigure { label: label.into(), shown, plus_minus, anchor: anchor.into(), mark }
    };
    let psi = Some(shown("4 psi", "28 kPa", "4 psi", ""));
    let bore = Some(millimetres(0.02, 2));
    vec![
        key("operating pressure", pressure(), psi, "reading-operating_pressure", Mark::Computed),
        key("store volume", volume(), None, "reading-store_volume", Mark::SecondStatement),
        key("stored energy", energy(), None, "derived-store_energy", Mark::Computed),
        key("metering bore", millimetres(0.9, 2), bore, "reading-metering_bore", Mark::Computed),
    ]
}

fn apart(setting: &Setting, inside: &str) -> String {
    format!("{}{inside}</div>\n", open_apart(setting))
}

fn set_apart() -> String {
    [
        apart(&Setting::Opinion, "<p>It is the nicest of the family to service: four rings, no glue, and the shaft tells you by touch when it is home.</p>"),
        apart(&Setting::Hearsay("a reader, 2026-01-10".into()), "<p>Early ones are said to have had a softer bumper.</p>"),
    ]
    .concat()
}

fn ring_table() -> String {
    format!(
        "{}<table><caption>Rings and what leaks when they fail</caption>\
        <thead><tr><th scope=\"col\">Ring</th><th scope=\"col\">Separates</th><th scope=\"col\" class=\"num\">Section (mm)</th></tr></thead><tbody>\
        <tr><th scope=\"row\">-014</th><td>pilot room from store</td><td class=\"num\">1.78</td></tr>\
        <tr><th scope=\"row\">-012</th><td>store from drive room</td><td class=\"num\">1.78</td></tr></tbody></table></div>\n",
        open_box("Rings of the Rowan")
    )
}

/// Prose with one figure of each kind.
fn body() -> String {
    let dual = FigureView {
        written: "128\u{a0}psi (8.83\u{a0}bar)".into(),
        si: Some("883\u{a0}kPa".into()),
        us: Some("128\u{a0}psi".into()),
        value: Some("882528.93".into()),
        kind: "gauge pressure".into(),
        href: Some("#reading-operating_pressure".into()),
        mark: Mark::Computed,
        title: "operating pressure: card, ± 4 psi; the two agree".into(),
        ..FigureView::default()
    };
    let words = FigureView {
        written: "nearly two and a half times".into(),
        href: Some("#derived-metering_area".into()),
        mark: Mark::Computed,
        title: "(ash.metering_bore / rowan.metering_bore)^2 works out as 2.42".into(),
        ..FigureView::default()
    };
    let bore =
        figure(&millimetres(0.9, 2), "reading-metering_bore", Mark::Computed, "metering bore");
    let store = figure(&volume(), "reading-store_volume", Mark::SecondStatement, "store volume");
    let land =
        figure(&millimetres(13.05, 2), "reading-switch_land", Mark::OwnReading, "switch land");
    let bottle = shown("300 bar", "30 MPa", "4350 psi", "30000000");
    let bottle = figure(&bottle, "aside-1", Mark::Aside, "aside: bottle rating, common practice");
    let low = figure(
        &shown("6 bar", "600 kPa", "87 psi", "600000"),
        "reading-operating_pressure",
        Mark::Supposition,
        "supposition",
    );
    let shots = figure(&Shown::same("about 40 shots"), "mark-1", Mark::Untied, "untied figure");
    let exact = figure(
        &shown("8.826 bar", "882.6 kPa", "128.0 psi", "882600"),
        "waiver-1",
        Mark::Waived,
        "let pass: the card prints it so",
    );
    let (dual, words) = (figure_html(&dual), figure_html(&words));
    let (apart, rings) = (set_apart(), ring_table());
    format!(
        "<h2 id=\"parts\">What is inside</h2>\n<p>The Rowan keeps its switch and its shaft apart. The \
         operating pressure is {dual}, and the store holds {store} of it. Behind the switch sits a \
         small pilot room; a hole in the body, the metering bore, feeds it at {bore}. That hole \
         decides how fast the switch comes home, and it is the first thing to look at when the tool \
         stutters.</p>\n<p>On the Ash the same hole passes {words} as much air, which is why the Ash \
         hardly minds a cold morning. The land of the switch measures {land}. A full bottle at \
         {bottle} gives {shots} between refills, and at {low} the bolt no longer reaches its stop. \
         The card gives the pressure as {exact}.</p>\n{apart}<h2 id=\"shot\">One shot, slowly</h2>\n\
         <p>Pulling the trigger vents the pilot room. With nothing behind it, the switch moves back \
         and opens the store to the drive room. The shaft follows, picks up the bolt, and pushes the \
         pellet past the detent. When the pilot closes, air through the metering bore fills the pilot \
         room again and the switch comes home before the store has emptied. What is left in the store \
         is not lost: it is the air spring that brings the shaft back.</p>\n<h3 id=\"rest\">What the \
         rest of the air does</h3>\n<p>More than half of it stays. A gauge on the store shows it: the \
         needle dips, waits, and climbs again without the regulator having opened.</p>\n\
         <h2 id=\"service\">Service</h2>\n{rings}<ul><li>Grease the shaft, not the switch.</li><li>Fit the \
         ring of the sail dry, then turn it once in its groove.</li></ul>\n"
    )
}

fn rowan_frame() -> Frame {
    let mut frame = frame(
        "Engine",
        "engines/rowan.html",
        "Rowan: switch and shaft apart",
        "A two-part valve for marking trees at arm's length: the switch opens the store, the shaft \
         carries the bolt, and an air spring brings both home.",
    );
    frame.identification = "rowan".into();
    frame.revision = "C".into();
    frame.contents = contents(&[
        ("parts", "What is inside"),
        ("shot", "One shot, slowly"),
        ("service", "Service"),
        ("data-sheet", "Data sheet"),
        ("derived", "Derived figures"),
        ("claims", "Claims"),
        ("sources", "Sources"),
    ]);
    frame.caution = Some(Caution {
        stored_energy: Some(energy()),
        stored_energy_inputs: "22 cm³ at 128 psi gauge, isothermal".into(),
        stored_energy_anchor: "derived-store_energy".into(),
        not_known: String::new(),
        more: Some(Link::new("Safety: before any tool is opened", "safety.html")),
    });
    frame
}

fn rowan() -> EnginePage {
    let claim = |number: u8, say: &str, holds: &str, verdict, reason: &str| ClaimRow {
        anchor: format!("claim-{number}"),
        say: say.into(),
        holds: holds.into(),
        verdict,
        reason: reason.into(),
    };
    let steps = "trigger, pilot vents, switch leaves front stop, store opens to drive, shaft picks \
                 up bolt, pellet leaves, pilot closes, switch comes home, shaft comes home";
    EnginePage {
        frame: rowan_frame(),
        engine: "rowan".into(),
        family: "Rowan".into(),
        descends_from: Some(Link::new("Hazel", "engines/hazel.html")),
        descendants: vec![Link::new("Ash", "engines/ash.html")],
        compared_on: vec![Link::new("Rowan and Ash", "comparisons/rowan-ash.html")],
        specimens: 1,
        key_figures: key_figures(),
        body_html: body(),
        readings: readings(),
        derived: derived(),
        claims: vec![
            claim(
                1,
                "more than half of the air stays",
                "retained_share > 50 %",
                Verdict::Agree,
                "retained share works out as 61 % ± 2 %",
            ),
            claim(
                2,
                "the store empties to about 5 bar",
                "lowest_pressure = 5 bar",
                Verdict::Lenient,
                "works out as 5.3 bar; agrees only with the ± of the inputs",
            ),
        ],
        sequence: steps
            .split(", ")
            .map(|say| SequenceRow { say: say.into(), ..SequenceRow::default() })
            .collect(),
        shot: None,
        questions: vec![QuestionRow {
            ask: "Does the switch touch its rear stop, or does air catch it first?".into(),
            settles: "a witness mark in marker ink on the stop".into(),
        }],
        revisions: vec![RevisionRow {
            name: "second bumper".into(),
            on: "2025".into(),
            changed: "bumper ring one size up".into(),
        }],
        standing: standing(),
        downloads: vec![Link::new("JSON", "data/rowan.json"), Link::new("CSV", "data/rowan.csv")],
    }
}

fn short(name: &str, title: &str, bore: f64) -> EnginePage {
    let address = format!("engines/{name}.html");
    let mut frame =
        frame("Engine", &address, title, "A short sheet: five readings from one evening.");
    frame.identification = name.into();
    frame.contents = contents(&[("inside", "What is inside"), ("data-sheet", "Data sheet")]);
    frame.caution = Some(Caution {
        not_known: "the store volume has not been stated".into(),
        more: Some(Link::new("Safety: before any tool is opened", "safety.html")),
        ..Caution::default()
    });
    let rows = ["metering_bore", "bolt_length", "nose_bore", "tail_length", "shaft_length"];
    let rows = rows.iter().enumerate();
    let rows = rows
        .map(|(index, id)| length(id, bore + 12.0 * f64::from(index as u32), Mark::OwnReading))
        .collect();
    let figure =
        figure(&millimetres(bore, 2), "reading-metering_bore", Mark::OwnReading, "metering bore");
    let card = SourceRow {
        anchor: "source-bench".into(),
        name: "bench".into(),
        kind: "measured".into(),
        details: "caliper, 0.02 mm".into(),
        figures: 5,
    };
    EnginePage {
        frame,
        engine: name.into(),
        family: name.into(),
        specimens: 2,
        key_figures: vec![KeyFigure {
            label: "metering bore".into(),
            shown: millimetres(bore, 2),
            plus_minus: Some(millimetres(0.02, 2)),
            anchor: "reading-metering_bore".into(),
            mark: Mark::OwnReading,
        }],
        body_html: format!(
            "<h2 id=\"inside\">What is inside</h2><p>The metering bore is {figure}.</p>"
        ),
        readings: vec![ReadingGroup { label: "Lengths and bores".into(), rows }],
        standing: Standing {
            coverage: coverage([0, 0, 5, 0, 0]),
            sources: vec![card],
            ..Standing::default()
        },
        ..EnginePage::default()
    }
}
