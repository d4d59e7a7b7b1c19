//! Text inside HTML.

/// Appends `text` with the characters that mean something in HTML text or in a quoted attribute
/// replaced by entities.
pub(crate) fn escape_into(out: &mut String, text: &str) {
    each_escaped(text, |piece| out.push_str(piece));
}

/// `text` escaped for HTML text or a quoted attribute.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    escape_into(&mut out, text);
    out
}

/// The same piece by piece, as few as there can be.
pub(crate) fn each_escaped<'t>(text: &'t str, mut each: impl FnMut(&'t str)) {
    let mut plain_from = 0;
    for (at, byte) in text.bytes().enumerate() {
        let entity = match byte {
            b'&' => "&amp;",
            b'<' => "&lt;",
            b'>' => "&gt;",
            b'"' => "&quot;",
            b'\'' => "&#39;",
            _ => continue,
        };
        if plain_from < at {
            each(&text[plain_from..at]);
        }
        each(entity);
        plain_from = at + 1;
    }
    if plain_from < text.len() {
        each(&text[plain_from..]);
    }
}
