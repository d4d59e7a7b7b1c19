//! What a published site holds beside its pages: cutaways, circuits, data.

use gaugebook::shell::edition::{Shelf, Wish, make};
use gaugebook::shell::folder::Folder;
use gaugebook::site::pictures;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;

type Files = BTreeMap<String, Arc<[u8]>>;

/// The site of a folio with two engines, started with their cutaways and compared.
fn site() -> (tempfile::TempDir, Files) {
    let folio = tempfile::tempdir().unwrap();
    for engine in ["alder", "birch"] {
        let started = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .args(["start", engine, "--cutaway"])
            .arg(folio.path())
            .output()
            .unwrap();
        assert!(started.status.success(), "{started:?}");
    }
    // Birch vents by a way of its own, so that something differs.
    let path = folio.path().join("diagrams/birch.cut");
    let text = fs::read_to_string(&path).unwrap();
    fs::write(&path, format!("{text}way leak  from rear_room to breech  bleed\n")).unwrap();
    let page = "---\ntitle: Side by side\ncompare: [alder, birch]\n---\n\nBoth are apart.\n";
    fs::write(folio.path().join("content/both.md"), page).unwrap();
    let files = published(folio.path());
    (folio, files)
}

fn published(folio: &Path) -> Files {
    let shelf = Shelf::default();
    let folder = Folder::open(folio).unwrap();
    let made = make(&folder, Wish { draft: true, strict: false }, &shelf, &|_, _| {});
    made.unwrap_or_else(|no| panic!("{}", no.message));
    shelf.into_files()
}

fn text<'a>(files: &'a Files, name: &str) -> &'a str {
    let file = files.get(name).unwrap_or_else(|| panic!("no {name}"));
    std::str::from_utf8(file).unwrap()
}

#[test]
fn a_cutaway_is_published_as_it_was_written() {
    let (folio, files) = site();
    let written = fs::read_to_string(folio.path().join("diagrams/alder.cut")).unwrap();
    assert_eq!(text(&files, "data/alder.cut"), written);
}

#[test]
fn a_circuit_is_a_picture_that_shows_on_any_ground() {
    let (_folio, files) = site();
    let circuit = &files["pictures/alder-circuit.svg"];
    assert!(pictures::prepare(circuit).is_ok());
    let root = text(&files, "pictures/alder-circuit.svg").split('>').next().unwrap();
    assert!(root.contains("color=\"#000\"") && root.contains("background:#fff"), "{root}");
}

#[test]
fn the_data_of_an_engine_tell_its_shot() {
    let (_folio, files) = site();
    let data: Value = serde_json::from_str(text(&files, "data/alder.json")).unwrap();
    let routing = &data["routing"];
    let first = &routing["events"][0];
    assert_eq!(first["events"][0], "trigger pulled");
    assert!(!first["why"][0].as_str().unwrap().is_empty());
    // The numbers of the page's sequence are those of the events.
    let page = text(&files, "engines/alder.html");
    let events = routing["events"].as_array().unwrap();
    assert_eq!(events.last().unwrap()["number"], events.len());
    let numbers = page.split("class=\"step-number\" href=\"#_pose-").skip(1);
    let numbers: Vec<usize> =
        numbers.map(|rest| rest.split('"').next().unwrap().parse().unwrap()).collect();
    assert!(!numbers.is_empty() && numbers.iter().all(|at| (1..=events.len()).contains(at)));
    // What may come in another order says with what, and is drawn so.
    let open = |event: &Value| event["order"].as_str().unwrap().starts_with("In either order with");
    assert!(events.iter().any(open), "{events:?}");
    assert!(page.contains("class=\"pose open\""));
    assert_eq!(routing["ends_at_rest"], true);
    assert_eq!(routing["cutaway"], "data/alder.cut");
    assert_eq!(routing["facts"][0]["known"], "assumed");
    let symptoms = data["faults"]["symptoms"].as_array().unwrap();
    assert!(symptoms.iter().all(|row| row["culprits"][0]["what"].is_string()));
    assert!(!symptoms.is_empty());
}

