//! What statements come to, on two invented engines: one, and the one that was made from it.

use crate::folio::{self, Files};
use crate::proof::judge;
use crate::text::Source;
use std::sync::Arc;

const ALDER: &str = "---
title: Alder
engine: alder
called: [lighter one]
sources: {bench: {kind: measured}}
readings_from: bench
readings:
  ram_mass: {is: 21.0 g ± 0.1 g, called: [weight of the ram]}
  ram_travel: {is: 12.0 mm ± 0.1 mm, called: [stroke]}
  store_volume: {is: 30.0 cm³ ± 0.2 cm³, called: [store]}
  dart_speed: {is: 50 m/s ± 1 m/s, called: [speed of the dart]}
  jet: {is: 1.0 mm ± 0.02 mm, called: [jet]}
  slots: {is: 4, called: [slots]}
---
";
const ALDER_TWO: &str = "---
title: Alder Two
engine: alder_two
descends_from: alder
sources: {bench: {kind: measured}}
readings_from: bench
readings:
  ram_mass: {is: 18.0 g ± 0.1 g, called: [weight of the ram]}
  ram_travel: {is: 12.0 mm ± 0.1 mm, called: [stroke]}
  store_volume: {is: 45.0 cm³ ± 0.2 cm³, called: [store]}
  dart_speed: {is: 51 m/s ± 1 m/s, called: [speed of the dart]}
  jet: {is: 1.5 mm ± 0.02 mm, called: [jet]}
  slots: {is: 6, called: [slots]}
---

";
const CUTAWAY: &str = "cutaway alder_two
supply line
chamber dome   role drive
chamber cradle role return
chamber store  role store
chamber breech role breech
way feed  from line to cradle
way jet   from line to store  narrow
way gap   from store to breech  while ram from opening
valve pilot  3/2  solenoid
  rest     joins dome to open_air
  shifted  joins line to dome
  shifts   on trigger
  returns  after dwell
barrel  from breech
ball dart  in breech  fed while ram at back
moving ram  as spool
  positions back, opening, front
  rests back
  face crown  in dome    pushes forward
  face skirt  in cradle  pushes back
seal crown_ring  on ram   between dome and cradle   size -014
seal neck_ring   in body  between cradle and store  size -011
fact ram.crown larger than ram.skirt  (reckoned)
order dart leaves before pilot returns  (seen)
order ram reaches front before dart leaves  (seen)
";

const SIDE_BY_SIDE: &str = "---
title: Side by side
compare: [alder, alder_two]
---

";

/// A page about no engine.
const ARTICLE: &str = "---
title: On the bench
---

";

/// A folio of two engines: their pages by name, and their cutaways by name.
struct TwoEngines {
    pages: [(&'static str, &'static str); 2],
    cutaways: &'static [(&'static str, &'static str)],
}

const ALDERS: TwoEngines = TwoEngines {
    pages: [("content/alder.md", ALDER), ("content/alder_two.md", ALDER_TWO)],
    cutaways: &[("diagrams/alder_two.cut", CUTAWAY)],
};

/// Two engines of different families, with revisions and timelines.
const MARKERS: TwoEngines = TwoEngines {
    pages: [
        ("content/aspen.md", include_str!("markers/aspen.md")),
        ("content/willow.md", include_str!("markers/willow.md")),
    ],
    cutaways: &[
        ("diagrams/aspen.cut", include_str!("markers/aspen.cut")),
        ("diagrams/willow.cut", include_str!("markers/willow.cut")),
    ],
};

/// The second engine with a seal that seals only behind, two pushes one way, and a home in front.
const STATES: TwoEngines = TwoEngines {
    cutaways: &[("diagrams/alder_two.cut", include_str!("markers/states.cut"))],
    ..ALDERS
};

impl TwoEngines {
    /// One of the pages, a page that sets the two side by side (2) or one about neither (3), with
    /// sentences as its paragraphs, judged: the standings of each.
    fn standings(&self, index: usize, sentences: &[&str]) -> Vec<String> {
        let further = if index == 3 { ARTICLE } else { SIDE_BY_SIDE };
        let mut page = self.pages.get(index).map_or(further, |(_, page)| *page).to_owned();
        let index = index.min(self.pages.len());
        let lines: Vec<usize> = sentences
            .iter()
            .map(|sentence| {
                page.push_str(&format!("\n{sentence}\n"));
                page.lines().count()
            })
            .collect();
        let imprint = Source::new("content/imprint.yaml", "title: Alders\npressure: gauge\n");
        let cutaways = self.cutaways.iter().map(|(name, text)| Source::new(*name, *text)).collect();
        let files = Files { imprint: Some(imprint), cutaways, ..Files::default() };
        let mut names: Vec<String> = self.pages.map(|(name, _)| name.to_owned()).to_vec();
        if names.len() == index {
            names.push("content/zz.md".to_owned());
        }
        let load = |name: &str| {
            let known = self.pages.iter().find(|(known, _)| *known == name);
            let others = known.filter(|_| names[index] != name);
            Ok(Source::new(name, others.map_or(page.as_str(), |(_, page)| *page)))
        };
        let (folio, _) = folio::read(&names, files, &load);
        let source = Source::new(&names[index], page.as_str());
        let proof = judge(&Arc::new(folio), index, &source);
        let line_of = |start: usize| page[..start].matches('\n').count() + 1;
        let of_line = |line: &usize| {
            let here = proof.statements.iter().filter(|(_, judged)| {
                let start = judged.spot.span.start;
                line_of(start) == *line
            });
            here.map(|(_, judged)| judged.standing.word()).collect::<Vec<_>>().join(", ")
        };
        lines.iter().map(of_line).collect()
    }

