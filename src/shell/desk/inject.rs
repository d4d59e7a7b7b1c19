//! What the desk changes in a page before it hands it out: a script that reloads it, and a policy
//! that lets the script ask. Published files are never changed.
//!
//! Must not touch sockets: text in, text out.

/// The script's address at the desk.
pub(super) const LIVE_ADDRESS: &str = "/_desk/live.js";

/// The page with the reloading script, and with a policy under which the script works. Bytes that
/// are not UTF-8 are left alone.
pub(super) fn for_desk(page: &[u8]) -> Vec<u8> {
    let Ok(page) = std::str::from_utf8(page) else { return page.to_vec() };
    let page = with_relaxed_policy(page);
    let script = format!("<script src=\"{LIVE_ADDRESS}\" defer></script>");
    let at = page.to_ascii_lowercase().rfind("</body>").unwrap_or(page.len());
    [&page[..at], &script, &page[at..]].concat().into_bytes()
}

fn with_relaxed_policy(page: &str) -> String {
    match policy_range(page) {
        Some(range) => {
            let relaxed = relaxed(&page[range.clone()]);
            [&page[..range.start], &relaxed, &page[range.end..]].concat()
        }
        None => page.to_string(),
    }
}

/// Where the policy stands in `<meta http-equiv="Content-Security-Policy" content="…">`.
fn policy_range(page: &str) -> Option<std::ops::Range<usize>> {
    let lower = page.to_ascii_lowercase();
    let named = lower.find("content-security-policy")?;
    let start = lower[..named].rfind("<meta")?;
    let end = named + lower[named..].find('>')?;
    let content = start + lower[start..end].find("content=")? + "content=".len();
    let quote = lower[content..end].chars().next().filter(|c| matches!(c, '"' | '\''))?;
    let value = content + 1;
    Some(value..value + lower[value..end].find(quote)?)
}

/// Adds this server as a source of scripts and a target of connections.
fn relaxed(policy: &str) -> String {
    let mut directives: Vec<Vec<&str>> = policy
        .split(';')
        .map(|directive| directive.split_ascii_whitespace().collect::<Vec<_>>())
        .filter(|directive| !directive.is_empty())
        .collect();
    for name in ["script-src", "connect-src"] {
        let find = |directives: &[Vec<&str>], name: &str| {
            directives.iter().position(|directive| directive[0].eq_ignore_ascii_case(name))
        };
        let at = find(&directives, name).unwrap_or_else(|| {
            // What is not named follows the default; naming it must not narrow it.
            let default = find(&directives, "default-src");
            let mut directive = default.map_or_else(Vec::new, |at| directives[at][1..].to_vec());
            directive.insert(0, name);
            directives.push(directive);
            directives.len() - 1
        });
        directives[at].retain(|source| *source != "'none'");
        if !directives[at].contains(&"'self'") {
            directives[at].push("'self'");
        }
    }
    directives.iter().map(|directive| directive.join(" ")).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn desk(page: &str) -> String {
        String::from_utf8(for_desk(page.as_bytes())).unwrap()
    }

    #[test]
    fn a_page_gets_the_script_and_a_policy_that_lets_it_ask() {
        let page = "<!doctype html><html><head><meta http-equiv=\"Content-Security-Policy\" \
                    content=\"default-src 'none'; style-src 'self'; script-src 'self'\"><title>Ü\
                    </title></head><body><p>a</p></body></html>";
        let expected = "<!doctype html><html><head><meta http-equiv=\"Content-Security-Policy\" \
                        content=\"default-src 'none'; style-src 'self'; script-src 'self'; \
                        connect-src 'self'\"><title>Ü</title></head><body><p>a</p>\
                        <script src=\"/_desk/live.js\" defer></script></body></html>";
        assert_eq!(desk(page), expected);
    }

    #[test]
    fn a_policy_is_widened_never_narrowed() {
        let both = "script-src 'self'; connect-src 'self'";
        for (policy, expected) in [
            ("", both.to_string()),
            (both, both.to_string()),
            (
                "connect-src 'none'; script-src 'none';",
                "connect-src 'self'; script-src 'self'".into(),
            ),
            (
                "default-src 'sha256-abc='",
                "default-src 'sha256-abc='; script-src 'sha256-abc=' 'self'; \
                 connect-src 'sha256-abc=' 'self'"
                    .into(),
            ),
            (
                "SCRIPT-SRC 'sha256-abc='",
                "SCRIPT-SRC 'sha256-abc=' 'self'; connect-src 'self'".into(),
            ),
        ] {
            assert_eq!(relaxed(policy), expected, "{policy}");
        }
    }

    #[test]
    fn pages_of_any_shape_get_the_script() {
        assert!(desk("").contains(LIVE_ADDRESS));
        assert!(desk("<p>no body").ends_with("</script>"));
        assert!(desk("<BODY>a</BODY>").ends_with("</script></BODY>"));
        let broken = "<meta http-equiv='Content-Security-Policy' content=";
        assert!(desk(broken).starts_with(broken));
        let reversed = "<meta content='default-src a' http-equiv='content-security-policy'>";
        assert!(desk(reversed).contains("connect-src a 'self'"));
        assert_eq!(for_desk(b"\xff</body>"), b"\xff</body>");
    }
}
