//! Numbered frames of a shot, for a talk or a video: a drawing on a sheet of a chosen size, with
//! the words of what has just happened and a stamp that it is not to scale.
//!
//! A frame carries its own colours, since what shows it has no text around it. Whoever needs
//! pixels gives its SVG to the renderer.

use super::lettering::{width, wrapped};
use super::shape::{Align, Drawing, DrawnShape, Rect, at};
use super::svg::{Xml, number};

/// What every frame says of itself.
pub const STAMP: &str = "times not computed";

/// The same for a drawing that is not to scale.
const STAMP_OF_SYMBOLS: &str = "not to scale, times not computed";

fn stamp_of(drawing: &Drawing) -> &'static str {
    if drawing.scale.is_some() { STAMP } else { STAMP_OF_SYMBOLS }
}

/// How a frame looks.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSheet {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Colour of lines and letters, as CSS writes it.
    pub ink: String,
    /// Colour of the ground; `None` leaves it transparent.
    pub paper: Option<String>,
}

impl PaperSheet {
    /// Black on white.
    #[must_use]
    pub fn new(width: u32, height: u32) -> PaperSheet {
        PaperSheet { width, height, ink: "#111111".into(), paper: Some("#ffffff".into()) }
    }
}

/// What stands under a frame.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Caption {
    /// Number of the step, 0 for the state at rest.
    pub step: usize,
    /// What has happened, in words.
    pub words: String,
}

/// Share of the height that margins take, and that letters have.
const MARGIN: f64 = 0.03;
const LETTER: f64 = 0.034;
const SMALLEST: f64 = 4.0;

/// Share of the width that a caption beside its drawing has.
const COLUMN: f64 = 0.2;

/// Sets a drawing on a sheet, as large as it goes, with its caption below, or beside a drawing
/// that would be smaller above it. The caption breaks between words and shrinks until it takes no
/// more than a third of the height.
#[must_use]
pub fn frame(drawing: &Drawing, sheet: &PaperSheet, caption: &Caption) -> String {
    let (wide, high) = (f64::from(sheet.width.max(1)), f64::from(sheet.height.max(1)));
    let full = Rect::new(at(0.0, 0.0), wide, high).grown(-MARGIN * wide.min(high));
    let (room, texts) = match beside(drawing, caption, full, high) {
        Some(set) => set,
        None => below(caption, full, (high, stamp_of(drawing))),
    };
    let scale = scale(drawing, &room);
    // In the middle of the sheet, as far as a caption beside it allows.
    let left = ((wide - scale * drawing.width) / 2.0).max(room.left);
    let top = room.top + (room.height() - scale * drawing.height) / 2.0;
    let words = Drawing {
        title: String::new(),
        description: Vec::new(),
        width: wide,
        height: high,
        scale: None,
        shapes: texts,
    };
    written(drawing, &words, sheet, [left, top, scale])
}

fn scale(drawing: &Drawing, room: &Rect) -> f64 {
    (room.width() / drawing.width.max(1.0)).min(room.height() / drawing.height.max(1.0))
}

/// The room above a caption, and the caption with the stamp, in one line where they fit.
fn below(caption: &Caption, full: Rect, (high, said): (f64, &str)) -> (Rect, Vec<DrawnShape>) {
    let (size, lines) = fitted(caption, full.width(), high);
    let stamp = (0.7 * size).min(full.width() / width(said, 1.0));
    let last = lines.last().map_or(0.0, |line| width(line, size));
    let fits = last + size + width(said, stamp) <= full.width();
    let under = if fits { 0.0 } else { 1.6 * stamp };
    let mut base = full.bottom - under - (lines.len().max(1) - 1) as f64 * 1.3 * size;
    let bottom = (base - 1.3 * size).max(full.top + 1.0);
    let mut texts = Vec::new();
    for text in lines {
        texts.push(text_at(full.left, base, Align::Left, size, text));
        base += 1.3 * size;
    }
    texts.push(text_at(full.right, full.bottom, Align::Right, stamp, said.to_string()));
    (Rect { bottom, ..full }, texts)
}

/// The room beside a caption, if the drawing is larger there than above one line, and the caption
/// fits. Whether it is larger does not hang on the caption, so that frames of a shot stay alike.
fn beside(
    drawing: &Drawing,
    caption: &Caption,
    full: Rect,
    high: f64,
) -> Option<(Rect, Vec<DrawnShape>)> {
    let column = COLUMN * full.width();
    let size = (LETTER * high).max(SMALLEST);
    let room = Rect { left: full.left + column + size, ..full };
    let above = Rect { bottom: full.bottom - 1.3 * size, ..full };
    if scale(drawing, &room) <= scale(drawing, &above) {
        return None;
    }
    let lines = wrapped(&told(caption), size, column);
    let stamp = wrapped(stamp_of(drawing), 0.7 * size, column);
    let fits = |lines: &[String], size: f64, share: f64| {
        lines.iter().all(|line| width(line, size) <= column)
            && lines.len() as f64 * 1.3 * size <= share * full.height()
    };
    if !fits(&lines, size, 0.6) || !fits(&stamp, 0.7 * size, 0.3) {
        return None;
    }
    let mut texts = Vec::new();
    for (at, line) in lines.into_iter().enumerate() {
        let base = full.top + size + 1.3 * size * at as f64;
        texts.push(text_at(full.left, base, Align::Left, size, line));
    }
    for (at, line) in stamp.into_iter().rev().enumerate() {
        let base = full.bottom - 1.3 * 0.7 * size * at as f64;
        texts.push(text_at(full.left, base, Align::Left, 0.7 * size, line));
    }
    Some((room, texts))
}

