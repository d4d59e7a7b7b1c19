//! Drawings against what others make of them: the renderer, its font, an XML reader.

use gaugebook::cutaway::read;
use gaugebook::drawing::shape::{Align, DrawnShape, at};
use gaugebook::drawing::{Caption, Drawing, DrawingView, PaperSheet, circuit, frame};
use gaugebook::site::pictures::png_of_svg;
use gaugebook::text::Source;
use resvg::usvg::{self, fontdb};
use std::sync::Arc;

const FONT: &[u8] = include_bytes!("../../src/site/pictures/fonts/DejaVuSans.ttf");

fn resolved(svg: &str) -> usvg::Tree {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(FONT.to_vec());
    let options = usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() };
    usvg::Tree::from_str(svg, &options).unwrap()
}

fn picture(shapes: Vec<DrawnShape>) -> Drawing {
    let (title, description) = ("t".to_string(), vec!["d".to_string()]);
    Drawing { title, description, width: 600.0, height: 100.0, scale: None, shapes }
}

#[test]
fn a_text_takes_no_more_room_than_was_left_for_it() {
    for words in ["switch room", "at operating pressure", "WAVE 12 [D] (A)", "· ⌀ é–…", "ill fit"]
    {
        let text = DrawnShape::Text {
            place: at(10.0, 50.0),
            align: Align::Left,
            size: 12.0,
            bold: false,
            text: words.into(),
        };
        let room = text.text_rect().unwrap();
        let tree = resolved(&picture(vec![text]).svg("a"));
        let drawn = tree.root().abs_bounding_box();
        assert!(f64::from(drawn.right()) <= room.right + 0.1, "{words}: {drawn:?} in {room:?}");
        assert!(f64::from(drawn.left()) >= room.left - 0.1, "{words}: {drawn:?} in {room:?}");
    }
}

fn small() -> Drawing {
    let text = "cutaway tiny\nsupply line\nchamber store role store\n\
                way feed from line to store narrow\nway vent from store to open_air";
    let (engine, _) = read(&Source::new("tiny.cut", text), &|_| None);
    circuit(&engine, &DrawingView::default())
}

#[test]
fn a_small_circuit_is_written_as_told() {
    let expected = include_str!("tiny.svg");
    assert_eq!(small().svg("tiny"), expected.trim_end());
}

#[test]
fn ids_carry_their_prefix_and_are_told() {
    let svg = small().svg("p7");
    let document = usvg::roxmltree::Document::parse(&svg).unwrap();
    let ids: Vec<&str> = document.descendants().filter_map(|node| node.attribute("id")).collect();
    assert_eq!(ids, ["p7-title", "p7-desc"]);
    assert_eq!(document.root_element().attribute("aria-labelledby"), Some("p7-title p7-desc"));
}

/// Width, height, and the colour of the upper left pixel.
fn pixels(png: &[u8]) -> ((u32, u32), [u8; 4]) {
    let image = image::load_from_memory(png).unwrap().to_rgba8();
    (image.dimensions(), image.get_pixel(0, 0).0)
}

#[test]
fn a_frame_becomes_pixels_of_its_size_and_colours() {
    let caption = Caption { step: 2, words: "store fills".into() };
    let sheet = PaperSheet { paper: Some("#102030".into()), ..PaperSheet::new(640, 360) };
    let png = png_of_svg(&frame(&small(), &sheet, &caption), 640).unwrap();
    assert_eq!(pixels(&png), ((640, 360), [0x10, 0x20, 0x30, 255]));
    let clear = PaperSheet { paper: None, ..sheet };
    let png = png_of_svg(&frame(&small(), &clear, &caption), 1280).unwrap();
    assert_eq!(pixels(&png), ((1280, 720), [0, 0, 0, 0]));
}

#[test]
fn a_long_caption_stays_on_the_sheet() {
    let words = "switch leaves front, the store joins the transfer tube, ".repeat(9);
    let text = frame(&small(), &PaperSheet::new(400, 300), &Caption { step: 12, words });
    let drawn = resolved(&text).root().abs_bounding_box();
    let inside = 0.0 <= drawn.left() && drawn.right() <= 400.0 && drawn.bottom() <= 300.0;
    assert!(inside && 0.0 <= drawn.top(), "{drawn:?}");
}

#[test]
fn a_caption_that_the_font_cannot_write_is_told() {
    let caption = Caption { step: 1, words: "內徑".into() };
    let fault =
        png_of_svg(&frame(&small(), &PaperSheet::new(320, 200), &caption), 320).unwrap_err();
    assert_eq!(fault.to_string(), "the bundled font has no sign for `內徑` in the drawing");
}
