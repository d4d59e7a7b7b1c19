//! Suppositions in plain words: what would be, were something otherwise.

use crate::statement::{Role, may};
use crate::text::Span;

/// Words that make a clause a supposition.
const MARKERS: [&str; 9] =
    ["would", "wouldn't", "could", "might", "suppose", "supposing", "imagine", "you'd", "it'd"];
/// Verbs that open one: "Were the pressure reduced to …", "Had it been …".
const OPENERS: [&str; 3] = ["were", "had", "should"];
/// Words that open the clause that says under what condition; "a stroke of 9 mm" is one that is not
/// there yet.
const CONDITIONS: [&str; 8] = ["if", "with", "at", "without", "from", "on", "a", "an"];

/// How a figure stands in a supposition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Supposed {
    /// It is what is supposed: it need be nothing that is.
    Condition,
    /// It is what would follow.
    Consequence,
}

/// Whether a figure of `text` is supposed to be, and as what.
pub(super) fn supposed(text: &str, figure: Span) -> Option<Supposed> {
    // A clause may be as long as a page; what is far away supposes nothing here.
    let from = text.floor_char_boundary(figure.start.saturating_sub(IN_SIGHT));
    let upto = text.floor_char_boundary((figure.end + IN_SIGHT).min(text.len()));
    let (text, figure) = (&text[from..upto], Span::new(figure.start - from, figure.end - from));
    let before = &text[..figure.start];
    let start = before
        .char_indices()
        .rev()
        .find(|(at, c)| ends(&before[*at..], *c))
        .map_or(0, |(at, c)| at + c.len_utf8());
    let end = figure.end + length(&text[figure.end..]);
    let (own_before, own_behind) =
        (words(&text[start..figure.start]), words(&text[figure.end..end]));
    // "…, 0.6 L for the other": without a verb of its own, it goes on with what was supposed.
    if own_before.is_empty()
        && text[..start].ends_with(',')
        && let Some(how) = supposed(text, Span::new(start - 1, start - 1))
    {
        return Some(how);
    }
    let first = own_before.first().map_or("", String::as_str);
    let marks = |words: &[String]| (0..words.len()).any(|at| is_marked(words, at));
    if OPENERS.contains(&first) || first == "if" || marks(&own_behind) {
        return Some(Supposed::Condition);
    }
    if marks(&own_before) {
        // "It would fall to 2 mm" names another value than that which is.
        let is_change = own_before.iter().rev().take(3).any(|word| word == "to");
        return Some(if is_change { Supposed::Condition } else { Supposed::Consequence });
    }
    if bids(&own_before) {
        if follows(&own_before) {
            return Some(Supposed::Consequence);
        }
        if follows(&own_behind) {
            return Some(Supposed::Condition);
        }
    }
    // "Battery flat to 10 V: you'd have 2.1 W."
    if let Some(next) = text[end..].strip_prefix(':') {
        let states = |word: &String| may(word, Role::Be) || may(word, Role::Have);
        return (!own_before.iter().any(states) && marks(&words(&next[..length(next)])))
            .then_some(Supposed::Condition);
    }
    let rest = &text[end..];
    let sentence = rest.find(ENDS).unwrap_or(rest.len());
    // "With 6 bar behind it the bolt is shut, and you would hear it" says what is.
    let states = |words: &[String]| words.iter().any(|word| may(word, Role::Be));
    let clause = JOINS.iter().filter_map(|join| rest[..sentence].find(join)).min();
    let sentence = clause.unwrap_or(sentence);
    let is_condition = CONDITIONS.contains(&first) && !states(&own_before) && !states(&own_behind);
    (is_condition && marks(&words(&rest[..sentence]))).then_some(Supposed::Condition)
}

/// Marks at which a sentence ends, or might as well.
const ENDS: [char; 5] = ['.', ';', ':', '!', '?'];
/// What joins a clause of its own.
const JOINS: [&str; 3] = [", and ", ", but ", ", so "];
/// Verbs for what people say or think of what is: "you would call it light".
const SAYS: [&str; 3] = ["call", "say", "think"];

/// Whether a word makes a clause a supposition. "Roughly what 8 kg would weigh" says how much
/// something is.
fn is_marked(words: &[String], at: usize) -> bool {
    let is_said = || {
        words.get(at + 1).is_some_and(|next| SAYS.contains(&next.as_str()))
            || words[..at].iter().any(|word| word == "what")
                && words.get(at + 1).is_some_and(|next| may(next, Role::Verb) || next == "weigh")
    };
    MARKERS.contains(&words[at].as_str()) && !is_said()
}

