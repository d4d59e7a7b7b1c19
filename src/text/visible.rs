//! Characters that do something instead of being seen.

use std::borrow::Cow;

/// Whether a character moves a terminal's cursor, changes its colours or its reading direction, or
/// worse. Line breaks and tabs are not among them.
pub(crate) fn acts(c: char) -> bool {
    c.is_control() && !matches!(c, '\n' | '\t')
        || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// The text with each such character written as `\u001b`, so that it can be seen and does nothing.
/// JSON stays the same value: outside of its strings there are none.
pub(crate) fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(acts) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if acts(c) {
            out.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}
