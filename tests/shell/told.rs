//! `gaugebook shot` and `gaugebook compare` for other tools: the keys and what stands in them, as
//! the README names them.

use super::kept;
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::Command;

const ALDER: &str = "\
cutaway alder
supply line
chamber store  role store
chamber breech  role breech
moving slide  as spool
  positions back, front
  rests back
  face head      in cap  pushes forward
  spring return          pushes back
chamber cap  role pilot
valve pilot  3/2  solenoid
  rest     joins cap to open_air
  shifted  joins line to cap
  shifts   while trigger
way feed   from line to store      narrow  while slide at back
way mouth  from store to breech            while slide at front
ball seed  in breech  fed while slide at back
barrel  from breech
fact slide.head larger than slide.return  (by hand)
event \"slide opens the store\"  is mouth opens
";

const BIRCH: &str = "\
cutaway birch  based on alder
way mouth  from store to breech  while slide from front and pilot shifted
";

fn told(arguments: &[&str]) -> String {
    let folio = tempfile::tempdir().unwrap();
    fs::create_dir(folio.path().join("content")).unwrap();
    fs::create_dir(folio.path().join("diagrams")).unwrap();
    let imprint = "title: A folio\npressure: gauge\nambient: 101.325 kPa\n";
    fs::write(folio.path().join("content/imprint.yaml"), imprint).unwrap();
    fs::write(folio.path().join("diagrams/alder.cut"), ALDER).unwrap();
    fs::write(folio.path().join("diagrams/birch.cut"), BIRCH).unwrap();
    let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
    let output = program.args(arguments).args(["--format", "json"]).arg(folio.path());
    let output = output.output().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    let value: Value = serde_json::from_slice(&output.stdout).unwrap();
    serde_json::to_string_pretty(&value).unwrap() + "\n"
}

fn same_as(name: &str, found: &str) {
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/shell/told");
    kept::same_as(&here.join(name), found);
}

#[test]
fn a_shot_for_other_tools() {
    same_as("shot.json", &told(&["shot", "alder"]));
}

#[test]
fn a_comparison_for_other_tools() {
    same_as("compare.json", &told(&["compare", "alder", "birch"]));
}

/// The keys that the README names are those that are there.
#[test]
fn the_readme_names_every_key() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = fs::read_to_string(readme).unwrap();
    for arguments in [&["shot", "alder"][..], &["compare", "alder", "birch"]] {
        let value: Value = serde_json::from_str(&told(arguments)).unwrap();
        for key in value.as_object().unwrap().keys() {
            assert!(readme.contains(&format!("`{key}`")), "the README says nothing of `{key}`");
        }
    }
}
