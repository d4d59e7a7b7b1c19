//! What a drawing may ask of the program, counted before it is resolved.

use super::PictureFault;
use resvg::usvg::roxmltree::{Document, Node};

/// Most attributes of one element: they are compared in pairs.
const MOST_ATTRIBUTES: usize = 300;
/// Most name spaces declared in a drawing: each is handed down to all below.
const MOST_NAME_SPACES: usize = 1_000;
/// Most pieces of text of one element that are set apart: their layout grows with the square.
const MOST_PIECES: usize = 1_000;
/// Most pairs of such a piece and a piece or letter of its text in a drawing, some half a second of
/// layout; and most letters in one text.
const MOST_PAIRS: usize = 2_000_000;
const MOST_LETTERS: usize = 10_000;
/// Longest list of classes of an element, in bytes: it is held against every rule.
const LONGEST_CLASSES: usize = 10_000;

/// Refuses what would cost too much to parse.
pub(super) fn refuse_unparsed(text: &str) -> Result<(), PictureFault> {
    if text.contains("<!ENTITY") {
        return Err(PictureFault::Entities);
    }
    if MOST_ATTRIBUTES < most_attributes(text) || MOST_NAME_SPACES < text.matches("xmlns").count() {
        return Err(PictureFault::TooManyShapes);
    }
    Ok(())
}

/// The largest number of attributes in one tag.
fn most_attributes(text: &str) -> usize {
    let mut most = 0;
    let mut rest = text;
    while let Some(start) = rest.find('<') {
        rest = &rest[start..];
        let ends = [("<!--", "-->"), ("<![CDATA[", "]]>"), ("<?", "?>")];
        if let Some((_, end)) = ends.iter().find(|(open, _)| rest.starts_with(open)) {
            rest = rest.find(end).map_or("", |at| &rest[at..]);
            continue;
        }
        let (attributes, length) = tag(&rest[1..]);
        most = most.max(attributes);
        rest = &rest[1 + length..];
    }
    most
}

/// The number of attributes of a tag without its `<`, and its length.
fn tag(text: &str) -> (usize, usize) {
    let (mut attributes, mut quote) = (0, None);
    for (at, c) in text.char_indices() {
        match (quote, c) {
            (Some(open), c) if open == c => quote = None,
            (Some(_), _) => {}
            (None, '<' | '>') => return (attributes, at),
            (None, '=') => attributes += 1,
            (None, '"' | '\'') => quote = Some(c),
            _ => {}
        }
    }
    (attributes, text.len())
}

/// Refuses texts whose layout would cost too much, and lists of classes without end.
pub(super) fn refuse_long_texts(document: &Document<'_>) -> Result<(), PictureFault> {
    let mut pairs = 0_usize;
    for text in document.descendants().filter(|node| node.tag_name().name() == "text") {
        let pieces = text.descendants().filter(Node::is_element).count();
        let letters = text.descendants().filter(Node::is_text).filter_map(|node| node.text());
        let letters: usize = letters.map(str::len).sum();
        pairs = pairs.saturating_add(pieces.saturating_mul(pieces + letters));
        if MOST_PIECES < pieces || MOST_LETTERS < letters || MOST_PAIRS < pairs {
            return Err(PictureFault::TooManyShapes);
        }
    }
    let classes = document.descendants().filter_map(|node| node.attribute("class"));
    match classes.map(str::len).max().unwrap_or(0) <= LONGEST_CLASSES {
        true => Ok(()),
        false => Err(PictureFault::TooManyShapes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_are_counted_a_tag_at_a_time() {
        assert_eq!(most_attributes("<a b='=' c=\"'='\"/> it's = <d e='<f g=h'/>"), 2);
        assert_eq!(most_attributes("<a>don't</a><!-- don't --><b c='1' d='2' e='3'>"), 3);
        assert_eq!(most_attributes("= \" <b c='1' d='2'> \""), 2);
    }

    #[test]
    fn each_letter_of_a_text_counts_once() {
        let refused = |letters: usize| {
            let text = format!("<text><tspan>{}</tspan></text>", "a".repeat(letters));
            refuse_long_texts(&Document::parse(&text).unwrap()).is_err()
        };
        assert_eq!([MOST_LETTERS, MOST_LETTERS + 1].map(refused), [false, true]);
    }
}
