//! Drawings: an SVG resolved to plain shapes, and an SVG as a PNG.
//!
//! What comes out holds groups, paths, gradients, masks, filters and embedded photographs, and
//! nothing else; texts are outlines of the bundled font. The font is part of the program, never
//! looked for on the machine, so every machine draws the same.

use super::limits::{refuse_long_texts, refuse_unparsed};
use super::references::{refuse_expansion, refuse_outside};
use super::{MOST_BYTES, MOST_PIXELS, Picture, PictureFault, photo};
use resvg::usvg::{self, fontdb, roxmltree};
use resvg::{tiny_skia, usvg::ImageHrefResolver};
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// The bundled font; it has the signs that drawings of machines need (⌀ ± µ ≤ ² ³).
const FONT: &[u8] = include_bytes!("fonts/DejaVuSans.ttf");
const FAMILY: &str = "DejaVu Sans";

/// Largest number of elements and texts in one drawing, what is drawn again counted again.
pub(super) const MOST_NODES: u32 = 200_000;

/// Largest side of a drawing in CSS pixels.
const LONGEST_DRAWN: f32 = 20_000.0;

/// Decimals of published coordinates: a thousandth of a pixel.
const DECIMALS: u8 = 3;

/// Elements that do something else than draw. The resolver would drop them silently, and the
/// writer would miss a part of the picture or trust a script that never runs.
const NOT_DRAWN: [&str; 9] = [
    "script",
    "foreignObject",
    "iframe",
    "audio",
    "video",
    "canvas",
    "animate",
    "animateMotion",
    "animateTransform",
];

/// Prepares a text that looks like XML.
pub(super) fn prepare(text: &str) -> Result<Picture, PictureFault> {
    let tree = resolve(text)?;
    let options = usvg::WriteOptions {
        preserve_text: false,
        coordinates_precision: DECIMALS,
        indent: usvg::Indent::None,
        ..usvg::WriteOptions::default()
    };
    let bytes = tree.to_string(&options).into_bytes();
    if MOST_BYTES < bytes.len() {
        return Err(PictureFault::TooManyBytes { bytes: bytes.len(), most: MOST_BYTES });
    }
    let [width, height] = [tree.size().width(), tree.size().height()].map(whole_pixels);
    Ok(Picture { bytes, extension: "svg", width, height })
}

/// Draws an SVG as a PNG of the given width in pixels; the height follows. What is not drawn is
/// transparent. Photographs embedded in the SVG are left out.
///
/// # Errors
/// As for [`super::prepare`], and when the PNG would have more than [`MOST_PIXELS`].
pub fn png_of_svg(svg: &str, width: u32) -> Result<Vec<u8>, PictureFault> {
    let tree = resolve(svg)?;
    let size = tree.size();
    let width = width.max(1);
    let scale = width as f32 / size.width();
    let height = whole_pixels(size.height() * scale);
    if MOST_PIXELS < u64::from(width) * u64::from(height) {
        return Err(PictureFault::TooLarge { width, height });
    }
    let mut pixels =
        tiny_skia::Pixmap::new(width, height).ok_or(PictureFault::TooLarge { width, height })?;
    let transform = tiny_skia::Transform::from_scale(scale, scale);
    resvg::render(&tree, transform, &mut pixels.as_mut());
    pixels.encode_png().map_err(|e| PictureFault::Damaged { why: e.to_string() })
}

fn whole_pixels(length: f32) -> u32 {
    // Saturates; sizes are limited before.
    (length.round() as u32).max(1)
}

fn resolve(text: &str) -> Result<usvg::Tree, PictureFault> {
    refuse_unparsed(text)?;
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        nodes_limit: MOST_NODES,
        entity_resolver: None,
    };
    let document = roxmltree::Document::parse_with_options(text, options).map_err(unparsable)?;
    refuse_undrawn(&document)?;
    refuse_huge_numbers(&document)?;
    refuse_long_texts(&document)?;
    refuse_outside(&document)?;
    refuse_expansion(&document)?;
    let outside = Arc::new(Mutex::new(None));
    let tree =
        usvg::Tree::from_xmltree(&document, &options_noting(&outside)).map_err(
            |error| match error {
                usvg::Error::ElementsLimitReached => PictureFault::TooManyShapes,
                usvg::Error::ParsingFailed(error) => unparsable(error),
                usvg::Error::InvalidSize => {
                    PictureFault::Damaged { why: "the drawing has no width and height".into() }
                }
                other => PictureFault::Damaged { why: other.to_string() },
            },
        )?;
    if let Some(fault) = outside.lock().unwrap_or_else(PoisonError::into_inner).take() {
        return Err(fault);
    }
    let size = tree.size();
    if LONGEST_DRAWN < size.width().max(size.height()) {
        let [width, height] = [size.width(), size.height()].map(whole_pixels);
        return Err(PictureFault::TooLarge { width, height });
    }
    let mut missing = BTreeSet::new();
    find_missing_glyphs(tree.root(), &mut missing);
    match missing.is_empty() {
        true => Ok(tree),
        false => Err(PictureFault::NoGlyph { characters: missing.into_iter().collect() }),
    }
}