    /// The lines of a list that do not come out as they say: `~` is not read yet or counted as
    /// open, `!` is read wrongly, and a mark that no longer holds has to go.
    fn amiss(&self, index: usize, told: &[(&str, &str)]) -> Vec<String> {
        let sentences: Vec<&str> = told.iter().map(|(_, sentence)| *sentence).collect();
        let found = self.standings(index, &sentences).into_iter();
        let told = told.iter().zip(found).filter_map(|((expected, sentence), found)| {
            // A sentence that says two things fails if one of them does.
            let found = match found.as_str() {
                "" => "none",
                words if words.contains("does not hold") => "fails",
                words if words.contains("open") || words.contains("not judged") => "open",
                _ => "holds",
            };
            let is_right = match expected.split_once(' ') {
                Some(("~", expected)) => matches!(found, "none" | "open") && expected != found,
                Some(("!", expected)) => found != expected && found != "none",
                _ => found == *expected,
            };
            (!is_right).then(|| format!("{expected} | {sentence} -> {found}"))
        });
        told.collect()
    }
}

/// How a sentence on the page of the second engine comes out; empty where it is no statement.
fn standing(sentence: &str) -> String {
    ALDERS.standings(1, &[sentence]).remove(0)
}

/// The lines of a file of sentences, with what each is to come to.
fn told(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.filter_map(|line| line.split_once(" | "))
}

#[test]
fn sentences_as_writers_put_them_come_out_right() {
    let told: Vec<(&str, &str)> = told(include_str!("sentences.txt")).collect();
    let amiss = ALDERS.amiss(1, &told);
    assert!(amiss.is_empty(), "{}", amiss.join("\n"));
    assert!(200 < told.len(), "the file is read");
}

#[test]
fn sentences_about_two_families_come_out_right() {
    let told: Vec<(&str, &str)> = told(include_str!("markers/sentences.txt")).collect();
    for (index, name) in ["Aspen", "Willow"].into_iter().enumerate() {
        let of_page = told.iter().filter(|(_, line)| line.starts_with(name));
        let lines: Vec<(&str, &str)> =
            of_page.map(|(expected, line)| (*expected, &line[name.len() + 2..])).collect();
        let amiss = MARKERS.amiss(index, &lines);
        assert!(amiss.is_empty(), "{name}: {}", amiss.join("\n"));
        assert!(50 < lines.len(), "the file is read");
    }
}

#[test]
fn what_the_question_does_not_carry_is_not_counted_as_holding() {
    let told = [
        // The neck ring seals only behind; the crown ring always.
        ("The neck ring keeps the cradle from the store.", "holds"),
        ("With the ram at the back the neck ring keeps the cradle from the store.", "holds"),
        ("With the ram at the opening the neck ring keeps the cradle from the store.", "fails"),
        ("The neck ring keeps the cradle from the store even with the ram forward.", "fails"),
        ("At rest the neck ring parts the cradle from the store.", "holds"),
        ("During the shot the neck ring keeps the cradle and the store apart.", "open"),
        ("In the second stage the neck ring still parts the cradle from the store.", "open"),
        ("The neck ring parts the cradle from the store right to the end of the run.", "open"),
        ("During the shot the crown ring keeps the dome and the cradle apart.", "holds"),
        ("The crown ring parts the dome from the cradle as long as the pilot is on.", "holds"),
        // The pilot joins the dome to the line only once it has shifted.
        ("At rest the pilot feeds the dome.", "fails"),
        ("At rest the pilot joins the line to the dome.", "fails"),
        ("At rest the pilot vents the dome.", "holds"),
        ("With the pilot shifted, the dome is joined to the line.", "holds"),
        ("During the shot the pilot feeds the dome.", "open"),
        ("At rest the gap joins the store to the breech.", "fails"),
        ("At rest the jet joins the line to the store.", "holds"),
        // A spring and a face push it forward.
        ("The helper pushes the ram forward.", "holds"),
        ("Only the helper pushes the ram forward.", "open"),
        ("Nothing but the helper pushes the ram forward.", "open"),
        ("The helper alone pushes the ram forward.", "open"),
        ("Only the air in the cradle pushes the ram back.", "holds"),
        ("The helper pushes the ram forward with 90 N.", "open"),
        ("At rest the air in the dome pushes the ram forward.", "open"),
        // "Home" is where a thing rests, or the place of that name.
        ("The air in the cradle brings the ram home.", "open"),
        ("The air in the cradle does not bring the ram home.", "open"),
        ("The air in the dome brings the ram home.", "open"),
        ("The ram has come home before the dart leaves.", "open"),
        ("The ram is home before its dart is out.", "open"),
        ("Only the Two has six slots.", "open"),
        // A length is no ratio, and a room for error no bound.
        ("The Two's jet is a fifth of a millimetre wider than the Alder's.", "fails"),
        ("The speed of the dart is good to within two m/s.", "open"),
        ("The weight of the ram is held within 2 g.", "open"),
        ("In the Two alone the jet joins the line to the store.", "open"),
        ("A bleed hole joins the store to the breech.", "open"),
    ]
    .map(|(sentence, expected)| (expected, sentence));
    let mut amiss = STATES.amiss(1, &told);
    // What is left alone may be counted as open, or not at all.
    amiss.retain(|it| !(it.starts_with("open") && it.ends_with("none")));
    assert!(amiss.is_empty(), "{}", amiss.join("\n"));
}

