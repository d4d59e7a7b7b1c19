//! Themes: templates that lay out finished data, and the files that go with them.
//!
//! A theme is a folder of `.html` templates and assets, given as names and bytes. Templates are
//! parsed once; rendering is read-only and can run on many threads. The theme `sheet` is built into
//! the program; a folio may replace any of its files. Templates must not compute: all they get is
//! a [`ThemePage`], and the words of the [marks](MarkWords). This module reads no disk.

use super::shared::Site;
use crate::text::each_escaped;
use serde::Serialize;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock, PoisonError, RwLock};
use tera::{Context, ErrorKind, Tera, Value};

/// Folder of the published site in which assets of the theme lie.
pub(crate) const ASSET_FOLDER: &str = "sheet";

/// Bytes of a page of usual size.
const USUAL_PAGE: usize = 16 << 10;

/// The template of the head that most pages share. Of its page it knows only `frame.root` and,
/// where the navigation leads to it, `frame.address`.
const HEAD: &str = "parts/head.html";

/// Templates of the built-in theme, by name.
const TEMPLATES: &[(&str, &str)] = &[
    ("article.html", include_str!("../../themes/sheet/article.html")),
    ("asides.html", include_str!("../../themes/sheet/asides.html")),
    ("bench.html", include_str!("../../themes/sheet/bench.html")),
    ("checks.html", include_str!("../../themes/sheet/checks.html")),
    ("comparison.html", include_str!("../../themes/sheet/comparison.html")),
    ("cutaway.html", include_str!("../../themes/sheet/cutaway.html")),
    ("front_matter.html", include_str!("../../themes/sheet/front_matter.html")),
    ("engine.html", include_str!("../../themes/sheet/engine.html")),
    ("engines.html", include_str!("../../themes/sheet/engines.html")),
    ("fault.html", include_str!("../../themes/sheet/fault.html")),
    ("frame.html", include_str!("../../themes/sheet/frame.html")),
    ("glossary.html", include_str!("../../themes/sheet/glossary.html")),
    ("home.html", include_str!("../../themes/sheet/home.html")),
    ("measuring.html", include_str!("../../themes/sheet/measuring.html")),
    ("parts/caution.html", include_str!("../../themes/sheet/parts/caution.html")),
    ("parts/claims.html", include_str!("../../themes/sheet/parts/claims.html")),
    ("parts/components.html", include_str!("../../themes/sheet/parts/components.html")),
    ("parts/coverage.html", include_str!("../../themes/sheet/parts/coverage.html")),
    ("parts/contents.html", include_str!("../../themes/sheet/parts/contents.html")),
    ("parts/data_sheet.html", include_str!("../../themes/sheet/parts/data_sheet.html")),
    ("parts/faults.html", include_str!("../../themes/sheet/parts/faults.html")),
    ("parts/head.html", include_str!("../../themes/sheet/parts/head.html")),
    ("parts/one_by_one.html", include_str!("../../themes/sheet/parts/one_by_one.html")),
    ("parts/sequence.html", include_str!("../../themes/sheet/parts/sequence.html")),
    ("parts/sheet_head.html", include_str!("../../themes/sheet/parts/sheet_head.html")),
    ("parts/shot.html", include_str!("../../themes/sheet/parts/shot.html")),
    ("parts/standing.html", include_str!("../../themes/sheet/parts/standing.html")),
    ("parts/structure.html", include_str!("../../themes/sheet/parts/structure.html")),
    ("parts/title_block.html", include_str!("../../themes/sheet/parts/title_block.html")),
    ("parts/walk.html", include_str!("../../themes/sheet/parts/walk.html")),
    ("parts/wall.html", include_str!("../../themes/sheet/parts/wall.html")),
    ("parts/workings.html", include_str!("../../themes/sheet/parts/workings.html")),
    ("search.html", include_str!("../../themes/sheet/search.html")),
    ("sizes.html", include_str!("../../themes/sheet/sizes.html")),
    ("spares.html", include_str!("../../themes/sheet/spares.html")),
    ("text.html", include_str!("../../themes/sheet/text.html")),
];

/// Assets of the built-in theme, by name.
const ASSETS: &[(&str, &[u8])] = &[
    ("LICENCE.txt", include_bytes!("../../themes/sheet/LICENCE.txt")),
    ("bench.js", include_bytes!("../../themes/sheet/bench.js")),
    ("bench_shot.js", include_bytes!("../../themes/sheet/bench_shot.js")),
    ("centre.svg", include_bytes!("../../themes/sheet/centre.svg")),
    ("head.js", include_bytes!("../../themes/sheet/head.js")),
    ("search.js", include_bytes!("../../themes/sheet/search.js")),
    ("sheet.css", include_bytes!("../../themes/sheet/sheet.css")),
    ("sheet.js", include_bytes!("../../themes/sheet/sheet.js")),
];

