//! The other pages of the example site.

use crate::engines::pressure;
use crate::frames::{contents, coverage, frame, millimetres, shown};
use gaugebook::body::parts::{self, Picture};
use gaugebook::site::figure::Mark;
use gaugebook::site::view::{
    ArticlePage, AsidesPage, AskableRow, Cell, ChecksPage, Column, ComparisonPage, ComparisonRow,
    CutawayPage, EngineCard, Family, FaultPage, FaultRow, FunctionRow, GlossaryPage, HomePage,
    IndexEntry, KeyFigure, Link, Missing, PageAside, PageWaiver, RowGroup, SearchPage, Shown,
    Standing, Term, UnitGroup, UnitRow, View, WalkBlock, WalkPart, WordGroup, WordRow,
};
use std::sync::Arc;

fn card(name: &str, title: &str, summary: &str, bore: f64, marks: usize) -> EngineCard {
    let key = |label: &str, shown: Shown, id: &str, mark| KeyFigure {
        label: label.into(),
        shown,
        plus_minus: None,
        anchor: format!("reading-{id}"),
        mark,
    };
    let mut key_figures =
        vec![key("metering bore", millimetres(bore, 2), "metering_bore", Mark::Computed)];
    if name == "Rowan" {
        let pressure = key("operating pressure", pressure(), "operating_pressure", Mark::Computed);
        key_figures.insert(0, pressure);
    }
    EngineCard {
        title: title.into(),
        name: name.into(),
        address: format!("engines/{}.html", name.to_lowercase()),
        summary: summary.into(),
        key_figures,
        coverage: coverage([9, 4, 11, 3, 1]),
        marks,
    }
}

fn entry(title: &str, address: &str, kind: &str, summary: &str) -> IndexEntry {
    IndexEntry {
        title: title.into(),
        address: address.into(),
        kind: kind.into(),
        summary: summary.into(),
    }
}

fn other_sheets() -> Vec<IndexEntry> {
    vec![
        entry("Bench notes", "notes/bench.html", "Article", "How the readings are taken."),
        entry("Safety", "safety.html", "Safety", "Before any tool is opened."),
        entry("Glossary", "glossary.html", "Glossary", "Words of the bench."),
        entry("How figures are checked", "checks.html", "Method", "What a mark is worth."),
        entry("Asides", "asides.html", "Method", ""),
    ]
}

fn comparisons() -> Vec<IndexEntry> {
    let summary = "The same sequence, a larger hole: what changes?";
    vec![
        entry("All families at one glance", "comparisons/all.html", "Comparison", ""),
        entry("Rowan and Ash", "comparisons/rowan-ash.html", "Comparison", summary),
    ]
}

/// First page.
pub(crate) fn home() -> View {
    let family = |name: &str, engines| Family {
        anchor: format!("family-{}", name.to_lowercase()),
        name: name.into(),
        engines,
    };
    let rowan = "A two-part valve for marking trees at arm's length: the switch opens the store, \
                 the shaft carries the bolt.";
    let page = HomePage {
        frame: frame("Index", "index.html", "Fernhollow Forest Workshop", "Tools that mark trees \
            with a pellet and compressed air, taken apart on the bench, measured and explained."),
        body_html: "<p>Every sheet here describes one engine. Its figures were measured on the \
            bench or taken from the maker's card, and everything that can be recomputed has been.</p>"
            .into(),
        families: vec![
            family("Hazel", vec![card("Hazel", "Hazel: one spool, one spring",
                "The oldest of them: a spool, a spring and no second thoughts.", 0.8, 0)]),
            family("Rowan", vec![
                card("Rowan", "Rowan: switch and shaft apart", rowan, 0.9, 1),
                card("Ash", "Ash: a diaphragm lets go", "A quick-exhaust vent instead of a hole.", 1.4, 0),
            ]),
        ],
        comparisons: comparisons(),
        articles: other_sheets(),
        coverage: coverage([31, 12, 40, 6, 1]),
        standing: Standing::default(),
    };
    View::Home(Box::new(page))
}

fn row(id: &str, meaning: &str, differs: bool, cells: Vec<Cell>) -> ComparisonRow {
    ComparisonRow {
        anchor: format!("row-{id}"),
        label: id.replace('_', " "),
        meaning: meaning.into(),
        setting: id == "operating_pressure",
        cells,
        differs,
    }
}

fn cell(engine: &str, id: &str, value: Shown) -> Cell {
    Cell {
        shown: Some(value),
        source: "bench".into(),
        origin: Some(format!("engines/{engine}.html#reading-{id}")),
        mark: Mark::OwnReading,
        ..Cell::default()
    }
}

