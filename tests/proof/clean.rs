//! Folios without a slip: every form in which a figure may be stated.

use super::support::{folders, shown, standing};

#[test]
fn clean_folios_have_no_slip() {
    let folios = folders("clean");
    assert!(!folios.is_empty());
    let mut told = String::new();
    for root in folios {
        let standing = standing(&root);
        if !standing.slips.is_empty() {
            told.push_str(&format!("{}\n{}\n", root.display(), shown(&standing.slips)));
        }
    }
    assert!(told.is_empty(), "{told}");
}