/// Names of the files that go with the pages of every site, unless a folio replaces them.
pub(crate) fn built_in_assets() -> impl Iterator<Item = &'static str> {
    ASSETS.iter().map(|(name, _)| *name)
}

/// Whether a folio's own files of the theme are those that it would get anyway.
pub(crate) fn is_built_in(own: &BTreeMap<String, Vec<u8>>) -> bool {
    let text = |(name, text): &(&'static str, &'static str)| (*name, text.as_bytes());
    let files: BTreeMap<&str, &[u8]> =
        TEMPLATES.iter().map(text).chain(ASSETS.iter().copied()).collect();
    own.iter().all(|(name, bytes)| files.get(name.as_str()) == Some(&bytes.as_slice()))
}

/// Address of a theme's file that is no template.
pub(crate) fn asset_address(name: &str) -> String {
    format!("{ASSET_FOLDER}/{name}")
}

/// What is wrong with a template.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ThemeFault {
    /// Name of the template (`parts/head.html`); empty when it is not known.
    pub(crate) template: String,
    /// Line, from 1; 0 when it is not known.
    pub(crate) line: usize,
    /// What is the matter.
    pub(crate) message: String,
}

impl std::fmt::Display for ThemeFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.template.is_empty() {
            return write!(f, "theme: {}", self.message);
        }
        if self.line == 0 {
            return write!(f, "{}: {}", self.template, self.message);
        }
        write!(f, "{}:{}: {}", self.template, self.line, self.message)
    }
}

impl std::error::Error for ThemeFault {}

/// A file that goes with the pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Asset {
    /// Address relative to the site's root.
    pub(crate) path: String,
    /// Content.
    pub(crate) bytes: Cow<'static, [u8]>,
}

/// Parsed templates and the files that go with them.
#[derive(Debug, Clone)]
pub(crate) struct Theme {
    tera: Tera,
    assets: Vec<Asset>,
    /// The site of the page that was rendered first, ready for templates.
    site: OnceLock<ReadySite>,
}

/// What the pages of a site share, made ready for templates once.
#[derive(Debug, Clone)]
struct ReadySite {
    site: Arc<Site>,
    value: Value,
    /// The heads of its pages.
    heads: Arc<RwLock<BTreeMap<HeadOf, Value>>>,
}

/// All that a page's head knows of the page: the way to the root, and its address where the
/// navigation leads to it, else nothing. Most pages of a folder have one head.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
struct HeadOf {
    root: String,
    address: String,
}

impl ReadySite {
    fn new(site: &Arc<Site>) -> ReadySite {
        let value = Value::from_serializable(site.as_ref());
        ReadySite { site: Arc::clone(site), value, heads: Arc::default() }
    }
}

/// A page that a theme can show: plain data, and where it stands.
pub(crate) trait ThemePage: Serialize {
    /// The template that shows it.
    fn template(&self) -> &'static str;
    /// What it shares with all others.
    fn site(&self) -> &Arc<Site>;
    /// Path from it to the site's root: empty, `../`, `../../`.
    fn root(&self) -> &str;
    /// Its address, relative to the root.
    fn address(&self) -> &str;
}

/// What a mark on a figure is called, looks like and says.
#[derive(Debug, Clone, Copy, Serialize)]
pub(crate) struct MarkWords {
    /// Name in class names and data files.
    pub(crate) name: &'static str,
    /// The sign after the figure; empty where the line under it says enough.
    pub(crate) sign: &'static str,
    /// For titles and legends.
    pub(crate) words: &'static str,
    /// In the fewest words, for tables.
    pub(crate) short: &'static str,
    /// Whether a reader should think twice.
    pub(crate) care: bool,
}

impl Theme {
    /// The built-in theme with some of its files replaced or added. Names are relative to the
    /// theme's folder with `/` between parts; those that end in `.html` are templates. The legend
    /// holds every mark, in the order in which readers are told of them.
    ///
    /// # Errors
    /// The first template that cannot be parsed, or is not UTF-8.
    pub(crate) fn new(
        replaced: &BTreeMap<String, Vec<u8>>,
        legend: &[MarkWords],
    ) -> Result<Theme, ThemeFault> {
        let mut templates: BTreeMap<&str, &str> = TEMPLATES.iter().copied().collect();
        let mut assets: BTreeMap<&str, Cow<'static, [u8]>> =
            ASSETS.iter().map(|(name, bytes)| (*name, Cow::Borrowed(*bytes))).collect();
        for (name, bytes) in replaced {
            if name.ends_with(".html") {
                let text =
                    std::str::from_utf8(bytes).map_err(|fault| not_utf8(name, bytes, fault))?;
                templates.insert(name, text);
            } else {
                assets.insert(name, Cow::Owned(bytes.clone()));
            }
        }
        let mut tera = Tera::new();
        tera.set_escape_fn(escape);
        tera.add_raw_templates(templates).map_err(|error| fault_of(&error))?;
        let by_name: BTreeMap<&str, &MarkWords> =
            legend.iter().map(|mark| (mark.name, mark)).collect();
        tera.global_context().insert("legend", &legend);
        tera.global_context().insert("marks", &by_name);
        let assets = assets
            .into_iter()
            .map(|(name, bytes)| Asset { path: asset_address(name), bytes })
            .collect();
        Ok(Theme { tera, assets, site: OnceLock::new() })
    }