fn rows() -> Vec<RowGroup> {
    let pressure_cell = Cell {
        mark: Mark::Computed,
        source: "card".into(),
        plus_minus: Some(shown("4 psi", "28 kPa", "4 psi", "")),
        ..cell("rowan", "operating_pressure", pressure())
    };
    let missing = |what: &str, why: &str| Cell {
        missing: Some(Missing { what: what.into(), why: why.into() }),
        ..Cell::default()
    };
    let bore = |engine: &str, value: f64| Cell {
        plus_minus: Some(millimetres(0.02, 2)),
        ..cell(engine, "metering_bore", millimetres(value, 2))
    };
    let larger = Cell {
        difference: Some(shown("+0.50 mm", "+0.50 mm", "+0.020 in", "0.0005")),
        ratio: Some("1.56\u{a0}×".into()),
        ..bore("ash", 1.4)
    };
    let smaller = Cell {
        difference: Some(shown("−0.10 mm", "−0.10 mm", "−0.004 in", "-0.0001")),
        ratio: Some("0.89\u{a0}×".into()),
        ..bore("hazel", 0.8)
    };
    let tail = |engine: &str| cell(engine, "tail_length", millimetres(31.0, 1));
    let borrowed = Cell { borrowed_from: "Hazel".into(), ..tail("rowan") };
    let same = Cell { equal: true, ..tail("hazel") };
    vec![
        RowGroup {
            label: "Pressures and times".into(),
            rows: vec![row(
                "operating_pressure",
                "What the regulator is set to.",
                true,
                vec![
                    pressure_cell,
                    missing("not known", "no gauge was at hand"),
                    missing("not measured", ""),
                ],
            )],
        },
        RowGroup {
            label: "Bores and lengths".into(),
            rows: vec![
                row(
                    "metering_bore",
                    "The hole that feeds the pilot room.",
                    true,
                    vec![bore("rowan", 0.9), larger, smaller],
                ),
                row(
                    "tail_length",
                    "",
                    false,
                    vec![borrowed, Cell { equal: true, ..tail("ash") }, same],
                ),
            ],
        },
    ]
}

/// A comparison of three engines.
pub(crate) fn comparison() -> View {
    let column = |name: &str, specimens, reference| Column {
        title: name.into(),
        address: format!("engines/{}.html", name.to_lowercase()),
        family: "Rowan".into(),
        specimens,
        reference,
    };
    let mut frame = frame(
        "Comparison",
        "comparisons/rowan-ash.html",
        "Rowan and Ash",
        "The same sequence, a larger hole: what changes?",
    );
    frame.contents = contents(&[("side-by-side", "Side by side"), ("hole", "What the hole does")]);
    let page = ComparisonPage {
        frame,
        columns: vec![column("Rowan", 1, true), column("Ash", 2, false), column("Hazel", 2, false)],
        groups: rows(),
        structure: None,
        claims: vec![],
        conditions: "Each engine at its own settings; ambient 101.325 kPa; pressures are gauge."
            .into(),
        body_html: "<h2 id=\"hole\">What the hole does</h2><p>A larger hole fills the pilot room \
            sooner, so the switch comes home sooner and less air leaves the store.</p>"
            .into(),
        standing: Standing { coverage: coverage([2, 0, 5, 0, 0]), ..Standing::default() },
        downloads: vec![],
    };
    View::Comparison(Box::new(page))
}

/// A comparison of more engines than fit beside each other.
pub(crate) fn wide_comparison() -> View {
    let names = ["Hazel", "Rowan", "Ash", "Sorrel", "Yew", "Oak", "Larch", "Rowan Deep"];
    let address = |name: &str| match name {
        "Hazel" | "Ash" => format!("engines/{}.html", name.to_lowercase()),
        _ => "engines/rowan.html".into(),
    };
    let columns = names.iter().enumerate().map(|(index, name)| Column {
        title: (*name).into(),
        address: address(name),
        specimens: 1,
        reference: index == 0,
        ..Column::default()
    });
    let value = |index: usize| Cell {
        plus_minus: Some(millimetres(0.02, 2)),
        difference: (index > 0).then(|| shown("+12.50 mm", "+12.50 mm", "+0.492 in", "0.0125")),
        ratio: (index > 0).then(|| "2.04\u{a0}×".into()),
        ..cell("rowan", "bolt_length", millimetres(24.0 + index as f64, 2))
    };
    let lengths = (0..30).map(|number| {
        let mut row =
            row(&format!("length_{number}"), "", number % 3 > 0, (0..8).map(value).collect());
        row.label = format!("length number {number}");
        row
    });
    let page = ComparisonPage {
        frame: frame("Comparison", "comparisons/all.html", "All families at one glance", ""),
        columns: columns.collect(),
        groups: vec![RowGroup { label: "Lengths".into(), rows: lengths.collect() }],
        conditions: "Each engine at its own settings.".into(),
        ..ComparisonPage::default()
    };
    View::Comparison(Box::new(page))
}

