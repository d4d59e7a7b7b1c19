//! How wide rooms stand open to each other along the stroke of a part: a table, and a plot of each
//! pair.

use super::forces::SizedFigure;
use crate::cutaway::model::{Element, Engine};
use crate::folio::Folio;
use crate::folio::solids::{OpenJoint, PartStroke, StrokeOpening, strokes};
use crate::formula::Value;
use crate::quantity::print::Style;
use crate::quantity::units::table;
use crate::quantity::{Dimension, Kind, Quantity, Real};
use crate::sheet::print::{ShownWidth, shown, worked_out};
use crate::text::escaped;
use serde::Serialize;
use std::fmt::Write as _;

/// Rows of a table beside those of positions and of what opens there.
const EVEN_ROWS: usize = 5;

/// Less than this, m, is no way that anybody measures.
const AT_ONCE: f64 = 2e-6;

/// The stroke of one part.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct StrokeView {
    pub(crate) anchor: String,
    pub(crate) name: String,
    /// Whether a hole across is in the drawing.
    pub(crate) has_holes: bool,
    /// The pairs of rooms: "store to breech".
    pub(crate) pairs: Vec<StrokePair>,
    pub(crate) rows: Vec<StrokeRow>,
}

/// Two rooms that open or close along it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct StrokePair {
    pub(crate) words: String,
    /// Area against travel, finished SVG.
    pub(crate) plot: String,
    /// Where it opens and closes.
    pub(crate) turns: Vec<StrokeTurnView>,
}

/// Where two rooms open or close.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct StrokeTurnView {
    /// "opens".
    pub(crate) word: &'static str,
    /// How far the part has moved from rest; or when, in words.
    pub(crate) way: SizedFigure,
}

/// One place along it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct StrokeRow {
    /// How far in front of the rear end.
    pub(crate) travel: ShownWidth,
    /// The position there, or what opens; may be empty.
    pub(crate) at: String,
    /// By pair the area; none where it is shut.
    pub(crate) areas: Vec<Option<ShownWidth>>,
}

/// The strokes along which something opens or closes.
pub(super) fn stroke_views(folio: &Folio, engine: &str) -> Vec<StrokeView> {
    let (Some(sheet), Some(routed)) = (folio.ledger.engine(engine), folio.routing.of(engine))
    else {
        return Vec::new();
    };
    let teller = StrokeTeller { folio, sheet, engine: &routed.engine };
    strokes(folio, engine)
        .iter()
        .filter(|it| !it.openings.is_empty())
        .map(|it| teller.stroke(it))
        .collect()
}

struct StrokeTeller<'a> {
    folio: &'a Folio,
    sheet: usize,
    engine: &'a Engine,
}

