//! What one would notice of an engine with something wrong. Expectations are by the eye of whoever
//! wrote the engine: common practice, no source.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

use gaugebook::cutaway::{self, Engine, event_words};
use gaugebook::faults::{
    Noticed, SoundEngine, Symptom, explored, noticed, otherwise, single_faults, symptoms,
    what_is_wrong,
};
use gaugebook::logic::{Ending, Exploration, explore};
use gaugebook::slip::{Paint, Severity, render};
use gaugebook::text::Source;
use std::path::Path;
use std::sync::Arc;

/// A dart thrower: a spool that a valve blows forward, which lets the store out behind the dart.
const MAPLE: &str = include_str!("maple.cut");

/// A seed thrower with a slide of its own that blows the bolt forward against a cushion of air.
const HORNBEAM: &str = include_str!("hornbeam.cut");

struct Read {
    source: Arc<Source>,
    engine: Engine,
    sound: Exploration,
}

fn read(text: &str) -> Read {
    let source = Source::new("maple.cut", text);
    let (engine, slips) = cutaway::read(&source, &|_| None);
    let stops = slips.iter().filter(|slip| slip.severity == Severity::Stop);
    let stops: Vec<String> = stops.map(|slip| render(slip, Paint::plain())).collect();
    assert!(stops.is_empty(), "{}", stops.join("\n"));
    let sound = explore(&engine);
    Read { source, engine, sound }
}

impl Read {
    fn beside(&self) -> SoundEngine<'_> {
        SoundEngine::new(&self.engine, &self.sound)
    }

    fn engine_of(&self, name: &str) -> Engine {
        let all = cutaway::revisions(&self.source, &|_| None);
        let id = format!("{}.{name}", self.engine.name.id);
        all.into_iter().find(|it| it.name.id == id).unwrap()
    }

    fn variant(&self, name: &str) -> Vec<Noticed> {
        let variant = self.engine_of(name);
        noticed((&variant, &explored(&variant, &self.beside())), &self.beside())
    }

    /// All that is told of a variant: what is wrong, and of what is noticed first the run and
    /// where the air goes.
    fn story(&self, name: &str) -> String {
        let variant = self.engine_of(name);
        let mut told = what_is_wrong(&variant, &self.engine);
        let found = explored(&variant, &self.beside());
        let seen = noticed((&variant, &found), &self.beside());
        let first = seen.first().map(|it| {
            [it.symptom.told(&it.place), it.run.clone(), it.air.clone().unwrap_or_default()]
        });
        told.extend(first.into_iter().flatten());
        told.join("\n")
    }
}

fn words(told: &[Noticed]) -> Vec<String> {
    told.iter().map(|it| it.symptom.told(&it.place)).collect()
}

/// What each variant shows first, and which word its run has to name.
const FIRST: [(&str, &str, &str); 10] = [
    ("torn", "hisses at rest, out of the neck", "the tear"),
    ("tail_out", "the ball does not leave", "push is always empty"),
    ("stuck_vent", "the spool does not come home", "the push on the tail pushes the spool forward"),
    ("swapped", "fires by itself, the spool first", "the push"),
    ("no_spring", "the spool does not come home", "nothing pushes the spool back"),
    ("no_dwell", "the ball does not leave", "“push fills” never comes"),
    ("no_dart", "the ball does not leave", "no dart is there"),
    ("jammed", "the bell does not move", "it is jammed"),
    // Nothing waits for the bell, so who fires it notices the shot.
    ("quiet", "fires weaker", "the dump"),
    ("pocket", "is not ready for the next shot", "the pocket"),
];

#[test]
fn each_variant_is_noticed_by_what_one_would_notice_first() {
    let maple = read(MAPLE);
    assert!(maple.sound.always_ends_at_rest());
    for (name, first, named) in FIRST {
        let told = maple.variant(name);
        assert_eq!(words(&told).first().map(String::as_str), Some(first), "{name}: {told:#?}");
        assert!(told[0].run.contains(named), "{name}: {}", told[0].run);
        assert!(told[0].always, "{name}");
    }
}

