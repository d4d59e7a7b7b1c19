//! DeclaredNames in front matter that stand for something declared elsewhere: rows of a comparison,
//! readings taken together, the revision that a reading belongs to.

use crate::folio::{Folio, PageEntry};
use crate::page::yaml::Text;
use crate::sheet::ReadingEntry;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot, nearest};
use std::sync::Arc;

/// What a page names and nothing has the name of.
pub(in crate::proof) fn judge(folio: &Folio, page: &PageEntry, source: &Arc<Source>) -> Vec<Slip> {
    let names = DeclaredNames { folio, page, source };
    let mut slips = names.rows();
    slips.extend(names.revisions());
    for group in &page.front.taken_together {
        slips.extend(names.taken_together(group));
    }
    slips
}

struct DeclaredNames<'a> {
    folio: &'a Folio,
    page: &'a PageEntry,
    source: &'a Arc<Source>,
}

impl DeclaredNames<'_> {
    fn unknown<'n>(&self, name: &Text, what: &str, known: impl Iterator<Item = &'n str>) -> Slip {
        let message = format!("`{}` is {what}", name.text);
        let slip = Slip::stop("unknown-name", Spot::new(self.source, name.inside()), message);
        match nearest(&name.text, known) {
            Some(near) => slip.write(near),
            None => slip,
        }
    }

    /// Rows that no engine of the comparison fills.
    fn rows(&self) -> Vec<Slip> {
        let ledger = &self.folio.ledger;
        let compared = self.page.front.compare.iter();
        let sheets: Vec<usize> = compared.filter_map(|name| ledger.engine(&name.text)).collect();
        let names = || {
            let entries = sheets.iter().flat_map(|sheet| &ledger.sheets[*sheet].entries);
            entries.map(|entry| entry.name.text.as_str())
        };
        let rows = self.page.front.rows.iter().filter(|_| !sheets.is_empty());
        let empty = rows.filter(|row| names().all(|name| name != row.text));
        empty.map(|row| self.unknown(row, "a figure of none of these engines", names())).collect()
    }

    /// Readings of a revision that neither the page nor the cutaway knows.
    fn revisions(&self) -> Vec<Slip> {
        let front = &self.page.front;
        let engine = front.engine.as_ref().and_then(|name| self.folio.routing.of(&name.text));
        let drawn = engine.into_iter().flat_map(|routed| &routed.engine.revisions);
        let drawn: Vec<_> = drawn.filter(|revision| !revision.is_variant).collect();
        let known = || {
            let own = front.revisions.iter().map(|revision| revision.name.text.as_str());
            own.chain(drawn.iter().map(|revision| revision.name.id.as_str()))
        };
        let named = front.readings.iter().filter_map(|reading| reading.revision.as_ref());
        let strange = named.filter(|name| known().all(|known| known != name.text));
        strange.map(|name| self.unknown(name, "no revision of this engine", known())).collect()
    }

    /// A group of readings whose repeats cannot be paired.
    fn taken_together(&self, group: &[Text]) -> Option<Slip> {
        let sheet = &self.folio.ledger.sheets[self.page.sheet?];
        let mut repeats: Vec<(&Text, usize)> = Vec::new();
        for name in group {
            let Some(entry) = sheet.entry(&name.text) else {
                let known = sheet.entries.iter().map(|entry| entry.name.text.as_str());
                return Some(self.unknown(name, "no reading of this page", known));
            };
            let reading = entry.reading().filter(|reading| !reading.poisoned);
            let count = |reading: &ReadingEntry| {
                reading.statements.first().map_or(0, |stated| stated.repeats.len())
            };
            repeats.push((name, reading.map_or(0, count)));
        }
        let [(first, count), others @ ..] = repeats.as_slice() else { return None };
        let message = match others.iter().find(|(_, other)| other != count) {
            _ if *count < 2 => format!("`{}` has no repeats to pair with others", first.text),
            None if others.is_empty() => {
                format!("`{}` alone is taken together with nothing", first.text)
            }
            None => return None,
            Some((other, others)) => {
                format!("`{}` has {count} repeats, `{}` has {others}", first.text, other.text)
            }
        };
        let span =
            Span::new(first.span.start, repeats.last().map_or(first, |(last, _)| last).span.end);
        let slip = Slip::stop("wrong-shape", Spot::new(self.source, span), message);
        Some(slip.help("name readings with `repeats`, equally many of each, taken in pairs"))
    }
}