#[test]
fn comparisons_are_judged_by_the_readings() {
    for (sentence, expected) in [
        ("The Two's ram is lighter than the old one's.", "holds"),
        ("The ram is lighter on the Two.", "holds"),
        ("The Two's ram weighs more than the Alder's.", "does not hold"),
        ("I think the Two's store is half as large again as the Alder's.", "holds"),
        ("The Two's store holds less than the Alder's.", "does not hold"),
        // 50 ± 1 and 51 ± 1.
        ("The Two throws its dart faster than the Alder does.", "open"),
        ("The stroke was not changed for the Two.", "holds"),
        ("The ram weighs the same in both.", "does not hold"),
        ("The jet was opened out from 1.0 mm to 1.4 mm.", "does not hold"),
        ("The ram weighs less than twenty grams.", "holds"),
        ("Four slots became six.", "holds"),
        ("There are five slots in the Two.", "does not hold"),
        ("The hose of the Two is wider than that of the Alder.", "open"),
    ] {
        assert_eq!(standing(sentence), expected, "{sentence}");
    }
}

#[test]
fn rooms_are_judged_by_the_cutaway_in_whatever_order_they_are_told() {
    for (sentence, expected) in [
        ("What keeps the dome from the cradle is the crown ring.", "holds"),
        ("Between the cradle and the store sits nothing but the neck ring.", "holds"),
        ("The crown ring seals the dome off from the store.", "does not hold"),
        ("The ram is driven forward by the air in the dome.", "holds"),
        ("It is the air in the cradle that sends the ram forward.", "does not hold"),
        ("Through the jet the store is fed from the line.", "holds"),
        ("The jet feeds the dome from the line.", "does not hold"),
        ("While the ram is back, the gap is shut.", "holds"),
        ("As long as the ram is at the front, store and breech are joined.", "holds"),
    ] {
        assert_eq!(standing(sentence), expected, "{sentence}");
    }
}

#[test]
fn names_that_share_a_word_are_no_end_of_the_program() {
    let sentence = "The lighter one has a ram of 21 g and a store of 30.";
    assert_eq!(ALDERS.standings(2, &[sentence]).len(), 1, "{sentence}");
}

#[test]
fn orders_are_judged_by_every_run() {
    for (sentence, expected) in [
        ("The ram does not set off until the dome has filled.", "holds"),
        ("The pilot comes on, then the dome fills, and only then does the ram start.", "holds"),
        ("The gap opens before the dome fills.", "does not hold"),
        ("The pilot is switched off after the dart has gone.", "holds"),
        ("First the dome is vented, then the ram turns round.", "holds"),
        ("The ram turns back before the dome is vented.", "does not hold"),
        ("The gap is cut off first and the dome vented only afterwards.", "does not hold"),
        ("The pilot is switched off before the dart is out.", "does not hold"),
        // Nothing tells when it stirs between the opening of the gap and its leaving.
        ("The dart stirs before the ram reaches the front.", "open"),
        ("The dart stirs once the gap has opened.", "holds"),
    ] {
        assert_eq!(standing(sentence), expected, "{sentence}");
    }
}

#[test]
fn what_claims_nothing_is_not_judged() {
    for sentence in [
        "A lighter ram might be quicker than this one.",
        "Is the Two's ram lighter than the Alder's?",
        "Fitting the ring is half the battle.",
        "The Two is second to none.",
        "Before you open it, let the store empty.",
        "The heaviest part of any week is Monday.",
        "An earlier sketch gave the Two a smaller store.",
    ] {
        assert_eq!(standing(sentence), "", "{sentence}");
    }
}

#[test]
fn a_page_about_no_engine_is_read_where_words_name_one_or_mean_both() {
    let told = [
        ("holds", "The ram of Alder is heavier than that of Alder Two."),
        ("fails", "The ram of Alder Two is heavier than that of Alder."),
        ("holds", "Both engines have the same stroke."),
        ("holds", "The Two has a larger store than Alder."),
        ("none", "The bench is heavier than the lamp, and the lamp was lit before it was moved."),
    ];
    let amiss = ALDERS.amiss(3, &told);
    assert!(amiss.is_empty(), "{}", amiss.join("\n"));
}
