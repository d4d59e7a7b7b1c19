//! Spans that are asked over and over what overlaps them.

use super::Span;

/// What some spans cover together. Asking takes a binary search, however many there are.
#[derive(Debug, Default)]
pub(crate) struct SpanSet {
    /// In order, and none overlaps another.
    covered: Vec<Span>,
}

impl SpanSet {
    /// Whether one of the spans overlaps this one.
    pub(crate) fn overlaps(&self, span: Span) -> bool {
        let behind = self.covered.partition_point(|known| known.start < span.end);
        behind.checked_sub(1).is_some_and(|last| self.covered[last].overlaps(span))
    }
}

impl FromIterator<Span> for SpanSet {
    fn from_iter<I: IntoIterator<Item = Span>>(spans: I) -> SpanSet {
        let mut all: Vec<Span> = spans.into_iter().collect();
        all.sort_unstable();
        let mut covered: Vec<Span> = Vec::with_capacity(all.len());
        for span in all {
            match covered.last_mut() {
                Some(last) if last.overlaps(span) => last.end = last.end.max(span.end),
                _ => covered.push(span),
            }
        }
        SpanSet { covered }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_overlaps_what_one_of_its_spans_does() {
        let spans: Vec<Span> =
            [(7, 9), (0, 3), (2, 4), (4, 5)].map(|(start, end)| Span::new(start, end)).to_vec();
        let set: SpanSet = spans.iter().copied().collect();
        for start in 0..11 {
            for end in start + 1..11 {
                let asked = Span::new(start, end);
                assert_eq!(set.overlaps(asked), spans.iter().any(|span| span.overlaps(asked)));
            }
        }
    }
}
