//! The least that publishing a folio can cost: read, Markdown, one template, write, sync.
//!
//! Knows nothing of figures, links or proof, and shares no code with the program.

use pulldown_cmark::{Options, Parser, html};
use rayon::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use walkdir::WalkDir;

const TEMPLATE: &str = "<!doctype html><html lang=\"en\"><head><meta charset=\"utf-8\">\
    <title>{{ title }}</title><link rel=\"stylesheet\" href=\"../sheet.css\"></head><body>\
    <main>{{ body | safe }}</main><footer>{{ padding | safe }}</footer></body></html>";

/// Publishes the folio's pages to `site`, padded so that `bytes` are written in all.
pub(crate) fn publish(folio: &Path, site: &Path, bytes: usize) {
    let mut themes = tera::Tera::default();
    themes.add_raw_template("page.html", TEMPLATE).unwrap();
    let content = folio.join("content");
    let entries = WalkDir::new(&content).sort_by_file_name().into_iter().map(Result::unwrap);
    let pages: Vec<PathBuf> = entries
        .map(walkdir::DirEntry::into_path)
        .filter(|path| path.extension().is_some_and(|ending| ending == "md"))
        .collect();
    let staging = site.with_extension("new");
    let _ = fs::remove_dir_all(&staging);
    fs::create_dir_all(staging.join("trials")).unwrap();
    let share = bytes / pages.len();
    // The first page takes what the division leaves.
    let left = bytes % pages.len();
    pages.par_iter().enumerate().for_each(|(index, path)| {
        let share = share + if index == 0 { left } else { 0 };
        let inside = path.strip_prefix(&content).unwrap().with_extension("html");
        let page = render(&themes, &fs::read_to_string(path).unwrap(), share);
        fs::write(staging.join(inside), page).unwrap();
    });
    write_through(&staging);
    let _ = fs::remove_dir_all(site);
    fs::rename(&staging, site).unwrap();
}

fn render(themes: &tera::Tera, text: &str, share: usize) -> String {
    let (front, body) = text.strip_prefix("---\n").unwrap().split_once("\n---\n").unwrap();
    let title = front.lines().next().unwrap().trim_start_matches("title: ");
    let options = Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES;
    let mut rendered = String::with_capacity(body.len() * 2);
    html::push_html(&mut rendered, Parser::new_ext(body, options));
    let blanks = ["{{ title }}", "{{ body | safe }}", "{{ padding | safe }}"];
    let frame = TEMPLATE.len() - blanks.iter().map(|blank| blank.len()).sum::<usize>();
    let own = frame + title.len() + rendered.len();
    let padding = " ".repeat(share.saturating_sub(own));
    let mut context = tera::Context::new();
    context.insert("title", title);
    context.insert("body", &rendered);
    context.insert("padding", &padding);
    themes.render("page.html", &context).unwrap()
}

#[cfg(any(target_os = "linux", target_os = "android"))]
fn write_through(folder: &Path) {
    rustix::fs::syncfs(fs::File::open(folder).unwrap()).unwrap();
}

#[cfg(not(any(target_os = "linux", target_os = "android")))]
fn write_through(folder: &Path) {
    let entries = WalkDir::new(folder).into_iter().map(Result::unwrap);
    for file in entries.filter(|entry| entry.file_type().is_file()) {
        fs::OpenOptions::new().write(true).open(file.path()).unwrap().sync_data().unwrap();
    }
}
