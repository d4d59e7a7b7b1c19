//! Text inside HTML.

/// Appends `text` with the characters that mean something in HTML text or in a quoted attribute
/// replaced by entities.
pub fn escape_into(out: &mut String, text: &str) {
    let mut rest = text;
    while let Some(at) = rest.find(['&', '<', '>', '"', '\'']) {
        let (plain, special) = rest.split_at(at);
        out.push_str(plain);
        let (entity, after) = match special.as_bytes().first() {
            Some(b'&') => ("&amp;", &special[1..]),
            Some(b'<') => ("&lt;", &special[1..]),
            Some(b'>') => ("&gt;", &special[1..]),
            Some(b'"') => ("&quot;", &special[1..]),
            _ => ("&#39;", &special[1..]),
        };
        out.push_str(entity);
        rest = after;
    }
    out.push_str(rest);
}

/// `text` escaped for HTML text or a quoted attribute.
#[must_use]
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    escape_into(&mut out, text);
    out
}
