//! The house rules, held by a test instead of by memory: layers, sizes, module docs, what may touch
//! the disk, what lies in the top folder, and that the documents keep up with the code.
//!
//! A rule that must be broken somewhere is broken by a named entry in a list below.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

/// The layers, lowest first, each with the ones it may use. `shell` may use all.
const LAYERS: [(&str, &[&str]); 22] = [
    ("text", &[]),
    ("linear_assignment", &[]),
    ("slip", &["text"]),
    ("quantity", &["text", "slip"]),
    ("tables", &["text", "slip", "quantity"]),
    ("formula", &["text", "slip", "quantity", "tables"]),
    // Metres alone: no text, no units.
    ("geometry", &[]),
    ("cutaway", &["text", "slip", "formula", "geometry"]),
    ("logic", &["text", "slip", "cutaway"]),
    ("faults", &["text", "cutaway", "logic"]),
    ("comparison", &["text", "linear_assignment", "slip", "cutaway", "logic"]),
    ("drawing", &["text", "slip", "geometry", "cutaway", "logic", "comparison"]),
    ("page", &["text", "slip", "quantity"]),
    ("sheet", &["text", "slip", "quantity", "tables", "formula", "page"]),
    ("folio", BELOW_FOLIO),
    ("statement", &["text", "quantity", "folio"]),
    ("body", &["text", "slip", "quantity", "tables", "formula", "page", "sheet"]),
    ("proof", BELOW_PROOF),
    // Shows finished words, whatever they are about.
    ("site", &["text"]),
    ("view_model", BELOW_VIEW_MODEL),
    ("publication", BELOW_PUBLICATION),
    ("shell", BELOW_SHELL),
];
const BELOW_FOLIO: &[&str] = &[
    "text",
    "slip",
    "quantity",
    "tables",
    "formula",
    "geometry",
    "cutaway",
    "logic",
    "faults",
    "comparison",
    "page",
    "sheet",
];
const BELOW_PROOF: &[&str] = &[
    "text",
    "linear_assignment",
    "slip",
    "quantity",
    "tables",
    "formula",
    "cutaway",
    "logic",
    "faults",
    "comparison",
    "page",
    "sheet",
    "folio",
    "statement",
    "body",
];
const BELOW_VIEW_MODEL: &[&str] = &[
    "text",
    "slip",
    "quantity",
    "tables",
    "formula",
    "cutaway",
    "logic",
    "faults",
    "comparison",
    "drawing",
    "page",
    "sheet",
    "folio",
    "body",
    "proof",
    "site",
];
const BELOW_PUBLICATION: &[&str] =
    &["text", "slip", "quantity", "folio", "proof", "site", "view_model"];
const BELOW_SHELL: &[&str] = &[
    "publication",
    "text",
    "slip",
    "quantity",
    "tables",
    "formula",
    "cutaway",
    "logic",
    "faults",
    "comparison",
    "drawing",
    "page",
    "sheet",
    "folio",
    "body",
    "proof",
    "site",
    "view_model",
];

/// Longest file, in lines of code: no comments, blank lines or unit tests.
const LONGEST_FILE: usize = 600;
/// Files that are one table, which may be longer.
const TABLES: [&str; 0] = [];

/// Longest function, in lines from `fn` to its closing brace.
const LONGEST_FUNCTION: usize = 70;
/// Functions that are one table, which may be longer: `path::name`.
const TABLE_FUNCTIONS: [&str; 0] = [];

/// Longest line of a comment, in characters; the formatter sees to the code.
const WIDEST_LINE: usize = 100;

/// What the top folder may hold besides dot-files.
const TOP: [&str; 9] = [
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "content",
    "diagrams",
    "src",
    "tests",
];
/// The theme, and what the two commands of the README leave there (not under version control).
const TOP_TOO: [&str; 5] = ["themes", "target", "site", "draft", "node_modules"];

/// Parts of the standard library that reach outside of the program.
const OUTSIDE: [&str; 5] = ["env", "fs", "net", "process", "time"];

/// Headings of a catalogue page, in order.
const CATALOGUE_HEADINGS: [&str; 5] = [
    "## The slip",
    "## How it misleads a reader",
    "## A sentence that trips it",
    "## Put right",
    "## When to let it pass",
];

struct RustFile {
    /// Relative to the package, with `/`.
    name: String,
    text: String,
    /// `text` with comments, strings and characters blanked out, line by line the same.
    code: String,
}