fn text_at(x: f64, y: f64, align: Align, size: f64, text: String) -> DrawnShape {
    DrawnShape::Text { place: at(x, y), align, size, bold: false, text }
}

/// The step and what has happened.
fn told(caption: &Caption) -> String {
    match caption.words.trim() {
        "" => caption.step.to_string(),
        words => format!("{} · {words}", caption.step),
    }
}

/// Size and lines of a caption below its drawing.
fn fitted(caption: &Caption, wide: f64, high: f64) -> (f64, Vec<String>) {
    let text = told(caption);
    let mut size = (LETTER * high).max(SMALLEST);
    loop {
        let lines = wrapped(&text, size, wide);
        let widest = lines.iter().map(|line| width(line, size)).fold(0.0, f64::max);
        let fits = widest <= wide && lines.len() as f64 * 1.3 * size <= high / 3.0;
        if fits || size <= SMALLEST {
            return (size, lines);
        }
        size = (0.9 * size).max(SMALLEST);
    }
}

fn written(drawing: &Drawing, words: &Drawing, sheet: &PaperSheet, place: [f64; 3]) -> String {
    let mut page = Xml::default();
    let [width, height] = [sheet.width.max(1), sheet.height.max(1)].map(|side| side.to_string());
    let attributes = [
        ("xmlns", "http://www.w3.org/2000/svg"),
        ("viewBox", &*format!("0 0 {width} {height}")),
        ("width", &width),
        ("height", &height),
    ];
    page.element("svg", &attributes, |page| {
        page.text_element("title", &[], &drawing.title);
        page.text_element("desc", &[], &drawing.told());
        if let Some(paper) = &sheet.paper {
            let ground = [("width", &*width), ("height", &height), ("fill", paper)];
            page.element("rect", &ground, |_| {});
        }
        let [left, top, scale] = place;
        let (left, top) = (number(left), number(top));
        let moved = format!("translate({left} {top}) scale({scale:.4})");
        page.element("g", &[("transform", &*moved)], |page| {
            drawing.write_shapes(page, &sheet.ink);
        });
        words.write_shapes(page, &sheet.ink);
    });
    page.out
}

/// Gives all drawings the largest width and height of any, so that the frames of one engine keep
/// their scale where states differ in size.
pub fn even(drawings: &mut [Drawing]) {
    let largest = |side: fn(&Drawing) -> f64, drawings: &[Drawing]| {
        drawings.iter().map(side).fold(0.0, f64::max)
    };
    let wide = largest(|drawing| drawing.width, drawings);
    let high = largest(|drawing| drawing.height, drawings);
    for drawing in drawings {
        (drawing.width, drawing.height) = (wide, high);
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::NARROW;
    use super::*;

    fn picture() -> Drawing {
        Drawing {
            title: "Rowan: circuit, at rest".into(),
            description: vec!["Supply line.".into()],
            width: 200.0,
            height: 100.0,
            scale: None,
            shapes: vec![DrawnShape::line(&[at(0.0, 50.0), at(200.0, 50.0)], NARROW)],
        }
    }

    #[test]
    fn a_frame_says_its_step_and_what_it_is_not() {
        let caption = Caption { step: 3, words: "switch leaves front".into() };
        let text = frame(&picture(), &PaperSheet::new(640, 360), &caption);
        assert!(text.contains(">3 · switch leaves front</text>"), "{text}");
        assert!(text.contains(">not to scale, times not computed</text>"), "{text}");
        assert!(!text.contains("currentColor"), "a frame has its own colours: {text}");
    }

    /// How much larger a drawing is on its sheet.
    fn scale_of(drawing: &Drawing, words: &str) -> f64 {
        let caption = Caption { step: 3, words: words.into() };
        let text = frame(drawing, &PaperSheet::new(640, 360), &caption);
        let scale = text.split("scale(").nth(1).and_then(|rest| rest.split(')').next());
        scale.and_then(|scale| scale.parse().ok()).unwrap_or_default()
    }

    #[test]
    fn a_drawing_is_as_large_as_its_caption_lets_it() {
        let margins = 2.0 * MARGIN * 360.0;
        let flat = Drawing { height: 50.0, ..picture() };
        assert!((scale_of(&flat, "a") - (640.0 - margins) / 200.0).abs() < 1e-3, "all the width");
        let square = Drawing { width: 100.0, ..picture() };
        assert!(
            (scale_of(&square, "a") - (360.0 - margins) / 100.0).abs() < 1e-3,
            "all the height"
        );
        let tall = scale_of(&square, &"bolt ".repeat(90));
        assert!(0.9 < tall && tall < scale_of(&square, "a"), "a long caption takes room: {tall}");
    }

    #[test]
    fn a_transparent_frame_has_no_ground() {
        let sheet = PaperSheet { paper: None, ..PaperSheet::new(64, 64) };
        let text = frame(&picture(), &sheet, &Caption::default());
        assert!(!text.contains("<rect"), "{text}");
        let text = frame(&picture(), &PaperSheet::new(64, 64), &Caption::default());
        assert!(text.contains("<rect width=\"64\" height=\"64\" fill=\"#ffffff\"/>"), "{text}");
    }

    #[test]
    fn states_of_one_engine_share_a_size() {
        let mut drawings = [picture(), Drawing { height: 130.0, ..picture() }];
        even(&mut drawings);
        assert!(drawings.iter().all(|it| it.height == 130.0 && it.width == 200.0));
    }
}
