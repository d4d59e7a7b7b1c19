//! `gaugebook next`: what it proposes is meant, holds, and can be pasted.

use gaugebook::shell::edition::proof;
use gaugebook::shell::folder::Folder;
use gaugebook::slip::{Paint, Severity, render};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A folio with one engine, linden, of these readings and derived figures.
pub(crate) fn folio(readings: &[&str], derived: &str, cutaway: &str) -> tempfile::TempDir {
    let folio = tempfile::tempdir().unwrap();
    let content = folio.path().join("content");
    fs::create_dir_all(&content).unwrap();
    let imprint = "title: A folio\npressure: gauge\nambient: 101.325 kPa\n";
    fs::write(content.join("imprint.yaml"), imprint).unwrap();
    let derived = if derived.is_empty() { String::new() } else { format!("derived:\n{derived}") };
    let page = format!(
        "---\ntitle: Linden\nengine: linden\nsources: {{b: {{kind: measured}}}}\nreadings_from: b\n\
         readings:\n  {}\n{derived}---\n\nLinden is apart.\n",
        readings.join("\n  ")
    );
    fs::write(content.join("linden.md"), page).unwrap();
    if !cutaway.is_empty() {
        fs::create_dir(folio.path().join("diagrams")).unwrap();
        fs::write(folio.path().join("diagrams/linden.cut"), cutaway).unwrap();
    }
    folio
}

fn next(folio: &Path, engine: &str) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .args(["next", engine])
        .arg(folio)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stdout).unwrap()
}

/// The lines to be pasted.
fn proposed(told: &str) -> String {
    let lines =
        told.lines().skip_while(|line| !line.starts_with("  ")).take_while(|l| !l.is_empty());
    lines.fold(String::new(), |all, line| all + line + "\n")
}

fn stops(folio: &Path) -> String {
    let standing = proof(&Folder::open(folio).unwrap(), &|_, _| {}).unwrap();
    let stops = standing.slips.iter().filter(|slip| slip.severity == Severity::Stop);
    stops.map(|slip| render(slip, Paint::plain())).collect()
}

const READINGS: [&str; 11] = [
    "operating_pressure: 9 bar",
    "lowest_store_pressure: 2 bar",
    "store_volume: 20 cm³",
    "metering_bore: 0.90 mm",
    "pilot_stroke: 4.0 mm",
    "barrel_bore: 17.3 mm",
    "pellet_mass: 3.0 g",
    "muzzle_speed: 65 m/s",
    "bottle_volume: 0.80 l",
    "bottle_pressure: 200 bar",
    "return_spring: 0.80 N/mm",
];

#[test]
fn what_is_proposed_can_be_pasted() {
    let first = folio(&READINGS, "", "");
    let told = next(first.path(), "linden");
    let lines = proposed(&told);
    assert!(lines.contains("\n  metering_bore_area: circle_area(metering_bore)\n"), "{told}");
    let pasted = folio(&READINGS, &lines, "");
    assert_eq!(stops(pasted.path()), "", "{lines}");
    // Pasted, it is on the sheet, and nothing is proposed twice.
    let again = proposed(&next(pasted.path(), "linden"));
    assert!(again.lines().all(|line| line.starts_with("  #")), "{again}");
}

#[test]
fn units_are_those_of_the_kind() {
    let told = next(folio(&READINGS, "", "").path(), "linden");
    let line = |what: &str| {
        told.lines().find(|line| line.contains(what)).unwrap_or_else(|| panic!("{told}")).to_owned()
    };
    // A count is no share, energy over an area no spring rate.
    assert!(!line("shots per bottle").contains('%'), "{told}");
    assert!(line("energy of the ball over").contains("kJ/m²"), "{told}");
    // ½ · 3 g · (65 m/s)² = 6.3 J.
    assert!(line("energy of the ball:").contains("6.3\u{a0}J"), "{told}");
}

#[test]
fn no_stroke_is_taken_for_a_hole_nor_for_that_of_another_part() {
    let told = next(folio(&READINGS, "", "").path(), "linden");
    assert!(!told.contains("circle_area(pilot_stroke)"), "{told}");
    assert!(!told.contains("return_spring * pilot_stroke"), "{told}");
    let mut own = READINGS.to_vec();
    own[4] = "return_stroke: 4.0 mm";
    assert!(next(folio(&own, "", "").path(), "linden").contains("return_spring * return_stroke"));
}

#[test]
fn a_choked_flow_is_proposed_only_where_it_is_choked() {
    // ISO 6358-1: an ideal nozzle is choked below 0.528 of the absolute pressure before it.
    // (2 + 1.013) / (9 + 1.013) = 0.30; (5 + 1.013) / (9 + 1.013) = 0.60.
    assert!(next(folio(&READINGS, "", "").path(), "linden").contains("choked_flow("));
    let mut higher = READINGS.to_vec();
    higher[1] = "lowest_store_pressure: 5 bar";
    assert!(!next(folio(&higher, "", "").path(), "linden").contains("choked_flow("));
    // Within its limits it may be either.
    let mut unsure = READINGS.to_vec();
    unsure[1] = "lowest_store_pressure: 4.2 bar ± 0.5 bar";
    assert!(!next(folio(&unsure, "", "").path(), "linden").contains("choked_flow("));
}