impl RustFile {
    /// The code before the unit tests.
    fn plain_code(&self) -> &str {
        self.code.split("#[cfg(test)]\nmod ").next().unwrap_or(&self.code)
    }

    fn layer(&self) -> Option<&str> {
        let inside = self.name.strip_prefix("src/")?;
        inside.split(['/', '.']).next().filter(|layer| !matches!(*layer, "lib" | "main"))
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// All files below `folder`, named relative to the package, without what packages bring along.
fn files_below(folder: &str) -> Vec<(String, PathBuf)> {
    let foreign = |name: &str| matches!(name, "node_modules" | "target" | ".git" | ".cache");
    let walk = WalkDir::new(root().join(folder)).sort_by_file_name().into_iter();
    walk.filter_entry(|entry| !entry.file_name().to_str().is_some_and(foreign))
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let relative = entry.path().strip_prefix(root()).unwrap();
            let parts: Vec<_> = relative.iter().map(|part| part.to_string_lossy()).collect();
            (parts.join("/"), entry.path().to_path_buf())
        })
        .collect()
}

fn rust_files(folder: &str) -> Vec<RustFile> {
    let files = files_below(folder).into_iter().filter(|(name, _)| name.ends_with(".rs"));
    let files: Vec<RustFile> = files
        .map(|(name, path)| {
            let text = fs::read_to_string(path).unwrap();
            RustFile { name, code: blanked(&text), text }
        })
        .collect();
    assert!(!files.is_empty(), "no Rust files below {folder}");
    files
}

/// Fails with all complaints at once.
#[track_caller]
fn assert_none(complaints: Vec<String>) {
    assert!(complaints.is_empty(), "\n{}\n", complaints.join("\n"));
}

#[test]
fn a_layer_uses_only_those_below_it() {
    let may_use: BTreeMap<&str, &[&str]> = LAYERS.into_iter().collect();
    let mut complaints = Vec::new();
    for file in rust_files("src") {
        let Some(layer) = file.layer() else { continue };
        let Some(below) = may_use.get(layer) else {
            complaints.push(format!("{}: layer `{layer}` is not in the table above", file.name));
            continue;
        };
        for (line, used) in uses_of(&file.code, "crate") {
            if used != layer && may_use.contains_key(used.as_str()) && !below.contains(&&*used) {
                complaints.push(format!("{}:{line}: `{layer}` uses `{used}`", file.name));
            }
        }
    }
    assert_none(complaints);
}

#[test]
fn the_table_of_layers_has_no_loop() {
    let mut lower = BTreeSet::new();
    for (layer, below) in LAYERS {
        assert!(below.iter().all(|used| lower.contains(used)), "`{layer}` uses a higher one");
        lower.insert(layer);
    }
}

#[test]
fn a_type_has_one_meaning() {
    let mut known: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for file in rust_files("src") {
        for line in file.plain_code().lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            let after = usize::from(line.starts_with("pub"));
            let [kind, name, ..] = words.get(after..).unwrap_or_default() else { continue };
            if !line.starts_with(' ') && matches!(*kind, "struct" | "enum" | "trait" | "type") {
                let name = name.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default();
                known.entry(name.to_string()).or_default().push(file.name.clone());
            }
        }
    }
    assert!(100 < known.len(), "only {} types were seen", known.len());
    let several = known.into_iter().filter(|(_, files)| 1 < files.len());
    assert_none(several.map(|(name, files)| format!("{name}: {}", files.join(", "))).collect());
}

#[test]
fn only_the_shell_reaches_outside() {
    let mut complaints = Vec::new();
    for file in rust_files("src") {
        if file.layer().is_none_or(|layer| layer == "shell") {
            continue;
        }
        for (line, used) in uses_of(file.plain_code(), "std") {
            if OUTSIDE.contains(&&*used) {
                complaints.push(format!("{}:{line}: `std::{used}` belongs in `shell`", file.name));
            }
        }
    }
    assert_none(complaints);
}

#[test]
fn every_file_says_what_it_is_for() {
    let silent = ["src", "tests"]
        .into_iter()
        .flat_map(rust_files)
        .filter(|file| !file.text.starts_with("//! "));
    assert_none(silent.map(|file| format!("{}: does not open with `//!`", file.name)).collect());
}