/// Running text with everything that running text can hold.
pub(crate) fn notes() -> View {
    let picture = Picture {
        address: "bolt.svg".into(),
        credit: "Drawing: M. Alder".into(),
        width: 640,
        height: 200,
    };
    let picture = parts::figure(&picture, "A bolt of 24 mm beside a scale");
    let (sign, back) = (parts::note_sign(1, true), parts::note_back(1));
    let (note, listing) = (parts::open_note(1), parts::open_listing("Listing 1"));
    let mut frame =
        frame("Article", "notes/bench.html", "Bench notes", "How the readings are taken.");
    frame.contents = contents(&[("caliper", "Caliper"), ("long", "Long things")]);
    let page = ArticlePage {
        frame,
        body_html: format!(
            "<h2 id=\"caliper\">Caliper</h2><p>Inside jaws read short on small bores.{sign} Use drill \
             shanks: <code>goes 1.0 mm, stops 1.1 mm</code>.</p>{picture}<ol><li>Wipe.<ul><li>Both \
             faces.</li></ul></li><li>Close and read zero.</li></ol><blockquote><p>Measure twice, \
             write once.</p></blockquote><dl><dt>go</dt><dd>A shank that enters.</dd></dl>\
             <h2 id=\"long\">Long things</h2><p>Averyveryverylongwordthatnobodywouldwritebutthatmuststillfit\
             thepageonaphone and more.</p>{listing}<code>\
             readings: {{is: 128 psi ± 4 psi, from: card, called: [operating pressure, working pressure, \
             line pressure]}}</code></pre><hr><div class=\"footnotes\">{note}<p>By up to \
             0.05 mm, common practice.</p></div>{back}</div></div>"
        ),
        standing: Standing::default(),
    };
    View::Article(Box::new(page))
}

/// The safety page, as an example of running text.
pub(crate) fn safety() -> View {
    let page = ArticlePage {
        frame: frame("Safety", "safety.html", "Safety", "Before any tool is opened."),
        body_html: "<h2 id=\"air\">Air is a spring</h2><p>Compressed air gives back what was put \
            into it, all at once.</p><h2 id=\"order\">In this order</h2><ol><li>Shut the supply.</li>\
            <li>Take the bottle off.</li><li>Vent.</li><li>Check at two places.</li></ol>".into(),
        standing: Standing::default(),
    };
    View::Article(Box::new(page))
}

/// A glossary.
pub(crate) fn glossary() -> View {
    let term = |anchor: &str, term: &str| Term { anchor: anchor.into(), term: term.into() };
    let page = GlossaryPage {
        frame: frame("Glossary", "glossary.html", "Glossary", "Words of the bench."),
        terms: vec![
            term("term-dwell", "dwell"),
            term("term-land", "land"),
            term("term-sail", "sail"),
        ],
        body_html:
            "<dl><dt id=\"term-dwell\">dwell</dt><dd>How long the pilot valve stays open.</dd>\
            <dt id=\"term-land\">land</dt><dd>The part of a spool that fills its bore.</dd>\
            <dt id=\"term-sail\">sail</dt><dd>The face of a bolt that the air pushes.</dd></dl>"
                .into(),
        standing: Standing::default(),
    };
    View::Glossary(Box::new(page))
}

const FAULTS: [(&str, &str, &str); 2] = [
    ("untied-figure", "A figure that no reading of the page is meant by.", "publishes with a mark"),
    ("over-precise", "A conversion with more digits than its source.", "publishes with a mark"),
];

/// How a cutaway is written.
pub(crate) fn cutaway() -> View {
    let block = |kind: &str, html: &str, lines: &str| WalkBlock {
        kind: kind.into(),
        html: html.into(),
        lines: lines.into(),
    };
    let word = WordRow {
        anchor: "word-statements-supply".into(),
        word: "supply".into(),
        form: "supply NAME".into(),
        meaning_html: "<p>A source of air.</p>".into(),
        note_html: "<p>It never runs out.</p>".into(),
        example: "supply bottle\n".into(),
        goes_on: false,
    };
    let asked = |name: &str| AskableRow {
        anchor: format!("question-{name}"),
        form: format!("{name}(rowan)"),
        meaning: "every run ends at rest".into(),
    };
    let page = CutawayPage {
        frame: frame("Method", "cutaway.html", "How a cutaway is written", ""),
        walk: vec![WalkPart {
            anchor: "step-1".into(),
            title: "The name".into(),
            blocks: vec![
                block("text", "<p>The first line names the engine.</p>", ""),
                block("cutaway", "", "cutaway maple\n"),
                block("page", "", "engine: maple\n"),
                block("says", "", "there is no chamber `tube`\n"),
            ],
        }],
        whole: "cutaway maple\n".into(),
        groups: vec![WordGroup {
            anchor: "group-statements".into(),
            label: "Statements".into(),
            words: vec![word],
        }],
        questions: vec![asked("ends_at_rest")],
        comparing: vec![asked("same_seals")],
    };
    View::Cutaway(Box::new(page))
}