fn unparsable(error: roxmltree::Error) -> PictureFault {
    match error {
        roxmltree::Error::NodesLimitReached => PictureFault::TooManyShapes,
        other => PictureFault::Damaged { why: other.to_string() },
    }
}

fn refuse_undrawn(document: &roxmltree::Document<'_>) -> Result<(), PictureFault> {
    let root = document.root_element().tag_name().name();
    if root != "svg" {
        return Err(PictureFault::OfAnotherKind);
    }
    let elements = document.descendants().filter(roxmltree::Node::is_element);
    match elements.map(|node| node.tag_name().name()).find(|name| NOT_DRAWN.contains(name)) {
        Some(name) => Err(PictureFault::NotADrawing { element: name.to_string() }),
        None => Ok(()),
    }
}

/// The resolver turns an arc into as many pieces as its size asks for: millions for a radius of
/// 10³⁰, in a time that grows with their square. No drawing of a machine is that large.
fn refuse_huge_numbers(document: &roxmltree::Document<'_>) -> Result<(), PictureFault> {
    let attributes = document.descendants().flat_map(|node| node.attributes());
    match attributes.into_iter().find(|attribute| is_huge(attribute.name(), attribute.value())) {
        Some(attribute) => {
            let start: String = attribute.value().chars().take(40).collect();
            let why = format!("`{}=\"{start}\"` has a number that is too large", attribute.name());
            Err(PictureFault::Damaged { why })
        }
        None => Ok(()),
    }
}

fn is_huge(name: &str, value: &str) -> bool {
    let is_geometry = matches!(name, "d" | "points" | "viewBox") || name.ends_with("ransform");
    let values = || value.split(';').map(|part| part.rsplit(':').next().unwrap_or(part).trim());
    let is_number =
        |value: &str| value.starts_with(|c: char| "+-.".contains(c) || c.is_ascii_digit());
    is_geometry && has_huge_number(value)
        || values().any(|value| is_number(value) && has_huge_number(value))
}

/// Whether a number has more than seven digits before its point, or an exponent above seven.
fn has_huge_number(text: &str) -> bool {
    let mut whole_digits = 0;
    let mut in_fraction = false;
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '0'..='9' if in_fraction => {}
            '0'..='9' => whole_digits += 1,
            '.' => in_fraction = true,
            'e' | 'E' => {
                let is_small = rest.next_if_eq(&'-').is_some();
                let _ = rest.next_if_eq(&'+');
                let mut exponent = 0_u32;
                while let Some(digit) = rest.next_if(char::is_ascii_digit) {
                    exponent =
                        exponent.saturating_mul(10).saturating_add(digit as u32 - '0' as u32);
                }
                if !is_small && 7 < exponent {
                    return true;
                }
                (whole_digits, in_fraction) = (0, false);
            }
            _ => (whole_digits, in_fraction) = (0, false),
        }
        if 7 < whole_digits {
            return true;
        }
    }
    false
}