#[test]
fn roles_come_from_formulas_already_written() {
    let readings = ["line: 9 bar", "rest: 2 bar", "room: 20 cm³", "inlet: 0.90 mm", "wall: 2 mm"];
    let derived = "  used: air_per_shot(room, line, rest)\n  \
                   flow: \"choked_flow(circle_area(inlet), line, 0.8)\"\n";
    let told = next(folio(&readings, derived, "").path(), "linden");
    assert!(told.contains("stored_energy(room, line)"), "{told}");
    assert!(told.contains("circle_area(inlet)"), "{told}");
    assert!(!told.contains("circle_area(wall)"), "{told}");
}

#[test]
fn roles_come_from_the_cutaway() {
    let cutaway = "cutaway linden\nsupply line  at level\nchamber jar  role store\n\
                   chamber breech  role breech\nmoving bolt  as spool\n  positions back, front\n  \
                   rests back\n  face tail  in jar  pushes forward\n  spring coil  pushes back\n\
                   way throat  from line to jar  narrow\n\
                   way mouth  from jar to breech  while bolt at front\nbarrel  from breech\n";
    let readings = ["level: 9 bar", "other: 3 bar", "jar: 20 cm³", "throat: 0.90 mm", "wall: 2 mm"];
    let told = next(folio(&readings, "", cutaway).path(), "linden");
    assert!(told.contains("stored_energy(jar, level)"), "{told}");
    assert!(told.contains("throat_area: circle_area(throat)"), "{told}");
}

#[test]
fn what_is_proposed_for_the_demo_can_be_pasted() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for page in fs::read_dir(root.join("content/engines")).unwrap() {
        let path = page.unwrap().path();
        let Some(engine) = path.file_stem().and_then(|stem| stem.to_str()) else { continue };
        let text = fs::read_to_string(&path).unwrap();
        if !text.contains(&format!("\nengine: {engine}\n")) {
            continue;
        }
        let lines = proposed(&next(root, engine));
        let pasted = tempfile::tempdir().unwrap();
        let content = pasted.path().join("content");
        fs::create_dir_all(content.join("engines")).unwrap();
        let text = match text.contains("\nderived:\n") {
            true => text.replacen("\nderived:\n", &format!("\nderived:\n{lines}"), 1),
            false => text.replacen("\nreadings:\n", &format!("\nderived:\n{lines}readings:\n"), 1),
        };
        fs::write(content.join(format!("engines/{engine}.md")), text).unwrap();
        fs::copy(root.join("content/imprint.yaml"), content.join("imprint.yaml")).unwrap();
        let own = |line: &&str| {
            let name = line.trim_start().split(':').next().unwrap_or("");
            !name.is_empty() && lines.contains(&format!("\n  {name}: "))
        };
        let told = stops(pasted.path());
        let about: Vec<&str> = told.lines().filter(own).collect();
        assert!(about.is_empty(), "{engine}:\n{lines}\n{told}");
    }
}

/// A poppet on the edge of a bore, and a store whose volume only the drawing gives.
pub(crate) const DRAWN: &str = "\
cutaway linden
supply line  at operating_pressure
chamber store  role store   in body well
chamber low    role breech  in body outlet
way feed   from line to store  narrow
way mouth  from store to low   while poppet at open
barrel     from low
ball pellet  in low  fed while poppet at shut
moving poppet  as poppet
  positions shut, open
  rests shut
  finger pull  pushes forward  while trigger pulled
  spring keep  pushes back
  step disc  length 5 mm  dia 14 mm
  place shut  with disc on well
  place open  at 1 mm from shut
body
  step cap     length 3 mm
  step well    length 20 mm  bore 8 mm
  step outlet  length 40 mm  bore 24 mm
  step end     length 3 mm
";

#[test]
fn what_the_drawing_gives_is_not_asked_for() {
    for derived in ["", "  well_volume: cut.store.volume\n"] {
        let folio = folio(&["operating_pressure: 9 bar"], derived, DRAWN);
        let told = next(folio.path(), "linden");
        assert!(!told.contains("the store volume"), "{told}");
        // π/4 · (8 mm)² · 20 mm = 1.0053 cm³; 9 bar gauge is 1001.325 kPa. The work of an
        // isothermal expansion to ambient less that against it: p V ln(p/p0) − (p − p0) V.
        let (volume, full, ambient) = (1.0053e-6, 1_001_325.0_f64, 101_325.0_f64);
        let joules = volume * (full * libm::log(full / ambient) - (full - ambient));
        let stored = format!("energy stored in the air: {joules:.2}");
        assert!(
            told.contains(&stored) || told.contains(&stored[..stored.len() - 1]),
            "{stored}: {told}"
        );
        let site = folio.path().join("site");
        let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .arg("publish")
            .arg(folio.path())
            .arg("--to")
            .arg(&site)
            .output()
            .unwrap();
        let page = fs::read_to_string(site.join("linden.html"));
        let page = page.unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)));
        assert!(!page.contains("no store volume is stated"), "{page}");
    }
}
