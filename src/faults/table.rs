//! From what one notices to what one should look at.

use super::noticed::noticed;
use super::single::single_faults;
use super::symptom::{Surely, Symptom};
use super::{SoundEngine, explored, explored_as_ordered};
use std::collections::BTreeMap;

/// Something to look at, with the run that speaks for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Culprit {
    /// What would be wrong: "the drag seal leaks".
    pub what: String,
    /// How sure it is that the symptom shows then.
    pub surely: Surely,
    /// What happens then, as a sentence without full stop.
    pub run: String,
}

/// A symptom and what to look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SymptomEntry {
    /// What is noticed.
    pub symptom: Symptom,
    /// Where, or of what; may be empty.
    pub place: String,
    /// Single faults that show it, those that always do first.
    pub culprits: Vec<Culprit>,
}

/// What the single faults of an engine show.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SymptomTable {
    /// Symptoms, first things first.
    pub entries: Vec<SymptomEntry>,
    /// Faults of which nothing would be noticed.
    pub unseen: Vec<String>,
    /// Faults whose runs are not decided, or were not all followed.
    pub open: Vec<String>,
}

/// The symptoms that single faults of an engine show.
#[must_use]
pub fn symptoms(sound: &SoundEngine<'_>) -> SymptomTable {
    let mut entries: BTreeMap<(Symptom, String), Vec<Culprit>> = BTreeMap::new();
    let mut table = SymptomTable::default();
    for fault in single_faults(sound.engine) {
        let found = explored(&fault.engine, sound);
        let told = noticed((&fault.engine, &found), sound);
        if found.is_open() {
            table.open.push(fault.what.clone());
        } else if told.is_empty() {
            table.unseen.push(fault.what.clone());
        }
        let is_certain = told.iter().all(|it| it.always);
        let runs = if is_certain { None } else { explored_as_ordered(&fault.engine, &found) };
        let ordered = runs.map(|runs| noticed((&fault.engine, &runs), sound));
        let ordered = ordered.unwrap_or_default();
        for it in told {
            let surely = it.surely(&ordered);
            let culprit = Culprit { what: fault.what.clone(), surely, run: it.run };
            entries.entry((it.symptom, it.place)).or_default().push(culprit);
        }
    }
    let entries = entries.into_iter().map(|((symptom, place), mut culprits)| {
        culprits.sort_by_key(|culprit| culprit.surely);
        SymptomEntry { symptom, place, culprits }
    });
    table.entries = entries.collect();
    table
}