#[test]
fn files_functions_and_comments_are_short() {
    let mut complaints = Vec::new();
    for file in ["src", "tests"].into_iter().flat_map(rust_files) {
        let name = &file.name;
        let lines = file.plain_code().lines().filter(|line| !line.trim().is_empty()).count();
        if LONGEST_FILE < lines && !TABLES.contains(&name.as_str()) {
            complaints.push(format!("{name}: {lines} lines of code, more than {LONGEST_FILE}"));
        }
        for (line, function, lines) in functions(&file.code) {
            let is_table = TABLE_FUNCTIONS.contains(&format!("{name}::{function}").as_str());
            if LONGEST_FUNCTION < lines && !is_table {
                complaints.push(format!("{name}:{line}: `{function}` has {lines} lines"));
            }
        }
        for (at, line) in file.text.lines().enumerate() {
            let width = line.chars().count();
            let is_comment = line.trim_start().starts_with("//");
            if is_comment && WIDEST_LINE < width && !line.contains("://") {
                complaints.push(format!("{name}:{}: {width} characters wide", at + 1));
            }
        }
    }
    assert_none(complaints);
}

/// What a room that only shows may not do: work out, judge, or look for something in its own HTML.
const NOT_IN_VIEWS: [&str; 6] = [
    "formula::evaluate",
    "formula::parse",
    "Verdict::Agree",
    "Verdict::Lenient",
    "Verdict::Disagree",
    ".find(\"<",
];

#[test]
fn views_compute_nothing_and_judge_nothing() {
    let files = rust_files("src/view_model");
    let complaints = files.iter().flat_map(|file| {
        let pieces = NOT_IN_VIEWS.iter().filter(|piece| file.text.contains(**piece));
        pieces.map(|piece| format!("{}: {piece}", file.name))
    });
    assert_none(complaints.collect());
}

#[test]
fn the_top_folder_is_tidy() {
    let names = fs::read_dir(root()).unwrap().map(|entry| entry.unwrap().file_name());
    let names = names.map(|name| name.to_string_lossy().into_owned());
    let strange = names.filter(|name| {
        !name.starts_with('.') && !TOP.contains(&name.as_str()) && !TOP_TOO.contains(&name.as_str())
    });
    assert_none(strange.map(|name| format!("{name}: not meant for the top folder")).collect());
}

#[test]
fn nothing_names_a_machine_or_is_left_to_do() {
    // Put together from pieces, so that this file passes.
    let paths =
        ["/home", "/root", "/work", "/Users", "/tmp", "/opt"].map(|path| format!("{path}/"));
    let hosts = ["registry", "static", "index", "files"].map(|host| format!("://{host}."));
    let marks = [["TO", "DO"], ["FIX", "ME"], ["X", "XX"], ["HA", "CK"]].map(|mark| mark.concat());
    let mut complaints = Vec::new();
    for (name, path) in files_below(".") {
        let is_made = ["site/", "draft/", "Cargo.lock"].iter().any(|made| name.starts_with(made));
        let Ok(text) = fs::read_to_string(&path) else { continue };
        if is_made {
            continue;
        }
        for (at, line) in text.lines().enumerate() {
            let words = || line.split(|c: char| !c.is_ascii_alphanumeric() && c != '/');
            let path_found = paths.iter().find(|path| names_a_path(line, path));
            let found = path_found
                .or_else(|| hosts.iter().find(|host| line.contains(host.as_str())))
                .or_else(|| marks.iter().find(|mark| words().any(|word| word == mark.as_str())));
            if let Some(found) = found {
                complaints.push(format!("{name}:{}: `{found}`", at + 1));
            }
        }
    }
    assert_none(complaints);
}

/// Whether `path` starts an absolute path in the line, not the middle of an address or a pattern.
fn names_a_path(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        !before
            .is_some_and(|c| c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '/' | '}' | '~'))
    })
}

#[test]
fn the_guide_lists_what_lies_in_src() {
    let guide = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let listed: BTreeSet<String> = listed_paths(&guide).collect();
    assert!(!listed.is_empty(), "DEVELOPERS.md has no fenced block with lines `src/… what it is`");
    let there: BTreeSet<String> = fs::read_dir(root().join("src"))
        .unwrap()
        .map(|entry| format!("src/{}", entry.unwrap().file_name().to_string_lossy()))
        .collect();
    let missing = there.difference(&listed).map(|path| format!("{path}: not in DEVELOPERS.md"));
    let gone = listed.iter().filter(|path| !root().join(path).exists());
    let gone = gone.map(|path| format!("{path}: in DEVELOPERS.md, but not there"));
    assert_none(missing.chain(gone).collect());
    assert!(guide.lines().count() <= 250, "DEVELOPERS.md is longer than 250 lines");
}

