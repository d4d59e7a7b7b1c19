//! `gaugebook draw`: one moment alone is the same picture as among all of them.

use std::fs;
use std::path::Path;
use std::process::Command;

/// A poppet on the edge of a bore, which opens once the trigger is pulled.
const CUTAWAY: &str = "\
cutaway linden
supply line
chamber high    role store   in body inlet
chamber low     role breech  in body outlet
way feed   from line to high  narrow
way mouth  from high to low   while poppet at open
barrel     from low
ball pellet  in low  fed while poppet at shut
moving poppet  as poppet
  positions shut, open
  rests shut
  finger pull  pushes forward  while trigger pulled
  spring keep  pushes back
  step disc  length 5 mm  dia 14 mm
  place shut  with disc on inlet
  place open  at 1 mm from shut
body
  step cap     length 3 mm
  step inlet   length 20 mm  bore 8 mm
  step outlet  length 40 mm  bore 24 mm
  step end     length 3 mm
axis main: high, poppet, low
";

fn draw(folio: &Path, pose: &str, to: &str) {
    let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .args(["draw", "linden", "--view", "section", "--pose", pose, "--to"])
        .arg(folio.join(to))
        .arg(folio)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
}

#[test]
fn one_moment_alone_is_the_same_picture_as_among_all() {
    let folio = tempfile::tempdir().unwrap();
    for name in ["content", "diagrams", "alone", "all"] {
        fs::create_dir(folio.path().join(name)).unwrap();
    }
    fs::write(folio.path().join("content/imprint.yaml"), "title: A folio\n").unwrap();
    let page = "---\ntitle: Linden\nengine: linden\n---\n\nLinden is apart.\n";
    fs::write(folio.path().join("content/linden.md"), page).unwrap();
    fs::write(folio.path().join("diagrams/linden.cut"), CUTAWAY).unwrap();
    draw(folio.path(), "all", "all");
    draw(folio.path(), "0", "alone");
    draw(folio.path(), "2", "alone");
    for name in ["linden-section-00.svg", "linden-section-02.svg"] {
        let [one, among] = ["alone", "all"]
            .map(|of| fs::read_to_string(folio.path().join(of).join(name)).unwrap());
        assert!(one == among, "{name} is another picture alone:\n{one}\n{among}");
    }
}