/// Of each variant what is noticed first, and every name that the explanation needs: what sits
/// wrong, where the air goes, what moves or does not.
const NAMED: [(&str, &str, &[&str]); 13] = [
    ("tail_out", "the ball does not leave", &["tail ring is left out", "ram room", "bolt"]),
    (
        "cup_turned",
        "hisses at rest, past the collar cup",
        &["collar cup sits the wrong way round", "cushion"],
    ),
    ("nose_worn", "hisses at rest, out of the gap", &["nose ring leaks", "store", "neck"]),
    ("dirt", "the bolt does not come home", &["drain is clogged", "air stays in the ram room"]),
    ("numb", "the ball does not leave", &["button never shifts", "slide", "cap room"]),
    // What the hand works it feels, before it hears the air and sees the slide.
    ("sticky", "the button does not come home", &["button never returns", "cap room", "foot"]),
    ("swapped", "fires by itself, the bolt first", &["feed", "drain", "slide", "ram room"]),
    ("torn", "fires by itself, the bolt first", &["tear", "ram room", "cushion"]),
    ("rusted", "the stirrer does not move", &["stirrer is jammed"]),
    ("tired", "the stirrer does not come home", &["stir spring of the stirrer is broken"]),
    ("weak", "fires weaker", &["main holds no more than low"]),
    ("hungry", "the ball does not leave", &["no acorn"]),
    ("wedged", "the ball does not leave", &["bolt is blocked forward while slide at pass"]),
];