    /// The page as the bytes of its file.
    ///
    /// # Errors
    /// A template that asks for something the page does not have, with its place.
    pub(crate) fn render_bytes(&self, page: &impl ThemePage) -> Result<Vec<u8>, ThemeFault> {
        let mut context = Context::from_serialize(page).map_err(|error| fault_of(&error))?;
        let wanted = page.site();
        let known = self.site.get_or_init(|| ReadySite::new(wanted));
        let other;
        let ready = if Arc::ptr_eq(&known.site, wanted) {
            known
        } else {
            other = ReadySite::new(wanted);
            &other
        };
        context.insert_value("site", ready.value.clone());
        context.insert_value("head_html", self.head(ready, page)?);
        let mut html = Vec::with_capacity(USUAL_PAGE);
        let rendered = self.tera.render_to(page.template(), &context, &mut html);
        rendered.map_err(|error| fault_of(&error)).map(|()| without_controls(html))
    }

    /// The head of a page, from `parts/head.html`: the same for most pages of a folder.
    fn head(&self, ready: &ReadySite, page: &impl ThemePage) -> Result<Value, ThemeFault> {
        let is_fixed = ready.site.navigation.leads_to(page.address());
        let address = if is_fixed { page.address().to_owned() } else { String::new() };
        let of = HeadOf { root: page.root().to_owned(), address };
        let heads = || ready.heads.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(head) = heads().get(&of) {
            return Ok(head.clone());
        }
        let mut context = Context::new();
        context.insert("frame", &of);
        context.insert_value("site", ready.value.clone());
        let html = self.tera.render(HEAD, &context).map_err(|error| fault_of(&error))?;
        let head = Value::from(html);
        let mut heads = ready.heads.write().unwrap_or_else(PoisonError::into_inner);
        Ok(heads.entry(of).or_insert(head).clone())
    }

    /// Files that go with the pages, sorted by address.
    pub(crate) fn assets(&self) -> &[Asset] {
        &self.assets
    }
}

/// A page without the control characters that a writer's text may hold and no reader should get:
/// those of Unicode, but for the tab and the ends of lines.
fn without_controls(html: Vec<u8>) -> Vec<u8> {
    // Looked at to the end and many bytes at once, without a branch: hardly a page has any.
    let is_low = |byte: u8| {
        (byte < 32) & (byte != b'\t') & (byte != b'\n') & (byte != b'\r') | (byte == 127)
    };
    // Those above 127 are two bytes in UTF-8.
    let is_high = |lead: u8, next: u8| (lead == 0xc2) & (next & 0xe0 == 0x80);
    let has_low = html.iter().fold(false, |has, byte| has | is_low(*byte));
    let pairs = html.iter().zip(html.get(1..).unwrap_or_default());
    let has_high = pairs.fold(false, |has, (lead, next)| has | is_high(*lead, *next));
    if !has_low && !has_high {
        return html;
    }
    let stays = |c: &char| !c.is_control() || matches!(c, '\t' | '\n' | '\r');
    String::from_utf8_lossy(&html).chars().filter(stays).collect::<String>().into_bytes()
}

/// Escapes like Tera itself, which writes byte by byte.
fn escape(text: &str, out: &mut dyn std::io::Write) -> std::io::Result<()> {
    let mut written = Ok(());
    each_escaped(text, |piece| {
        if written.is_ok() {
            written = out.write_all(piece.as_bytes());
        }
    });
    written
}

fn not_utf8(name: &str, bytes: &[u8], fault: std::str::Utf8Error) -> ThemeFault {
    let line = bytes[..fault.valid_up_to()].iter().filter(|byte| **byte == b'\n').count() + 1;
    let message = "not UTF-8 text; save the template as UTF-8".into();
    ThemeFault { template: name.into(), line, message }
}

