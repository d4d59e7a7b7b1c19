//! The keys of the front matter and of the imprint, as one table: what messages propose, and what
//! the site publishes.

use std::sync::LazyLock;

/// Keys of one map that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyGroup {
    /// What messages call the map: "a reading", "the front matter". Groups of one map share it.
    pub of: &'static str,
    /// Heading on the reference.
    pub(crate) label: &'static str,
    /// Where the map stands and what it is for, as sentences.
    pub(crate) meaning: &'static str,
    /// Keys that are described with another map: what messages call that one, and the keys.
    pub(crate) also: Option<(&'static str, Vec<&'static str>)>,
    /// Its own keys, in the order of the reference.
    pub keys: Vec<KeyDoc>,
}

/// One key.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct KeyDoc {
    /// The key as typed.
    pub key: &'static str,
    /// What stands behind it: "text", "date", "one of: gauge, absolute".
    pub(crate) takes: &'static str,
    /// Whether the map is nothing without it.
    pub(crate) is_needed: bool,
    /// What it means, as sentences.
    pub(crate) meaning: &'static str,
    /// What else is good to know; may be empty.
    pub(crate) note: &'static str,
    /// Slips that it can raise: the code, and lines that raise it.
    pub slips: Vec<(&'static str, &'static str)>,
    /// Lines of front matter, or of an imprint, without a slip.
    pub example: String,
}

impl KeyDoc {
    /// The words that it takes, where they are a closed list.
    pub(super) fn words(&self) -> Option<impl Iterator<Item = &'static str>> {
        Some(self.takes.strip_prefix("one of: ")?.split(", "))
    }
}

static GROUPS: LazyLock<Vec<KeyGroup>> = LazyLock::new(|| read(include_str!("keys.txt")));

/// All groups, in the order of the reference.
#[must_use]
pub fn groups() -> &'static [KeyGroup] {
    &GROUPS
}

/// The keys of a map, in the order of the reference.
pub(super) fn keys_of(map: &str) -> impl Iterator<Item = &'static str> {
    GROUPS.iter().filter(move |group| group.of == map).flat_map(|group| {
        let also = group.also.iter().flat_map(|(_, keys)| keys.iter().copied());
        group.keys.iter().map(|key| key.key).chain(also)
    })
}

/// What is said of a key of a map.
pub(super) fn key_of(map: &str, key: &str) -> Option<&'static KeyDoc> {
    GROUPS.iter().filter(|group| group.of == map).find_map(|group| {
        let also = group.also.as_ref().filter(|(_, keys)| keys.contains(&key));
        let own = group.keys.iter().find(|doc| doc.key == key);
        own.or_else(|| also.and_then(|(other, _)| key_of(other, key)))
    })
}

fn read(text: &'static str) -> Vec<KeyGroup> {
    let mut groups: Vec<KeyGroup> = Vec::new();
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        if let Some((of, label)) = line.strip_prefix("== ").and_then(|head| head.split_once(" | "))
        {
            groups.push(KeyGroup { of, label, meaning: "", also: None, keys: Vec::new() });
        } else if let Some(group) = groups.last_mut() {
            group.take(line);
        }
    }
    groups
}

impl KeyGroup {
    fn take(&mut self, line: &'static str) {
        if let Some(key) = line.strip_prefix("= ") {
            self.keys.push(KeyDoc { key, ..KeyDoc::default() });
            return;
        }
        match (self.keys.last_mut(), line.split_once(": ")) {
            (Some(key), _) => key.take(line),
            (None, Some(("also", also))) => {
                self.also =
                    also.split_once(": ").map(|(of, keys)| (of, keys.split(", ").collect()));
            }
            (None, Some((_, meaning))) => self.meaning = meaning,
            (None, None) => {}
        }
    }
}

impl KeyDoc {
    fn take(&mut self, line: &'static str) {
        if let Some(example) = line.strip_prefix("  ") {
            self.example.push_str(example);
            self.example.push('\n');
            return;
        }
        match line.split_once(": ") {
            Some(("takes", takes)) => self.takes = takes,
            Some(("needed", _)) => self.is_needed = true,
            Some(("means", meaning)) => self.meaning = meaning,
            Some(("note", note)) => self.note = note,
            Some(("slip", slip)) => self.slips.extend(slip.split_once(" | ")),
            _ => {}
        }
    }
}