/// Options that know only the bundled font, and note the first picture they could not take in.
fn options_noting(outside: &Arc<Mutex<Option<PictureFault>>>) -> usvg::Options<'static> {
    let note = {
        let outside = Arc::clone(outside);
        move |fault: PictureFault| {
            let mut first = outside.lock().unwrap_or_else(PoisonError::into_inner);
            first.get_or_insert(fault);
        }
    };
    let note_too = note.clone();
    // A small file may hold many photographs, each of which becomes a large one.
    let left = AtomicU64::new(MOST_PIXELS);
    let resolve_data =
        move |kind: &str, data: Arc<Vec<u8>>, _: &usvg::Options<'_>| match embedded(&data, &left) {
            Ok(image) => Some(image),
            Err(PictureFault::OfAnotherKind) => {
                note_too(PictureFault::RefersOutside { to: format!("data:{kind}") });
                None
            }
            Err(fault) => {
                note_too(fault);
                None
            }
        };
    let resolve_string = move |to: &str, _: &usvg::Options<'_>| {
        note(PictureFault::RefersOutside { to: to.chars().take(80).collect() });
        None
    };
    usvg::Options {
        resources_dir: None,
        font_family: FAMILY.to_string(),
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(resolve_data),
            resolve_string: Box::new(resolve_string),
        },
        fontdb: fonts(),
        ..usvg::Options::default()
    }
}

/// A photograph inside a drawing goes the way of every photograph: it may carry a place, too.
fn embedded(data: &[u8], left: &AtomicU64) -> Result<usvg::ImageKind, PictureFault> {
    let is_photo = data.starts_with(b"\x89PNG\r\n\x1a\n") || data.starts_with(b"\xff\xd8\xff");
    if !is_photo {
        return Err(PictureFault::OfAnotherKind);
    }
    let pixels = photo::pixels(data)?;
    let take = |left: u64| left.checked_sub(pixels);
    if left.fetch_update(Ordering::Relaxed, Ordering::Relaxed, take).is_err() {
        return Err(PictureFault::TooManyShapes);
    }
    let picture = photo::prepare(data)?;
    let bytes = Arc::new(picture.bytes);
    match picture.extension {
        "png" => Ok(usvg::ImageKind::PNG(bytes)),
        _ => Ok(usvg::ImageKind::JPEG(bytes)),
    }
}

fn fonts() -> Arc<fontdb::Database> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(FONT.to_vec());
        fonts.set_serif_family(FAMILY);
        fonts.set_sans_serif_family(FAMILY);
        fonts.set_monospace_family(FAMILY);
        fonts.set_cursive_family(FAMILY);
        fonts.set_fantasy_family(FAMILY);
        Arc::new(fonts)
    });
    Arc::clone(fonts)
}

