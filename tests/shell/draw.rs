//! `gaugebook draw`: one moment alone is the same picture as among all of them.

use super::next::{DRAWN, folio};
use std::fs;
use std::path::Path;
use std::process::Command;

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
    let folio = folio(&["operating_pressure: 9 bar"], "", DRAWN);
    for name in ["alone", "all"] {
        fs::create_dir(folio.path().join(name)).unwrap();
    }
    draw(folio.path(), "all", "all");
    draw(folio.path(), "0", "alone");
    draw(folio.path(), "2", "alone");
    for name in ["linden-section-00.svg", "linden-section-02.svg"] {
        let [one, among] = ["alone", "all"]
            .map(|of| fs::read_to_string(folio.path().join(of).join(name)).unwrap());
        assert!(one == among, "{name} is another picture alone:\n{one}\n{among}");
    }
}