/// How figures are checked.
pub(crate) fn checks() -> View {
    let fault = |(name, what, consequence): (&str, &str, &str)| FaultRow {
        name: name.into(),
        address: format!("faults/{name}.html"),
        what: what.into(),
        consequence: consequence.into(),
    };
    let unit = |symbol: &str, name: &str, spellings: &str, size: &str, ucum: &str| UnitRow {
        symbol: symbol.into(),
        name: name.into(),
        spellings: spellings.into(),
        size: size.into(),
        ucum: ucum.into(),
    };
    let page = ChecksPage {
        frame: frame(
            "Method",
            "checks.html",
            "How figures are checked",
            "What a mark is worth, \
            which rules figures are judged by, and which units and functions are understood.",
        ),
        conventions:
            "A pressure without a word is gauge pressure; the ambient pressure is taken as \
            101.325 kPa."
                .into(),
        coverage: coverage([31, 12, 40, 6, 1]),
        faults: FAULTS.into_iter().map(fault).collect(),
        functions: vec![FunctionRow {
            anchor: "function-circle_area".into(),
            signature: "circle_area(d)".into(),
            gives: "area".into(),
            doc: "Area of a circle of diameter d: π d² / 4.".into(),
            ..FunctionRow::default()
        }],
        units: vec![UnitGroup {
            kind: "Length".into(),
            units: vec![
                unit("mm", "millimetre", "millimeter, millimetres", "0.001 m", "mm"),
                unit("in", "inch", "\", inch, inches", "0.0254 m", "[in_i]"),
            ],
        }],
    };
    View::Checks(Box::new(page))
}

/// The fault catalogue.
pub(crate) fn faults() -> Vec<View> {
    let page = |(name, what, consequence): (&str, &str, &str)| {
        let words = name.replace('-', " ");
        let page = FaultPage {
            frame: frame("Fault", &format!("faults/{name}.html"), &words, what),
            name: name.into(),
            consequence: consequence.into(),
            what_html: format!("<p>{what}</p>"),
            misleads_html: "<p>A reader takes it for checked.</p>".into(),
            trips: "It gives about 40 shots between refills.".into(),
            message: "content/rowan.md:41  untied-figure\n  It gives about 40 shots\n                 ^^^^^^^^".into(),
            put_right: "It gives [about 40 shots](by: shots_per_bottle) between refills.".into(),
            let_pass_html: "<p>When the figure is nobody's business: say so with an aside.</p>".into(),
            related: vec![Link::new("All faults", "checks.html#faults")],
        };
        View::Fault(Box::new(page))
    };
    FAULTS.into_iter().map(page).collect()
}

/// Asides and waivers.
pub(crate) fn asides() -> View {
    let page = AsidesPage {
        frame: frame(
            "Method",
            "asides.html",
            "Asides",
            "What is not ours to check, and what is let pass.",
        ),
        asides: vec![PageAside {
            page: Link::new("Rowan: switch and shaft apart", "engines/rowan.html#aside-1"),
            text: "300 bar".into(),
            because: "bottle rating, common practice".into(),
        }],
        waivers: vec![PageWaiver {
            page: Link::new("Rowan: switch and shaft apart", "engines/rowan.html#waiver-1"),
            fault: Link::new("over-precise", "faults/over-precise.html"),
            at: "8.826 bar".into(),
            because: "the card prints it so".into(),
            on: "2026-04-02".into(),
        }],
    };
    View::Asides(Box::new(page))
}

/// Search, with all pages.
pub(crate) fn search() -> View {
    let mut pages = other_sheets();
    pages.extend(comparisons());
    for (name, title) in [
        ("ash", "Ash: a diaphragm lets go"),
        ("hazel", "Hazel: one spool, one spring"),
        ("rowan", "Rowan: switch and shaft apart"),
    ] {
        pages.push(entry(title, &format!("engines/{name}.html"), "Engine", ""));
    }
    let frame =
        frame("Index", "search.html", "Search", "Words, headings, or a number with its unit.");
    View::Search(Box::new(SearchPage { frame, pages }))
}

/// A page of a draft.
pub(crate) fn draft() -> View {
    let mut frame = frame("Article", "draft.html", "A draft", "");
    Arc::make_mut(&mut frame.site).draft = true;
    View::Article(Box::new(ArticlePage { frame, ..ArticlePage::default() }))
}