/// First words of the lines of fenced blocks that start with `src/`, without a slash at the end.
fn listed_paths(guide: &str) -> impl Iterator<Item = String> {
    let blocks = guide.split("```").skip(1).step_by(2);
    let words = blocks.flat_map(str::lines).filter_map(|line| line.split_whitespace().next());
    let paths = words.filter(|word| word.starts_with("src/"));
    paths.map(|path| path.trim_end_matches('/').to_string())
}

#[test]
fn every_fault_has_a_page_and_every_page_a_fault() {
    let folder = root().join("src/proof/catalogue");
    let pages: BTreeSet<String> = fs::read_dir(folder)
        .unwrap()
        .filter_map(|entry| {
            entry.unwrap().file_name().to_str()?.strip_suffix(".md").map(Into::into)
        })
        .collect();
    let sources = rust_files("src");
    let mut complaints = Vec::new();
    for file in &sources {
        for (line, code) in fault_codes(&file.text) {
            if !pages.contains(&code) {
                complaints.push(format!("{}:{line}: `{code}` has no catalogue page", file.name));
            }
        }
    }
    for page in &pages {
        let quoted = format!("\"{page}\"");
        if !sources.iter().any(|file| file.text.contains(&quoted)) {
            complaints.push(format!("catalogue/{page}.md: no code finds this fault"));
        }
    }
    assert_none(complaints);
}

#[test]
fn catalogue_pages_have_the_same_five_parts() {
    let pages = files_below("src/proof/catalogue");
    let pages = pages.into_iter().filter(|(name, _)| name.ends_with(".md"));
    let differing = pages.filter(|(_, path)| {
        let text = fs::read_to_string(path).unwrap();
        let headings: Vec<&str> = text.lines().filter(|line| line.starts_with("## ")).collect();
        !text.starts_with("# ") || headings != CATALOGUE_HEADINGS
    });
    assert_none(differing.map(|(name, _)| format!("{name}: other headings")).collect());
}

/// Fault names given to the constructors of slips, or to a field `code`, with their lines.
fn fault_codes(text: &str) -> Vec<(usize, String)> {
    let starts = ["Slip::stop(", "Slip::mark(", "Slip::note(", " code: "];
    let found = starts.iter().flat_map(|start| text.match_indices(start));
    let codes = found.filter_map(|(at, start)| {
        let after = text[at + start.len()..].trim_start().strip_prefix('"')?;
        let code = &after[..after.find('"')?];
        let is_code = code.chars().all(|c| c.is_ascii_lowercase() || matches!(c, '-' | '0'..='9'));
        (is_code && !code.is_empty()).then(|| (line_of(text, at), code.to_string()))
    });
    codes.collect()
}

fn line_of(text: &str, at: usize) -> usize {
    text[..at].matches('\n').count() + 1
}

/// First path segments behind `krate::`, also those in braces, with their lines.
fn uses_of(code: &str, krate: &str) -> Vec<(usize, String)> {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    let start = format!("{krate}::");
    let mut uses = Vec::new();
    for (at, _) in code.match_indices(&start) {
        if code[..at].ends_with(is_word) {
            continue;
        }
        let rest = &code[at + start.len()..];
        let mut depth = 0;
        let mut word = String::new();
        let mut is_first = true;
        for c in rest.chars() {
            if is_word(c) {
                word.push(c);
                continue;
            }
            if is_first && !word.is_empty() {
                uses.push((line_of(code, at), std::mem::take(&mut word)));
            }
            word.clear();
            match c {
                '{' => depth += 1,
                '}' => depth -= 1,
                _ => {}
            }
            // Only the words right behind the outer brace or its commas are first segments.
            is_first = depth == 1 && (matches!(c, '{' | ',') || (is_first && c.is_whitespace()));
            if depth <= 0 || c == ';' {
                break;
            }
        }
    }
    uses
}

