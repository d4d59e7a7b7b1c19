//! What a page's template may ask, counted before the template parser sees it: the parser goes as
//! deep as an expression is long, and so does whatever takes its result apart.

use crate::text::Span;

/// Most words, numbers and signs in one expression.
const MOST_WORDS: usize = 400;
/// Deepest nesting of statements; each `elif` lies inside of the one before.
const DEEPEST: usize = 60;

/// The statements that a page may use.
const STATEMENTS: [&str; 8] = ["for", "endfor", "if", "elif", "else", "endif", "raw", "endraw"];

/// The first part of a template that is none of ours or goes too far, and what is wrong with it.
/// A page that could set names could double a text until memory ends, for next to no fuel.
pub(super) fn beyond(text: &str) -> Option<(Span, String)> {
    // How deep each open statement goes.
    let mut open: Vec<usize> = Vec::new();
    let mut at = 0;
    while let Some(start) = text[at..].find('{').map(|found| at + found) {
        let rest = &text[start + 1..];
        let is_statement = rest.starts_with('%');
        if !is_statement && !rest.starts_with('{') {
            at = start + 1;
            continue;
        }
        let (words, end) = expression(text, start + 2, if is_statement { "%}" } else { "}}" });
        let span = Span::new(start, end);
        if MOST_WORDS < words {
            let message = format!("an expression has {words} words and signs, over {MOST_WORDS}");
            return Some((span, message));
        }
        at = end;
        if !is_statement {
            continue;
        }
        let (word, place) = first_word(text, start + 2);
        match word {
            "raw" => at = text[end..].find("endraw").map_or(text.len(), |found| end + found),
            "if" | "for" => open.push(1),
            "elif" => open.last_mut().into_iter().for_each(|depth| *depth += 1),
            "endif" | "endfor" => drop(open.pop()),
            word if !word.is_empty() && !STATEMENTS.contains(&word) => {
                return Some((place, format!("`{word}` is not part of a page's template")));
            }
            _ => {}
        }
        if DEEPEST < open.iter().sum() {
            return Some((place, format!("`if`, `elif` and `for` lie over {DEEPEST} deep")));
        }
    }
    None
}

/// Words, numbers and signs of an expression that starts at a place, and where it ends. As for the
/// parser, it does not end inside of a text or of brackets.
fn expression(text: &str, start: usize, close: &str) -> (usize, usize) {
    let (mut words, mut brackets, mut in_word) = (0, 0_isize, false);
    let mut rest = text[start..].char_indices();
    while let Some((at, c)) = rest.next() {
        if brackets == 0 && text[start + at..].starts_with(close) {
            return (words, start + at + close.len());
        }
        let is_letter = c.is_alphanumeric() || c == '_';
        let goes_on = c.is_whitespace() || is_letter && in_word;
        words += usize::from(!goes_on);
        in_word = is_letter;
        match c {
            '(' | '[' | '{' => brackets += 1,
            ')' | ']' | '}' => brackets -= 1,
            '"' | '\'' => {
                let mut is_escaped = false;
                rest.find(|(_, inner)| {
                    let ends = !is_escaped && *inner == c;
                    is_escaped = !is_escaped && *inner == '\\';
                    ends
                });
            }
            _ => {}
        }
    }
    (words, text.len())
}

fn first_word(text: &str, from: usize) -> (&str, Span) {
    let rest = text[from..].trim_start_matches(['-', '+']).trim_start();
    let length = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
    let start = text.len() - rest.len();
    (&rest[..length], Span::new(start, start + length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> Option<String> {
        beyond(text).map(|(_, message)| message)
    }

    #[test]
    fn an_expression_has_an_end_to_its_words() {
        let sum = |terms: usize| format!("a {{{{ 1{} }}}} b", "+1".repeat(terms));
        assert_eq!(told(&sum(100)), None);
        let words = "an expression has 401 words and signs, over 400";
        assert_eq!(told(&sum(200)).as_deref(), Some(words));
        // What only looks like the end.
        for start in ["'}}'", "{1: {2: 3}}", "\"\\\"}}\"", "(1)"] {
            assert!(told(&format!("{{{{ {start}{} }}}}", "+1".repeat(300))).is_some(), "{start}");
        }
        for deep in ["not ", "-", "a.", "(", "[", "1|abs|", "1 if 1 else "] {
            let text = format!("{{{{ {}1 }}}}", deep.repeat(500));
            assert!(told(&text).is_some(), "{deep}");
            assert!(told(&text.replace("{{", "{% if").replace("}}", "%}")).is_some(), "{deep}");
        }
        let text = format!("{{{{ '{}' }}}}", "long ".repeat(900));
        assert_eq!(told(&text), None, "a text is one word");
        assert_eq!(told(&"{{ 1 + 1 }} ".repeat(900)), None, "many are as good as one");
    }

    #[test]
    fn statements_lie_only_so_deep() {
        let chain =
            |links: usize| format!("{{% if 0 %}}{}{{% endif %}}", "{% elif 0 %}".repeat(links));
        assert_eq!(told(&chain(59)), None);
        assert_eq!(told(&chain(60)).as_deref(), Some("`if`, `elif` and `for` lie over 60 deep"));
        assert_eq!(told(&chain(40).repeat(9)), None);
        let nested = "{% for i in x %}".repeat(40) + &"{% if i %}".repeat(40);
        assert!(told(&nested).is_some());
        assert_eq!(told("{% raw %}{{ 1+ {% set %}{% endraw %}{{ 2 }}"), None);
        assert_eq!(
            told("{%- set a = 1 %}").as_deref(),
            Some("`set` is not part of a page's template")
        );
    }
}