#[test]
fn a_comparison_has_its_structure_and_events_as_tables() {
    let (_folio, files) = site();
    let structure = text(&files, "data/both-structure.csv");
    let leak: Vec<&str> = structure.lines().filter(|line| line.contains("leak")).collect();
    assert!(
        leak.iter().any(|line| line.contains(",no,") && line.contains("only here")),
        "{leak:?}"
    );
    assert!(structure.lines().any(|line| line.contains(",yes,")), "{structure}");
    let events = text(&files, "data/both-events.csv");
    assert!(events.starts_with("row,milestone,same in all,Alder,"), "{events}");
    assert!(events.contains("\n1,trigger,yes,trigger pulled,,trigger pulled,"), "{events}");
    let page = text(&files, "both.html");
    for name in ["both", "both-structure", "both-events"] {
        assert!(page.contains(&format!("href=\"data/{name}.csv\"")), "{name}");
    }
}

#[test]
fn the_reference_has_a_place_for_every_word() {
    let (_folio, files) = site();
    let page = text(&files, "cutaway.html");
    let places: Vec<&str> =
        page.split(" id=\"_word-").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let different: BTreeSet<&str> = places.iter().copied().collect();
    assert_eq!(different.len(), places.len());
    assert_eq!(places.len(), gaugebook::cutaway::words().len());
    for word in gaugebook::cutaway::words() {
        let form = word.form.replace('&', "&amp;").replace('"', "&quot;");
        assert!(page.contains(&form), "{form}");
    }
    assert!(text(&files, "engines/alder.html").contains("cutaway.html"));
    assert!(text(&files, "checks.html").contains("cutaway.html"));
}

#[test]
fn events_of_a_shot_are_places_to_find() {
    let (_folio, files) = site();
    let index = text(&files, "search-index.js");
    assert!(index.contains("\"_pose-3\",\"rear room fills\""), "no such place");
    // In the writer's words and in the model's.
    assert!(
        index.contains("spool opens the store; feed neck closes; mouth opens"),
        "no words of the model"
    );
    assert!(index.contains("\"How a cutaway is written\""));
}

/// The members of an object, in order of names.
fn members(object: &Value) -> BTreeSet<String> {
    object.as_object().unwrap().keys().cloned().collect()
}

#[test]
fn slips_for_tools_have_the_members_of_the_schema() {
    let folio = tempfile::tempdir().unwrap();
    fs::create_dir(folio.path().join("content")).unwrap();
    let page = "---\ntitle: Rowan\nengine: rowan\nsources:\n  bench: {kind: measured, on: 2026-01-31}\n\
                readings_from: bench\nreadings:\n  operating_pressure: 128 psi\n---\n\n\
                The operating pressure is 182 psi. See [there](nowhere.md).\n";
    fs::write(folio.path().join("content/rowan.md"), page).unwrap();
    let json = |format: &str| -> Value {
        let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        program.args(["proof", "--format", format]).arg(folio.path());
        serde_json::from_slice(&program.output().unwrap().stdout).unwrap()
    };
    let schema = json("schema");
    let told = json("json");
    let slips = told["slips"].as_array().unwrap();
    for slip in slips {
        assert_eq!(members(slip), members(&schema["properties"]));
        for (name, value) in slip.as_object().unwrap() {
            let kinds = &schema["properties"][name]["type"];
            let kind = match value {
                Value::String(_) => "string",
                Value::Number(_) => "integer",
                Value::Array(_) => "array",
                Value::Null => "null",
                other => panic!("{name}: {other}"),
            };
            let allowed =
                kinds.as_array().map_or(kinds == kind, |kinds| kinds.contains(&kind.into()));
            assert!(allowed || name == "severity", "{name} is {kind}");
        }
    }
    let wrong = slips.iter().find(|slip| slip["code"] == "figure-disagrees").unwrap();
    assert_eq!(wrong["write"], serde_json::json!(["128 psi"]));
    assert_eq!(wrong["text"], "182 psi");
    let works_out = wrong["works_out"].as_str().unwrap().replace('\u{a0}', " ");
    assert!(works_out.starts_with("128 psi"), "{wrong}");
    assert!(!wrong["likely"].as_str().unwrap().is_empty(), "{wrong}");
    let lost = slips.iter().find(|slip| slip["code"] == "broken-link").unwrap();
    assert_eq!(lost["write"], serde_json::json!([]));
}