impl StrokeTeller<'_> {
    fn stroke(&self, stroke: &PartStroke) -> StrokeView {
        let own = &self.engine.parts[stroke.part];
        let pairs = stroke.openings.iter().map(|opening| StrokePair {
            words: self.joined(opening.joint),
            plot: self.plot(stroke, opening),
            turns: self.turns(stroke, opening),
        });
        StrokeView {
            anchor: format!("_stroke-{}", own.name.id.replace('_', "-")),
            name: own.name.spoken(),
            has_holes: self.engine.drawn.has_holes(),
            pairs: pairs.collect(),
            rows: self.rows(stroke),
        }
    }

    fn joined(&self, joint: OpenJoint) -> String {
        let spoken = |at| Element::Chamber(at).spoken(self.engine);
        let (one, other) = (spoken(joint.chambers.0), spoken(joint.chambers.1));
        match joint.through {
            Some(way) => format!("{one} to {other} by {}", Element::Way(way).spoken(self.engine)),
            None => format!("{one} to {other}"),
        }
    }

    fn turns(&self, stroke: &PartStroke, opening: &StrokeOpening) -> Vec<StrokeTurnView> {
        let own = &self.engine.parts[stroke.part];
        let rest = stroke.positions.iter().find(|(at, _)| *at == own.rest);
        let rest = rest.map_or(0.0, |(_, at)| *at);
        let turns = opening.turns.iter().map(|turn| {
            let opens = turn.opens_forward == (rest <= turn.at);
            let value = match &turn.from_rest {
                Some(Ok(way)) => worked_out(&self.folio.ledger, self.sheet, way),
                _ => self.shown((turn.at - rest).abs(), Dimension::LENGTH),
            };
            let is_at_once = (turn.at - rest).abs() < AT_ONCE;
            let way = match is_at_once {
                true => SizedFigure { value: None, needs: "as soon as it moves".to_owned() },
                false => SizedFigure { value: Some(value), needs: String::new() },
            };
            StrokeTurnView { word: if opens { "opens" } else { "shuts" }, way }
        });
        turns.collect()
    }

    fn rows(&self, stroke: &PartStroke) -> Vec<StrokeRow> {
        let own = &self.engine.parts[stroke.part];
        let mut places: Vec<(f64, Vec<String>)> = Vec::new();
        let mut add = |at: f64, words: Option<String>| match places
            .iter_mut()
            .find(|(known, _)| (*known - at).abs() < 2e-6)
        {
            Some((_, known)) => known.extend(words),
            None => places.push((at, words.into_iter().collect())),
        };
        for (position, at) in &stroke.positions {
            add(*at, Some(own.positions[*position].spoken()));
        }
        for opening in &stroke.openings {
            for turn in &opening.turns {
                let how = if turn.opens_forward { "opens" } else { "shuts" };
                add(turn.at, Some(format!("{} {how}", self.joined(opening.joint))));
            }
        }
        let points = stroke.openings.first().map_or(&[][..], |opening| &opening.points);
        for (at, _) in points.iter().step_by((points.len() / EVEN_ROWS).max(1)) {
            add(*at, None);
        }
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let rows = places.into_iter().map(|(at, words)| StrokeRow {
            travel: self.shown(at, Dimension::LENGTH),
            at: words.join("; "),
            areas: stroke
                .openings
                .iter()
                .map(|opening| {
                    let area = area_at(&opening.points, at);
                    (1e-12 < area).then(|| self.shown(area, Dimension::AREA))
                })
                .collect(),
        });
        rows.collect()
    }

    fn shown(&self, si: f64, dimension: Dimension) -> ShownWidth {
        let quantity =
            Quantity { si: Real::near(si), dimension, kind: Kind::Plain, reference: None };
        // Of what has no ± here, a hundredth of a millimetre says enough.
        let (code, resolution) = match dimension {
            Dimension::AREA => ("mm2", 1e-8),
            _ => ("mm", 1e-5),
        };
        let Some(unit) = table().by_code(code) else {
            return worked_out(&self.folio.ledger, self.sheet, &Value::certain(quantity));
        };
        let style = Style { unit: unit.clone(), resolution };
        ShownWidth { shown: shown(&quantity, &style, None), plus_minus: None }
    }

    /// Area against travel, on a small sheet; positions as ticks.
    fn plot(&self, stroke: &PartStroke, opening: &StrokeOpening) -> String {
        const WIDE: f64 = 320.0;
        const HIGH: f64 = 120.0;
        let (left, below, above) = (8.0, 26.0, 18.0);
        let most = opening.points.iter().map(|(_, area)| *area).fold(0.0, f64::max);
        let x = |at: f64| left + at / stroke.length * (WIDE - 2.0 * left);
        let y = |area: f64| HIGH - below - area / most * (HIGH - below - above);
        let mut svg = String::new();
        let words = self.joined(opening.joint);
        let (most_told, length_told) = (
            self.shown(most, Dimension::AREA).shown.si,
            self.shown(stroke.length, Dimension::LENGTH).shown.si,
        );
        let part = self.engine.parts[stroke.part].name.spoken();
        let label = format!(
            "Opening of {words} against the travel of the {part}: at most {most_told} in {length_told}"
        );
        let label = escaped(&label);
        let _ = write!(
            svg,
            "<svg class=\"plot\" viewBox=\"0 0 {WIDE} {HIGH}\" role=\"img\" aria-label=\"{label}\">"
        );
        let base = y(0.0);
        let _ = write!(svg, "<path class=\"axis\" d=\"M{left} {base:.1}H{:.1}", WIDE - left);
        for (_, at) in &stroke.positions {
            let _ = write!(svg, "M{:.1} {base:.1}v5", x(*at));
        }
        svg.push_str("\"/><path class=\"line\" d=\"");
        for (at, (travel, area)) in opening.points.iter().enumerate() {
            let sign = if at == 0 { 'M' } else { 'L' };
            let _ = write!(svg, "{sign}{:.1} {:.1}", x(*travel), y(*area));
        }
        let _ = write!(svg, "\"/><text x=\"{left}\" y=\"12\">{most_told}</text>");
        let _ = write!(
            svg,
            "<text x=\"{left}\" y=\"{:.1}\">0</text><text x=\"{:.1}\" y=\"{:.1}\" \
             text-anchor=\"end\">{length_told}</text></svg>",
            HIGH - 6.0,
            WIDE - left,
            HIGH - 6.0
        );
        svg
    }
}

/// The area at a place that was looked at.
fn area_at(points: &[(f64, f64)], at: f64) -> f64 {
    let nearest = points.iter().min_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
    nearest.map_or(0.0, |(_, area)| *area)
}