/// Line, name and number of lines of each function with a body.
fn functions(code: &str) -> Vec<(usize, String, usize)> {
    let starts = code
        .match_indices("fn ")
        .filter(|(at, _)| !code[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'));
    let found = starts.filter_map(|(at, _)| {
        let name = code[at + 3..].split(|c: char| !c.is_alphanumeric() && c != '_').next()?;
        let end = end_of_body(&code[at..])?;
        let lines = code[at..at + end].matches('\n').count() + 1;
        (!name.is_empty()).then(|| (line_of(code, at), name.to_string(), lines))
    });
    found.collect()
}

/// Where the first block in braces ends, unless a `;` ends the declaration before.
fn end_of_body(code: &str) -> Option<usize> {
    let (mut braces, mut brackets) = (0, 0);
    for (at, c) in code.char_indices() {
        match c {
            '(' | '[' => brackets += 1,
            ')' | ']' => brackets -= 1,
            ';' if braces == 0 && brackets == 0 => return None,
            '{' => braces += 1,
            '}' => {
                braces -= 1;
                if braces == 0 {
                    return Some(at + 1);
                }
            }
            _ => {}
        }
    }
    None
}

/// Replaces comments, strings and characters by blanks; line breaks stay.
fn blanked(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let length = match first {
            '/' if rest.starts_with("//") => rest.find('\n').unwrap_or(rest.len()),
            '/' if rest.starts_with("/*") => rest.find("*/").map_or(rest.len(), |end| end + 2),
            '"' => string_length(rest),
            'r' if !out.ends_with(|c: char| c.is_alphanumeric() || c == '_') => raw_length(rest),
            '\'' => character_length(rest),
            _ => 0,
        };
        if length == 0 {
            out.push(first);
            rest = &rest[first.len_utf8()..];
        } else {
            out.extend(rest[..length].chars().map(|c| if c == '\n' { '\n' } else { ' ' }));
            rest = &rest[length..];
        }
    }
    out
}

fn string_length(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            '"' if !escaped => return at + 1,
            '\\' if !escaped => escaped = true,
            _ => escaped = false,
        }
    }
    text.len()
}

/// Length of a raw string `r#"…"#`; 0 if it is none.
fn raw_length(text: &str) -> usize {
    let marks = text[1..].bytes().take_while(|byte| *byte == b'#').count();
    if !text[1 + marks..].starts_with('"') {
        return 0;
    }
    let end = format!("\"{}", "#".repeat(marks));
    let start = marks + 2;
    text[start..].find(&end).map_or(text.len(), |at| start + at + end.len())
}

/// Length of a character `'a'`; 0 for a lifetime.
fn character_length(text: &str) -> usize {
    if text.starts_with("'\\") {
        return text[3..].find('\'').map_or(0, |at| at + 4);
    }
    let mut after = text.char_indices().skip(2);
    after.next().filter(|(_, c)| *c == '\'').map_or(0, |(at, _)| at + 1)
}

#[test]
fn the_rules_see_what_they_should() {
    let code = "fn a() {\n  \"}\"; '}'; '\\''; /* } */ // }\n  r#\"}\"#;\n}\nfn b();\n\
                fn c<'x>(d: [u8; 2]) {}";
    let code = blanked(code);
    assert_eq!(functions(&code), [(1, "a".into(), 4), (6, "c".into(), 1)]);
    let uses =
        "use crate::{text::Spot, slip::{Slip, render}, sheet};\ncrate::page::x(); xcrate::y();";
    let names: Vec<String> = uses_of(uses, "crate").into_iter().map(|(_, name)| name).collect();
    assert_eq!(names, ["text", "slip", "sheet", "page"]);
    let slips = "Slip::stop(\"a-b\", x); Slip::mark(\n \"c\"); \
                 Slip { code: \"d-1\" }; Slip::note(code)";
    let codes: Vec<String> = fault_codes(slips).into_iter().map(|(_, code)| code).collect();
    assert_eq!(codes, ["a-b", "c", "d-1"]);
    let guide = "x `src/no`\n```text\nsrc/text/   texts\n  src/main.rs  the program\n```\nsrc/not";
    assert_eq!(listed_paths(guide).collect::<Vec<_>>(), ["src/text", "src/main.rs"]);
    let path = ["/ho", "me/"].concat();
    assert!(names_a_path(&format!("in {path}x"), &path));
    assert!(!names_a_path(&format!("https://a.example{path}x"), &path));
    assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml").exists());
}