/// Glyph 0 of every font is the box that stands for a character it does not have.
fn find_missing_glyphs(group: &usvg::Group, missing: &mut BTreeSet<char>) {
    for node in group.children() {
        if let usvg::Node::Group(group) = node {
            find_missing_glyphs(group, missing);
        }
        if let usvg::Node::Text(text) = node {
            let glyphs = text.layouted().iter().flat_map(|span| &span.positioned_glyphs);
            let boxes = glyphs.filter(|glyph| glyph.id.0 == 0);
            missing.extend(boxes.flat_map(|glyph| glyph.text.chars()));
        }
        // Inside of clips, masks, patterns and filters.
        let is_text = matches!(node, usvg::Node::Text(_));
        node.subroots(|inner| {
            if !is_text {
                find_missing_glyphs(inner, missing);
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::prepare;
    use super::*;

    fn svg(inside: &str) -> String {
        format!(
            "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' \
             width='60' height='40' viewBox='0 0 60 40'>{inside}</svg>"
        )
    }

    fn published(inside: &str) -> Result<String, PictureFault> {
        prepare(svg(inside).as_bytes()).map(|picture| String::from_utf8(picture.bytes).unwrap())
    }

    /// Nothing but drawing, and no address but inside of the file.
    #[track_caller]
    fn assert_closed(text: &str) {
        let allowed = [
            "svg",
            "g",
            "path",
            "image",
            "defs",
            "linearGradient",
            "radialGradient",
            "stop",
            "clipPath",
            "mask",
            "pattern",
            "filter",
        ];
        let document = roxmltree::Document::parse(text).unwrap();
        for node in document.descendants().filter(|node| node.is_element()) {
            let name = node.tag_name().name();
            assert!(allowed.contains(&name) || name.starts_with("fe"), "<{name}> in {text}");
            for attribute in node.attributes() {
                assert!(!attribute.name().starts_with("on"), "{attribute:?}");
                let value = attribute.value();
                let is_address = value.contains("//") || value.contains("javascript");
                assert!(!is_address, "{attribute:?}");
                if attribute.name() == "href" {
                    let inside = value.starts_with('#') || value.starts_with("data:image/");
                    assert!(inside, "{attribute:?}");
                }
            }
        }
    }

    #[test]
    fn a_drawing_becomes_plain_shapes_of_known_size() {
        let text = svg("<style>rect{fill:#369}</style><rect id='a' width='9' height='9'/>\
                        <use xlink:href='#a' x='20'/><text x='2' y='30'>⌀ 0.9 ± 0.02 mm</text>");
        let picture = prepare(text.as_bytes()).unwrap();
        assert_eq!((picture.extension, picture.width, picture.height), ("svg", 60, 40));
        assert_eq!(prepare(text.as_bytes()).unwrap(), picture, "the same every time");
        let out = String::from_utf8(picture.bytes).unwrap();
        assert_closed(&out);
        assert_eq!(out.matches("fill=\"#336699\"").count(), 2, "style and use are resolved: {out}");
        assert!(!out.contains("<text") && out.matches("<path").count() == 3, "{out}");
    }

    #[test]
    fn whatever_could_act_or_call_home_is_gone() {
        for harmless_after in [
            "<a xlink:href='https://example.org/'><rect width='9' height='9'/></a>",
            "<a href='javascript:alert(1)'><rect width='9' height='9'/></a>",
            "<rect width='9' height='9' onclick='alert(1)' onload='alert(1)'/>",
            "<style>@import url(//example.org/a.css); rect{fill:url(//example.org/#a)}</style>\
             <rect width='9' height='9'/>",
            "<rect width='9' height='9' style='background:url(https://example.org/x)'/>",
            "<!-- https://example.org --><?php x ?><rect width='9' height='9'/>",
            "<title>see https://example.org</title><metadata>who</metadata>\
             <rect width='9' height='9'/>",
            "<font-face-uri xlink:href='//example.org'/><rect width='9' height='9'/>",
        ] {
            let out = published(harmless_after).unwrap();
            assert_closed(&out);
            assert!(!out.contains("example.org"), "{out}");
            assert!(out.contains("<path"), "the rest is still drawn: {out}");
        }
    }

    #[test]
    fn what_would_be_missing_is_told() {
        let outside = |to: &str| PictureFault::RefersOutside { to: to.into() };
        let image = |href: &str| format!("<image width='9' height='9' xlink:href='{href}'/>");
        for href in ["/etc/passwd", "../photo.png", "https://example.org/a.png", "file:///a.png"] {
            assert_eq!(published(&image(href)).unwrap_err(), outside(href));
        }
        let filter = "<filter id='f'><feImage xlink:href='https://example.org/a.png'/></filter>\
                      <rect width='9' height='9' filter='url(#f)'/>";
        assert_eq!(published(filter).unwrap_err(), outside("https://example.org/a.png"));
        let used = "<use xlink:href='https://example.org/a.svg#b'/><rect width='9' height='9'/>";
        assert_eq!(published(used).unwrap_err(), outside("https://example.org/a.svg#b"));
        let nested = image("data:image/svg+xml;base64,PHN2Zy8+");
        assert_eq!(published(&nested).unwrap_err(), outside("data:image/svg+xml"));
        for element in ["script", "foreignObject", "animate"] {
            let fault = published(&format!("<g><{element}/></g>")).unwrap_err();
            assert_eq!(fault, PictureFault::NotADrawing { element: element.into() });
            assert_eq!(fault.code(), "image-unreadable");
        }
    }

    #[test]
    fn a_character_without_a_glyph_is_told_wherever_it_stands() {
        // Chinese characters and a private-use one: DejaVu Sans has neither.
        let fault = published("<text>bore 內\u{e0ff}徑</text>").unwrap_err();
        assert_eq!(fault, PictureFault::NoGlyph { characters: "內徑\u{e0ff}".into() });
        let masked = "<mask id='m'><text y='9'>內</text></mask>\
                      <rect width='9' height='9' mask='url(#m)'/>";
        let fault = published(masked).unwrap_err();
        assert_eq!(fault, PictureFault::NoGlyph { characters: "內".into() });
        let fine = "<text font-family='Nowhere Sans' y='9'>⌀ ± · µ γ η Δ ≤ → ³ √ ≈ ′ ″ ½</text>";
        assert_closed(&published(fine).unwrap());
    }

    #[test]
    fn hostile_drawings_are_faults_not_panics() {
        let deep = "<g>".repeat(50_000);
        assert!(published(&format!("{deep}{}", "</g>".repeat(50_000))).is_err());
        assert!(published("<g>").is_err());
        assert!(prepare(b"<html><svg/></html>").is_err());
        let flat = "<svg xmlns='http://www.w3.org/2000/svg' width='0' height='4'/>";
        let text = prepare(flat.as_bytes()).unwrap_err().to_string();
        assert_eq!(text, "the picture cannot be read: the drawing has no width and height");
        let huge = "<svg xmlns='http://www.w3.org/2000/svg' width='90000' height='4'/>";
        assert_eq!(prepare(huge.as_bytes()).unwrap_err().code(), "image-too-large");
        let many = "<g/>".repeat(MOST_NODES as usize);
        let fault = published(&many).unwrap_err();
        assert_eq!(fault, PictureFault::TooManyShapes);
        // Ten levels of entities, ten times the one below each: ten thousand million letters.
        let tenfold = |level: u32| format!("&e{level};").repeat(10);
        let entities: String =
            (1..10).map(|level| format!("<!ENTITY e{level} '{}'>", tenfold(level - 1))).collect();
        let drawing = svg(&format!("<text>{}</text>", tenfold(9)));
        let bomb = format!("<!DOCTYPE svg [<!ENTITY e0 'a'>{entities}]>{drawing}");
        assert!(prepare(bomb.as_bytes()).is_err());
        // Each level uses the one below ten times.
        let uses = |level: u32| format!("<use xlink:href='#l{level}'/>").repeat(10);
        let levels: String =
            (1..9).map(|level| format!("<g id='l{level}'>{}</g>", uses(level - 1))).collect();
        let fault = published(&format!("<g id='l0'><rect width='1' height='1'/></g>{levels}"));
        assert_eq!(fault.unwrap_err().code(), "image-too-large");
        let loops = "<g id='a'><use xlink:href='#b'/></g><g id='b'><use xlink:href='#a'/></g>";
        assert_eq!(published(loops).unwrap_err(), PictureFault::TooManyShapes);
    }

    /// Each pattern, clip, mask or marker shows the next one, `times` times.
    fn chain(links: usize, times: usize, element: &str, attribute: &str) -> String {
        let link = |at: usize| {
            let inside = format!("<path d='M0 0h1v1z' {attribute}='url(#l{})'/>", at + 1);
            let size = "width='4' height='4' patternUnits='userSpaceOnUse'";
            format!("<{element} id='l{at}' {size}>{}</{element}>", inside.repeat(times))
        };
        let links: String = (0..links).map(link).collect();
        format!("{links}<rect width='9' height='9' {attribute}='url(#l0)'/>")
    }

    #[test]
    fn what_is_drawn_again_is_counted_again() {
        let kinds = [
            ("pattern", "fill"),
            ("clipPath", "clip-path"),
            ("mask", "mask"),
            ("marker", "marker"),
        ];
        for (element, attribute) in kinds {
            assert!(published(&chain(3, 1, element, attribute)).is_ok(), "{element}");
            for (links, times) in [(275, 1), (2_000, 1), (30, 2)] {
                let fault = published(&chain(links, times, element, attribute)).unwrap_err();
                assert_eq!(fault, PictureFault::TooManyShapes, "{links} {element}, {times} times");
            }
        }
        // Handed down to what is below, by a style sheet, and to every vertex.
        let tile = "<rect width='1' height='1'/>".repeat(500);
        let pattern = format!("<pattern id='p' width='4' height='4'>{tile}</pattern>");
        let shapes = "<path class='c' d='M0 0h9v9z'/>".repeat(500);
        let handed_down = format!("{pattern}<g fill='url(#p)'>{shapes}</g>");
        assert_eq!(published(&handed_down).unwrap_err(), PictureFault::TooManyShapes);
        let by_class = format!("<style>.c{{fill:url(#p)}}</style>{pattern}{shapes}");
        assert_eq!(published(&by_class).unwrap_err(), PictureFault::TooManyShapes);
        let by_another = format!("<style>.d{{fill:url(#p)}}</style>{pattern}{shapes}");
        assert!(published(&by_another).is_ok());
        let marker = format!("<marker id='m'>{tile}</marker>");
        let line = format!("<path marker-mid='url(#m)' d='M0 0{}'/>", "h1v1".repeat(200));
        assert_eq!(published(&format!("{marker}{line}")).unwrap_err(), PictureFault::TooManyShapes);
    }

    #[test]
    fn what_would_take_long_to_read_is_refused() {
        let attributes: String = (0..400).map(|at| format!(" a{at}='1'")).collect();
        assert_eq!(
            published(&format!("<g{attributes}/>")).unwrap_err(),
            PictureFault::TooManyShapes
        );
        let pieces = format!("<text>{}</text>", "<tspan>A</tspan>".repeat(2_000));
        assert_eq!(published(&pieces).unwrap_err(), PictureFault::TooManyShapes);
        let letters = format!("<text>{}</text>", "A".repeat(20_000));
        assert_eq!(published(&letters).unwrap_err(), PictureFault::TooManyShapes);
        let rules = format!("<style>{}</style>{}", ".a{}".repeat(9_000), "<g/>".repeat(9_000));
        assert_eq!(published(&rules).unwrap_err(), PictureFault::TooManyShapes);
        let entity = format!("<!DOCTYPE svg [<!ENTITY a 'n'>]>{}", svg("<text y='9'>&a;</text>"));
        let fault = prepare(entity.as_bytes()).unwrap_err();
        assert_eq!(
            fault.to_string(),
            "the drawing declares entities: write out what they stand for"
        );
        let typed = format!("<!DOCTYPE svg PUBLIC '-//W3C//DTD SVG 1.1//EN' 'x'>{}", svg("<g/>"));
        assert!(prepare(typed.as_bytes()).is_ok(), "a document type alone does no harm");
    }

    #[test]
    fn numbers_beyond_any_drawing_are_refused_before_they_cost_time() {
        for huge in [
            "<path d='M0 0 A2 2 0 0 1 5 51e39'/>",
            "<path d='M0 0 A99999999 2 0 0 1 5 5'/>",
            "<circle r='1e30'/>",
            "<rect width='9' height='9' rx='123456789.5'/>",
            "<g transform='scale(1E+9)'/>",
            "<path d='M0 0h9' style='fill:red;stroke-width:1e12px'/>",
        ] {
            let fault = published(huge).unwrap_err();
            assert!(fault.to_string().contains("a number that is too large"), "{huge}: {fault}");
        }
        for fine in
            ["M.123456789012.5 1234567.5-1e-12 1e7", "m0,0 0.00000000001,9999999", "M1 1e5 2E+3"]
        {
            assert!(!is_huge("d", fine), "{fine}");
        }
        assert!(!is_huge("id", "path123456789") && !is_huge("fill", "url(#g123456789)"));
        assert!(!is_huge("style", "fill:#1234567890;mask:url(#m123456789)"));
    }

    #[test]
    fn a_photo_inside_a_drawing_is_cleaned_too() {
        // A PNG of one pixel with a text chunk "Comment: at home" (put together by hand).
        let photo = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAAD3RFWHRDb21tZW50AGF0IGhvbWUj\
                     p62GAAAADUlEQVR4nGP4z8DwHwAFAAH/iZk9HQAAAABJRU5ErkJggg==";
        let out = published(&format!(
            "<image width='9' height='9' xlink:href='data:image/png;base64,{photo}'/>"
        ))
        .unwrap();
        assert_closed(&out);
        assert!(out.contains("data:image/png;base64, iVBOR"), "{out}");
        // "tEXtComment" as it stands in the base64 above.
        let comment = "RFWHRDb21tZW50";
        assert!(photo.contains(comment) && !out.contains(comment), "{out}");
    }

    #[test]
    fn an_svg_becomes_a_png_of_the_width_asked_for() {
        let half = svg("<rect width='30' height='40' fill='#f00'/>");
        let png = png_of_svg(&half, 120).unwrap();
        let shown = image::load_from_memory(&png).unwrap().to_rgba8();
        assert_eq!(shown.dimensions(), (120, 80));
        assert_eq!(shown.get_pixel(30, 40).0, [255, 0, 0, 255]);
        assert_eq!(shown.get_pixel(90, 40).0, [0, 0, 0, 0], "what is not drawn is transparent");
        assert_eq!(png, png_of_svg(&half, 120).unwrap());
        assert_eq!(png_of_svg(&half, 60_000).unwrap_err().code(), "image-too-large");
        assert!(png_of_svg(&svg("<text>內</text>"), 60).is_err());
    }
}