#[test]
fn every_explanation_names_what_sits_wrong_and_where_the_air_goes() {
    let hornbeam = read(HORNBEAM);
    assert!(hornbeam.sound.always_ends_at_rest(), "{:#?}", hornbeam.sound.endings);
    let mut missing = Vec::new();
    for (name, first, names) in NAMED {
        let story = hornbeam.story(name);
        let told = words(&hornbeam.variant(name));
        if told.first().map(String::as_str) != Some(first) {
            missing.push(format!("{name}: {told:?} instead of {first}\n{story}"));
        }
        let lacks: Vec<&&str> = names.iter().filter(|it| !story.contains(**it)).collect();
        if !lacks.is_empty() {
            missing.push(format!("{name}: {lacks:?} not in\n{story}"));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n\n"));
}

/// An order was seen on the sound engine; where a variant touches what brings one of its events
/// about, it proves nothing there, and what it ruled out may happen.
#[test]
fn an_order_says_nothing_of_a_variant_that_touches_its_reason() {
    let maple = read(MAPLE);
    let variant = maple.engine_of("slow_blow");
    let found = explored(&variant, &maple.beside());
    assert_eq!(found.void_orders.len(), 2, "{:#?}", found.void_orders);
    let told = maple.variant("slow_blow");
    let stays = told.iter().find(|it| it.symptom == Symptom::BallStays).unwrap();
    assert!(!stays.always, "{told:#?}");
    // What does not touch it keeps it.
    let rusted = maple.engine_of("jammed");
    assert!(explored(&rusted, &maple.beside()).void_orders.is_empty());
}

/// A valve that comes back later, or not at all, has no part in what was over by then.
#[test]
fn a_valve_that_returns_at_another_time_leaves_the_orders_before_it() {
    let order = "order bell reaches up before dart leaves (seen)\n";
    let maple = read(&MAPLE.replacen("variant torn", &format!("{order}\nvariant torn"), 1));
    let held = maple.engine_of("held");
    let doubted = explored(&held, &maple.beside()).void_orders;
    let doubted: Vec<String> = doubted.iter().map(|it| event_words(&held, it.first)).collect();
    assert_eq!(doubted, ["push fills", "dart leaves"]);
}

/// A seal that is left out, and the way that the writer put in its place, are one thing.
#[test]
fn a_gap_where_a_seal_was_is_told_once() {
    let lines = "variant holed \"the ring at the nose is out\"\n  without seal nose_ring\n  \
                 way gap  from store to tube  while spool before front\n\nvariant torn";
    let maple = read(&MAPLE.replacen("variant torn", lines, 1));
    let wrong = what_is_wrong(&maple.engine_of("holed"), &maple.engine);
    assert_eq!(wrong, ["the nose ring is left out: air passes by the gap"]);
}

#[test]
fn a_variant_that_changes_nothing_shows_nothing() {
    assert_eq!(read(MAPLE).variant("held"), []);
}

#[test]
fn where_the_air_goes_is_told_from_the_supply_to_the_open_air() {
    let told = read(MAPLE).variant("torn");
    assert_eq!(
        told[0].air.as_deref(),
        Some(
            "air goes from the line through the fill to the store, through the tear to the tube and \
             through the neck to the open air"
        )
    );
}

#[test]
fn a_symptom_leads_back_to_what_to_look_at() {
    let maple = read(MAPLE);
    let table = symptoms(&maple.beside());
    let culprits = |symptom: Symptom, place: &str| -> Vec<&str> {
        let entry = table.entries.iter().find(|it| it.symptom == symptom && it.place == place);
        let entry = entry.unwrap_or_else(|| panic!("{symptom:?} {place} in {table:#?}"));
        entry.culprits.iter().map(|it| it.what.as_str()).collect()
    };
    assert_eq!(culprits(Symptom::HissesAtRest, "out of the neck"), ["the nose ring leaks"]);
    assert_eq!(culprits(Symptom::HissesFiring, "past the tail ring"), ["the tail ring leaks"]);
    assert!(
        culprits(Symptom::NotHome, "the spool")
            .contains(&"the return spring of the spool is broken")
    );
    assert!(culprits(Symptom::NotRefilled, "the store").contains(&"the fill is clogged"));
    assert!(culprits(Symptom::BallStays, "").contains(&"the tail ring leaks"));
}

/// Whatever is wrong with the demo's engines, it is followed within the bounds, and the sound
/// engine beside itself shows nothing.
#[test]
fn the_faults_of_the_demo_are_followed_and_sound_engines_show_none() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("diagrams");
    let others = |name: &str| -> Option<Arc<Source>> {
        let path = folder.join(format!("{name}.cut"));
        Some(Source::new(format!("{name}.cut"), std::fs::read_to_string(path).ok()?))
    };
    for name in ["rowan", "rowan_deep", "ash", "hazel", "larch", "oak", "sorrel", "yew"] {
        let source = others(name).unwrap();
        let (engine, _) = cutaway::read(&source, &others);
        let sound = explore(&engine);
        let beside = SoundEngine::new(&engine, &sound);
        assert_eq!(noticed((&engine, &sound), &beside), [], "{name}");
        let faults = single_faults(&engine);
        let leaks = faults.iter().filter(|fault| fault.what.ends_with("leaks")).count();
        assert_eq!(leaks, engine.seals.len(), "{name}");
        for variant in cutaway::revisions(&source, &others) {
            let found = explored(&variant, &beside);
            assert!(!found.is_cut_short, "{}", variant.name.id);
        }
    }
}

/// That it goes on cycling is told where its runs do, and said of every run only where all do; also
/// of an engine that starts so by itself.
#[test]
fn what_goes_on_cycling_is_told_wherever_runs_do() {
    let mut untouched = 0;
    for text in [MAPLE, HORNBEAM, ASPEN, JUNIPER] {
        let own = read(text);
        for engine in cutaway::revisions(&own.source, &|_| None) {
            let found = explored(&engine, &own.beside());
            let told = noticed((&engine, &found), &own.beside());
            let goes_on = |(_, ending): &&(usize, Ending)| matches!(ending, Ending::Repeats(_));
            let cycling = found.endings.iter().filter(goes_on).count();
            let it = told.iter().find(|it| it.symptom == Symptom::Repeats);
            let wanted = (cycling > 0).then_some(cycling == found.endings.len());
            assert_eq!(it.map(|it| it.always), wanted, "{}", engine.name.id);
            let starts = told.iter().any(|it| it.symptom == Symptom::FiresByItself);
            untouched += usize::from(starts && it.is_some());
        }
    }
    assert!(0 < untouched, "none goes on cycling before the trigger is pulled");
}

/// A lid that its spring shuts on what is left in the tank.
const BRACKEN: &str = include_str!("bracken.cut");

/// The lid without its spring is shut by the air above it, once the tap has come back: what shut
/// it in the sound engine does not, so that it comes before the tap returns says nothing here.
#[test]
fn an_order_of_what_a_broken_spring_brings_about_holds_nothing_back() {
    let bracken = read(BRACKEN);
    assert!(bracken.sound.always_ends_at_rest(), "{:#?}", bracken.sound.endings);
    assert_eq!(words(&bracken.variant("limp")), [""; 0]);
}

/// A plug thrower that is cocked by hand.
const ASPEN: &str = include_str!("aspen.cut");

/// What is told of how hard it fires and how fast it is ready again.
const STRENGTH: [(&str, &str, &str); 5] = [
    ("low_main", "fires weaker", "does not reach high"),
    ("tight", "fires weaker", "the mouth, at its narrowest narrow, not wide"),
    ("by_the_plug", "fires weaker", "through the leak past the plug ring"),
    (
        "slow_fill",
        "the store refills more slowly",
        "the fill, at its narrowest a bleed, not narrow",
    ),
    ("gushing", "hisses while firing, out of the barrel", "the fill"),
];

#[test]
fn what_makes_a_shot_weaker_or_slower_is_told_with_its_reason() {
    let aspen = read(ASPEN);
    assert!(aspen.sound.always_ends_at_rest(), "{:#?}", aspen.sound.endings);
    let mut missing = Vec::new();
    for (name, symptom, reason) in STRENGTH {
        let told = aspen.variant(name);
        let it = told.iter().find(|it| it.symptom.told(&it.place) == symptom);
        if !it.is_some_and(|it| it.run.contains(reason)) {
            missing.push(format!("{name}: {symptom} because of {reason} not in {told:#?}"));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// A store that never fills throws nothing, so it throws no weaker either.
#[test]
fn nothing_is_said_of_the_strength_of_a_shot_that_does_not_come() {
    let told = words(&read(ASPEN).variant("dirt"));
    assert!(told.iter().all(|it| !it.contains("weaker") && !it.contains("harder")), "{told:?}");
}

/// The slide cocks and is not the trigger: a shot that comes on pushing it home comes by itself.
#[test]
fn a_shot_on_pushing_the_slide_home_comes_without_the_trigger() {
    let told = read(ASPEN).variant("no_sear");
    let first = "fires by itself as soon as the slide is released, without the trigger";
    assert_eq!(words(&told).first().map(String::as_str), Some(first), "{told:#?}");
}

/// What moves no more stays where it is said to stand; what only rests elsewhere still moves.
#[test]
fn a_part_may_be_jammed_or_rest_elsewhere_than_in_the_sound_engine() {
    let aspen = read(ASPEN);
    let told = aspen.variant("caught");
    assert_eq!(words(&told).first().map(String::as_str), Some("the ball does not leave"));
    let wrong = |name: &str| what_is_wrong(&aspen.engine_of(name), &aspen.engine);
    assert_eq!(wrong("caught")[0], "the hammer is jammed: it stays at cocked");
    assert_eq!(wrong("left_cocked"), ["the hammer rests at cocked, not down"]);
    let told = words(&aspen.variant("left_cocked"));
    assert!(!told.iter().any(|it| it.starts_with("fires by itself")), "{told:?}");
}

/// A bung thrower whose slide stands forward, and whose pin is down, until the air is on.
const JUNIPER: &str = include_str!("juniper.cut");

/// What is noticed first of an engine that is filled before it is fired, and how that is told.
const FILLED: [(&str, &str, &str); 4] = [
    ("leaky", "hisses at rest, out of the port", "through the fill to the store"),
    ("low", "the ball does not leave", "the slide never comes to back"),
    ("dirt", "fires only once", "after the shot the cushion is full, not empty"),
    ("open_mouth", "fires by itself, the bung first", "when the air is turned on"),
];

/// Only what throws the ball or goes on for ever fires by itself: parts that stand otherwise while
/// no air is in, and come up with it or do not, do not.
#[test]
fn what_only_happens_while_the_engine_fills_is_no_shot() {
    let juniper = read(JUNIPER);
    assert!(juniper.sound.always_ends_at_rest(), "{:#?}", juniper.sound.endings);
    for (name, first, run) in FILLED {
        let told = juniper.variant(name);
        assert_eq!(words(&told).first().map(String::as_str), Some(first), "{name}: {told:#?}");
        assert!(told[0].run.contains(run), "{name}: {}", told[0].run);
        assert!(told[0].always, "{name}");
    }
    let leaky = juniper.variant("leaky");
    let pin = leaky.iter().find(|it| it.place == "the gauge pin").unwrap();
    assert!(
        pin.run.starts_with("when the air is turned on, the gauge pin comes no further than down")
    );
    let bypassed = words(&juniper.variant("bypassed"));
    // The hand feels the tap, then all the air goes, then one sees the slide.
    let order = [
        "the tap does not come home",
        "goes on hissing after the shot, out of the barrel",
        "the slide does not come home",
    ];
    assert_eq!(bypassed[..3], order);
    let low = words(&juniper.variant("low"));
    assert!(low.contains(&"the slide does not come home".to_owned()), "{low:?}");
}

/// A spring that pushes no more only hastens what it pushed against: what came first still does.
/// And a port that is shut at rest changes nothing before the valve has shifted and come back.
#[test]
fn an_order_is_kept_where_what_is_wrong_could_not_turn_it() {
    let maple = read(MAPLE);
    for name in ["no_spring", "stuck_vent"] {
        let variant = maple.engine_of(name);
        let doubted = explored(&variant, &maple.beside()).void_orders;
        assert!(doubted.is_empty(), "{name}: {doubted:?}");
        assert!(maple.variant(name).iter().all(|it| it.symptom != Symptom::BallStays), "{name}");
    }
}

#[test]
fn an_order_that_a_variant_states_is_part_of_what_is_wrong() {
    let wrong = what_is_wrong(&read(MAPLE).engine_of("no_dwell"), &read(MAPLE).engine);
    assert!(
        wrong.iter().any(|it| it.contains("when the dwell is over, comes before")),
        "{wrong:?}"
    );
}

/// Of what stays the first in the shot keeps the rest: without its spring the pilot stays shifted,
/// and with it the spool. How hard it fires comes before what is only heard while it fires.
#[test]
fn what_is_told_first_follows_from_what_it_costs() {
    let shifted = "  shifted  joins nothing\n  shifts   on trigger\n  returns  after dwell";
    let held = "  shifted  joins nothing\n  shifts   while trigger";
    assert!(MAPLE.contains(shifted));
    let held = MAPLE.replace(shifted, held);
    let text: String =
        held.split_inclusive('\n').filter(|line| !line.contains("pilot returns")).collect();
    let maple = read(&format!(
        "{text}variant limp \"the spring of the pilot is broken\"\n  broken pilot\n"
    ));
    let told = words(&maple.variant("limp"));
    assert_eq!(
        told[..2],
        ["the pilot does not come home", "the spool does not come home"],
        "{told:?}"
    );
    let told = words(&read(ASPEN).variant("by_the_plug"));
    assert_eq!(told[0], "fires weaker", "{told:?}");
}

/// A gate that waits for the bolt; one that opens with the trigger lets the pot blow off, and what
/// drives the pip then is what comes through the feed.
const ELDER: &str = "cutaway elder\nsupply line\nchamber pot    role store  quick\n\
     chamber heel   role drive\nchamber spout  role breech\nvalve gate  2/2  mechanical\n  \
     rest     joins nothing\n  shifted  joins pot to spout\n  shifts   while bolt at fore\n\
     moving bolt as bolt\n  positions back, fore\n  rests back\n  \
     face cap in heel pushes forward\n  spring return pushes back\n\
     way feed from line to pot narrow\nway push from line to heel narrow while trigger pulled\n\
     way vent from heel to open_air narrow while trigger released\n\
     way breech from spout to open_air while bolt at back\n\
     ball pip in spout fed while bolt at back\nbarrel from spout\n\
     fact bolt.cap larger than bolt.return (seen)\n\
     variant early \"the gate opens with the trigger\"\n  valve gate  2/2  mechanical\n    \
     rest     joins nothing\n    shifted  joins pot to spout\n    shifts   while trigger\n";

#[test]
fn what_drives_the_ball_is_what_the_store_still_holds() {
    let elder = read(ELDER);
    assert!(elder.sound.always_ends_at_rest(), "{:#?}", elder.sound.endings);
    let told = elder.variant("early");
    assert_eq!(words(&told)[0], "fires weaker", "{told:#?}");
    assert!(told[0].run.contains("the feed"), "{told:#?}");
}

#[test]
fn a_latch_may_be_jammed() {
    let lines = "variant seized \"the sear is rusted in\"\n  jammed sear\n\nvariant caught";
    let aspen = read(&ASPEN.replacen("variant caught", lines, 1));
    let story = aspen.story("seized");
    assert!(story.contains("the sear is jammed: it never lets go of the hammer"), "{story}");
    assert!(story.contains("the sear never lets it go"), "{story}");
}

/// Of an order that says nothing here, because its first event comes otherwise, what is left is
/// that what came before that still comes first: a dwell that outlasts the fall of a lid outlasts
/// its rise as well.
#[test]
fn of_an_order_in_doubt_what_came_before_is_kept() {
    let text = include_str!("../logic/light_lid.cut")
        .replace("  shifts   while button", "  shifts   on button\n  returns  after dwell")
        .replace("before button released ", "before start returns ")
        .replace("order button released before store", "order start returns before store");
    let horn = read(&format!("{text}variant slack \"no keeper\"\n  broken lid.keeper\n"));
    let slack = horn.engine_of("slack");
    let found = explored(&slack, &horn.beside());
    assert!(!found.void_orders.is_empty());
    let told = otherwise((&slack, &found), (&horn.engine, &horn.sound)).unwrap();
    assert!(told.contains("“lid leaves open” comes after “start returns”, not before"), "{told}");
    assert!(told.contains("“store empties” "), "{told}");
    assert_eq!(words(&horn.variant("slack")), [""; 0], "{told}");
}