fn fault_of(error: &tera::Error) -> ThemeFault {
    match error.kind() {
        ErrorKind::SyntaxError(report) | ErrorKind::RenderingError(report) => ThemeFault {
            template: report.filename().into(),
            line: report.span().start_line,
            message: report.message().into(),
        },
        ErrorKind::MissingParent { current, parent } => ThemeFault {
            template: current.clone(),
            line: 0,
            message: format!("extends `{parent}`, which the theme does not have"),
        },
        ErrorKind::CircularExtend { tpl, .. } | ErrorKind::CircularInclude { tpl, .. } => {
            let message = "extends or includes itself, directly or through others".into();
            ThemeFault { template: tpl.clone(), line: 0, message }
        }
        other => ThemeFault { template: String::new(), line: 0, message: other.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn replaced(name: &str, text: &str) -> BTreeMap<String, Vec<u8>> {
        BTreeMap::from([(name.to_string(), text.as_bytes().to_vec())])
    }

    #[derive(Serialize)]
    struct Article {
        frame: BTreeMap<&'static str, String>,
        #[serde(skip)]
        site: Arc<Site>,
    }

    impl ThemePage for Article {
        fn template(&self) -> &'static str {
            "article.html"
        }
        fn site(&self) -> &Arc<Site> {
            &self.site
        }
        fn root(&self) -> &str {
            ""
        }
        fn address(&self) -> &str {
            "a.html"
        }
    }

    fn article(title: &str) -> Article {
        Article { frame: BTreeMap::from([("title", title.to_owned())]), site: Arc::default() }
    }

    fn themed(replaced: &BTreeMap<String, Vec<u8>>) -> Result<Theme, ThemeFault> {
        Theme::new(replaced, &[])
    }

    fn rendered(theme: &Theme, title: &str) -> Result<String, ThemeFault> {
        theme.render_bytes(&article(title)).map(|bytes| String::from_utf8(bytes).unwrap())
    }

    #[test]
    fn a_theme_can_be_shared_between_threads() {
        fn shared<T: Send + Sync>() {}
        shared::<Theme>();
    }

    #[test]
    fn every_file_of_the_theme_is_compiled_in() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("themes/sheet");
        for (part, prefix) in [(folder.clone(), ""), (folder.join("parts"), "parts/")] {
            for entry in std::fs::read_dir(part).unwrap() {
                let entry = entry.unwrap();
                let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
                let is_known = TEMPLATES.iter().any(|(known, _)| *known == name)
                    || ASSETS.iter().any(|(known, _)| *known == name);
                assert!(is_known || entry.path().is_dir(), "{name} is not compiled in");
            }
        }
    }

    #[test]
    fn control_characters_do_not_reach_the_page() {
        let theme = themed(&replaced("article.html", "{{ frame.title }}")).unwrap();
        let title = "a\u{0}b\u{1b}[2Jc\u{9b}\u{85}d\u{7f}\u{a0}e\tf\n";
        assert_eq!(rendered(&theme, title).unwrap(), "ab[2Jcd\u{a0}e\tf\n");
    }

    #[test]
    fn a_template_of_the_folio_replaces_the_built_in_one() {
        let theme = themed(&replaced("article.html", "<p>{{ frame.title }}</p>")).unwrap();
        assert_eq!(rendered(&theme, "<x>").unwrap(), "<p>&lt;x&gt;</p>");
    }

    #[test]
    fn a_file_of_the_folio_that_is_the_built_in_one_is_no_theme_of_its_own() {
        let (name, text) = TEMPLATES[0];
        assert!(is_built_in(&BTreeMap::new()));
        assert!(is_built_in(&replaced(name, text)));
        assert!(!is_built_in(&replaced(name, "<p>")));
        assert!(!is_built_in(&replaced("parts/own.html", text)));
    }

    #[test]
    fn a_broken_template_is_named_with_its_line() {
        let fault = themed(&replaced("article.html", "a\n{% if %}")).unwrap_err();
        assert_eq!((fault.template.as_str(), fault.line), ("article.html", 2), "{fault}");
    }

    #[test]
    fn a_template_that_asks_for_too_much_is_named_with_its_line() {
        let theme = themed(&replaced("article.html", "a\n\n{{ frame.price }}")).unwrap();
        let fault = rendered(&theme, "x").unwrap_err();
        assert_eq!((fault.template.as_str(), fault.line), ("article.html", 3), "{fault}");
    }

    #[test]
    fn a_template_in_another_encoding_is_refused() {
        let files = BTreeMap::from([("home.html".to_string(), b"a\n\xff".to_vec())]);
        let fault = themed(&files).unwrap_err();
        assert_eq!((fault.template.as_str(), fault.line), ("home.html", 2));
    }

    #[test]
    fn assets_lie_in_one_folder_and_can_be_replaced() {
        let theme = themed(&replaced("sheet.css", "x{}")).unwrap();
        let paths: Vec<&str> = theme.assets().iter().map(|asset| asset.path.as_str()).collect();
        assert!(paths.is_sorted() && paths.iter().all(|path| path.starts_with("sheet/")));
        let css = theme.assets().iter().find(|asset| asset.path == "sheet/sheet.css").unwrap();
        assert_eq!(css.bytes.as_ref(), b"x{}");
    }
}