/// Verbs that bid a reader to reckon, measure or say something.
const RECKONS: [&str; 17] = [
    "do", "add", "subtract", "multiply", "divide", "square", "halve", "double", "work", "reckon",
    "count", "measure", "weigh", "look", "call", "say", "take",
];

/// Whether words begin a bid: "Put both at 4 bar and the dial says …". A bare word before an
/// article is a verb, as one is before "on to" and the like.
fn bids(words: &[String]) -> bool {
    let word = |at: usize| words.get(at).map_or("", String::as_str);
    // "Do the sum and you get 9 mm": what one finds that way is so.
    if RECKONS.contains(&word(0)) {
        return false;
    }
    let is_function = [Role::Light, Role::Glue, Role::Turn, Role::Mood, Role::Numeral];
    let is_bare = !is_function.iter().any(|role| may(word(0), *role));
    let is_object = may(word(1), Role::Subject) || word(1) == "both";
    let leads = word(2) == "to" && matches!(word(1), "on" | "up" | "down" | "back" | "out");
    may(word(0), Role::Command) || is_bare && !word(0).is_empty() && (is_object || leads)
}

/// Whether behind "and" a clause with a subject of its own begins.
fn follows(words: &[String]) -> bool {
    let next = words.iter().skip_while(|word| *word != "and").nth(1);
    next.is_some_and(|word| {
        may(word, Role::Subject) || word.ends_with("'d") || word.ends_with("'ll")
    })
}

/// Bytes on either side of a figure that are looked at.
pub(super) const IN_SIGHT: usize = 600;

/// Whether a clause ends at `c`, which begins `rest`.
fn ends(rest: &str, c: char) -> bool {
    let blank = rest[c.len_utf8()..].starts_with([' ', '\n']);
    matches!(c, ',' | ';' | ':' | '!' | '?' | '.') && (blank || rest.len() == c.len_utf8())
}

/// Bytes up to the end of the clause.
fn length(text: &str) -> usize {
    text.char_indices().find(|(at, c)| ends(&text[*at..], *c)).map_or(text.len(), |(at, _)| at)
}

fn words(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric() && !matches!(c, '\'' | '’'));
    words
        .filter(|word| !word.is_empty())
        .map(|word| word.to_lowercase().replace('’', "'"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_is_no_statement_of_what_is() {
        let found = |text: &str| {
            let start = text.find(|c: char| c.is_ascii_digit()).expect("a figure");
            supposed(text, Span::new(start, start + 1))
        };
        let condition = Some(Supposed::Condition);
        assert_eq!(found("A hole of 2 mm would fill it sooner."), condition);
        assert_eq!(found("Were you to open the jet to 2 mm, it would hiss."), condition);
        assert_eq!(found("If you go down to 6 bar, the bolt would hang."), condition);
        assert_eq!(found("A stroke of 9 mm, a third of the bore, would do."), condition);
        assert_eq!(found("The lift could drop to 2 mm."), condition);
        assert_eq!(found("If they ask for a 5 m line, they pay for it."), condition);
        assert_eq!(found("Put both at 5 bar and the clock says the same."), condition);
        assert_eq!(found("The room would then hold 2 ml."), Some(Supposed::Consequence));
        assert_eq!(found("You'd need 9 strokes for that."), Some(Supposed::Consequence));
        let follows = Some(Supposed::Consequence);
        assert_eq!(found("Open the jet wide and the store is back in 9 s."), follows);
        assert_eq!(found("Widen the jet and it takes half the time, 9 s for one."), follows);
        assert_eq!(found("Pump on to the red line and you'd need 48 strokes."), follows);
        assert_eq!(found("Air on the plug holds it and the spring adds 48 N."), None);
        assert_eq!(found("If you count the room's air too, it is 3 bar."), None);
        assert_eq!(found("Open the jet and set the regulator to 9 bar."), None);
        assert_eq!(found("The hole is 2 mm; a larger one would hiss."), None);
        assert_eq!(found("It would hiss. The hole is 2 mm."), None);
        assert_eq!(found("Pressed down to 2 mm: you'd hear it hiss."), condition);
        assert_eq!(found("The hole is 2 mm: you'd hear it hiss."), None);
        assert_eq!(found("The hole is 2 mm, more than we could see."), None);
        assert_eq!(found("It is all of 2 m long, and you would call it thin."), None);
        assert_eq!(found("A hand over 2 m, and you would call it long."), None);
        assert_eq!(found("With 6 bar on it the bolt is shut, much as a weight would do."), None);
        assert_eq!(found("It pulls with 9 N, what a full can would weigh."), None);
        assert_eq!(found("Do the sum round the rim and you get 9 mm."), None);
        assert_eq!(found("Say 9 lb and you'll not be far out."), None);
    }
}
