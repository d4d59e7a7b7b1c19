//! What a run over a folio finds, page by page, and what is told of it in the end.

use super::addresses::Addresses;
use super::files::unused;
use super::pictures::{Pictures, site_name};
use super::{FolioStanding, Sources, Wish};
use crate::folio::Folio;
use crate::proof::checks::link::AnchorWanted;
use crate::proof::checks::relation::JudgedStatement;
use crate::proof::checks::unused::Named;
use crate::proof::{Coverage, PageProof, finish};
use crate::site::theme::ThemeFault;
use crate::slip::{Slip, arrange};
use crate::text::{Date, Spot};
use std::collections::BTreeSet;

/// What is kept of a judged page.
pub(super) struct Judged {
    slips: Vec<Slip>,
    coverage: Coverage,
    statements: Vec<JudgedStatement>,
    waived: Vec<Date>,
    anchors: Vec<String>,
    wanted: Vec<AnchorWanted>,
    /// Pictures shown, and files linked to.
    files: Vec<(String, Spot)>,
    used: BTreeSet<Named>,
    pub(super) theme_fault: Option<ThemeFault>,
}

impl Judged {
    pub(super) fn of(proof: PageProof) -> Judged {
        Judged {
            slips: proof.slips,
            coverage: proof.coverage,
            statements: proof.statements.into_iter().map(|(_, judged)| judged).collect(),
            waived: proof.waived,
            anchors: proof.anchors,
            wanted: proof.wanted.anchors,
            files: proof.pictures.into_iter().chain(proof.wanted.files).collect(),
            used: proof.used,
            theme_fault: None,
        }
    }

    /// The same of a page that the theme could not make.
    pub(super) fn unmade(self, fault: ThemeFault) -> Judged {
        Judged { theme_fault: Some(fault), ..self }
    }

    pub(super) fn unread(slip: Slip) -> Judged {
        Judged {
            slips: vec![slip],
            coverage: Coverage::default(),
            statements: Vec::new(),
            waived: Vec::new(),
            anchors: Vec::new(),
            wanted: Vec::new(),
            files: Vec::new(),
            used: BTreeSet::new(),
            theme_fault: None,
        }
    }
}

/// What has been found so far.
pub(super) struct Run {
    standing: FolioStanding,
    anchors: Vec<Vec<String>>,
    wanted: Vec<AnchorWanted>,
    pub(super) shown: BTreeSet<String>,
    used: BTreeSet<Named>,
    addresses: Addresses,
}

impl Run {
    pub(super) fn new(folio: &Folio, mut slips: Vec<Slip>, sources: &dyn Sources) -> Run {
        let mut addresses = Addresses::planned(folio, sources.theme_names());
        slips.append(&mut addresses.slips);
        Run {
            addresses,
            standing: FolioStanding { slips, pages: folio.pages.len(), ..FolioStanding::default() },
            anchors: vec![Vec::new(); folio.pages.len()],
            wanted: Vec::new(),
            shown: BTreeSet::new(),
            used: BTreeSet::new(),
        }
    }

    pub(super) fn take(&mut self, page: usize, judged: Judged, pictures: &Pictures<'_>) {
        self.standing.slips.extend(judged.slips);
        self.standing.coverage.add(&judged.coverage);
        self.standing.statements.extend(judged.statements);
        self.standing.waived.extend(judged.waived);
        self.anchors[page] = judged.anchors;
        self.wanted.extend(judged.wanted);
        self.used.extend(judged.used);
        for (path, spot) in judged.files {
            let picture = pictures.get(&path).ok().flatten();
            if let Some(Err((code, message))) = picture {
                self.standing.slips.push(Slip::stop(code, spot, message.clone()));
            }
            if self.shown.insert(path.clone()) {
                let address = match picture {
                    Some(Ok(picture)) => picture.address.clone(),
                    _ => site_name(&path),
                };
                self.addresses.take(&address, Some(&path));
            }
        }
    }

    /// Whether nothing needs to be made any more.
    pub(super) fn is_held_up(&self, wish: Wish) -> bool {
        self.standing.cannot_be_made || !wish.draft && !self.standing.may_publish(wish.strict)
    }

    pub(super) fn cannot_be_made(&mut self, slip: Slip) {
        self.standing.slips.push(slip);
        self.standing.cannot_be_made = true;
    }

    pub(super) fn finish(mut self, folio: &Folio) -> FolioStanding {
        self.standing.slips.extend(finish(folio, &self.wanted, &self.anchors, &self.used));
        self.standing.slips.append(&mut self.addresses.slips);
        // A link that leads nowhere may have been meant for one of them.
        let lost = |slip: &Slip| matches!(slip.code, "image-missing" | "broken-link");
        if !self.standing.slips.iter().any(lost) {
            let idle = folio.files.iter().filter(|file| !self.shown.contains(*file));
            let why = "no page shows it or leads to it";
            self.standing.slips.extend(idle.map(|file| unused(file, why)));
        }
        arrange(&mut self.standing.slips);
        self.standing.waived.sort();
        self.standing.date = folio.imprint.date;
        cap(&mut self.standing.slips);
        // A slip in a cutaway is the cause of those on the pages that rest on it.
        self.standing.slips.sort_by_key(|slip| !slip.spot.source.name.ends_with(".cut"));
        self.standing
    }
}

/// Most slips that are told of one file.
const MOST_SLIPS: usize = 200;

/// Keeps the worst slips of each file, and says how many more there are.
fn cap(slips: &mut Vec<Slip>) {
    let all = std::mem::take(slips);
    for of_file in all.chunk_by(|a, b| a.spot.source.name == b.spot.source.name) {
        let untold = of_file.len().saturating_sub(MOST_SLIPS);
        if untold == 0 {
            slips.extend_from_slice(of_file);
            continue;
        }
        let mut ranks: Vec<usize> = (0..of_file.len()).collect();
        ranks.sort_by_key(|at| std::cmp::Reverse(of_file[*at].severity));
        ranks.truncate(MOST_SLIPS);
        ranks.sort_unstable();
        slips.extend(ranks.iter().map(|at| of_file[*at].clone()));
        let message = format!("{untold} more slips of this file are not told");
        let last = of_file[of_file.len() - 1].spot.clone();
        slips.push(Slip::note("slips-untold", last, message).help("put the first ones right"));
    }
}
