//! Short formulas of entries named nearby that a figure equals: differences, sums, ratios, shares,
//! products, simple parts. They are proposed, never taken for granted.

use super::background::StatedFigure;
use super::digits::digits;
use super::evidence::Around;
use super::namesake;
use super::shares::{self, RatioOf};
use super::weights::{LINGERS, ONLY_ONE, OTHER_ENGINE, SOME_WORDS, STATED, fits};
use crate::folio::cues::Cue;
use crate::proof::figure::Proposal;
use crate::proof::prose::PageContext;
use crate::proof::reference_value::{Worth, of_formula, stated_tolerance, verdict_on};
use crate::quantity::exact::to_f64;
use crate::quantity::judge::{interval_of, verdict};
use crate::quantity::{
    Computed, Dimension, Figure, FigureComparison, Kind, Quantity, Reference, Verdict,
};
use crate::sheet::Ledger;
use ahash::AHashSet;

/// As many formulas are proposed.
pub(super) const MOST: usize = 3;
/// As many entries are tried as parts of a formula: those with most words for them.
const PARTS: usize = 14;
/// What it is worth that two figures are the same of two engines set side by side.
pub(super) const NAMESAKES: f64 = 2.0;
/// Words that an entry needs to be tried.
pub(super) const SOME: f64 = 0.5;
/// Words that count of a part of two.
pub(super) const ENOUGH: f64 = 2.5;
/// What a word for the operation is worth.
pub(super) const SAID: f64 = 2.0;
/// Words for each part of a long number's formula, where none say what is done.
const NAMED: f64 = 1.5;
/// By so much the best must stand before the next to be certain.
pub(super) const AHEAD: f64 = 0.7;
/// Words for its parts and its operation that make a formula certain.
pub(super) const CERTAIN: f64 = 3.0;
/// Words without which a formula is not worth a look.
const LEAST: f64 = 1.5;
/// The same where no other formula equals the figure.
const CERTAIN_ALONE: f64 = 2.0;
/// As much counts at most that a long number equals a formula.
const RARE: f64 = 2.0;

/// Words that say what is done, in the form in which words are compared.
const APART: [&str; 30] = [
    "above",
    "below",
    "more",
    "less",
    "drop",
    "fall",
    "leave",
    "left",
    "margin",
    "clearance",
    "gap",
    "difference",
    "exceed",
    "clear",
    "under",
    "hand",
    "spare",
    "residual",
    "squeezed",
    "squeez",
    "rest",
    "shorter",
    "longer",
    "larger",
    "smaller",
    "beyond",
    "short",
    "lower",
    "higher",
    "loss",
];
const TOGETHER: [&str; 11] = [
    "together",
    "altogether",
    "plus",
    "add",
    "sum",
    "total",
    "all",
    "both",
    "loaded",
    "full",
    "whole",
];
pub(super) const TIMES: [&str; 12] = [
    "time", "twice", "ratio", "factor", "fold", "share", "cent", "percent", "third", "part",
    "quarter", "half",
];
const PARTS_OF: [&str; 8] =
    ["half", "third", "quarter", "side", "radius", "each", "twice", "double"];
/// Words for half of what lies between two widths.
const SIDES: [&str; 4] = ["side", "round", "radial", "radially"];
/// Words for an end of what a ± allows.
const ENDS: [&str; 16] = [
    "bottom",
    "top",
    "edge",
    "band",
    "tolerance",
    "end",
    "limit",
    "low",
    "lowest",
    "high",
    "highest",
    "early",
    "late",
    "worst",
    "most",
    "least",
];
/// Words that say what air does to a face.
const PUSHES: [&str; 7] = ["force", "press", "push", "air", "pressure", "face", "on"];
/// Words that say what a moving body has in it.
const CARRIES: [&str; 4] = ["energy", "carry", "carrie", "carri"];
/// Words that speak of one of several.
const OF_EACH: [&str; 3] = ["per", "each", "every"];
const EACH: [&str; 8] = ["per", "each", "every", "minute", "second", "shot", "stroke", "rate"];

/// An entry as part of a formula.
#[derive(Debug, Clone)]
pub(super) struct ResultPart {
    pub(super) name: String,
    /// The entry, where it is one.
    pub(super) entry: Option<(usize, usize)>,
    words: f64,
    /// Whether it was stated in this sentence or the two before.
    is_stated: bool,
    pub(super) si: f64,
    pub(super) dimension: Dimension,
    pub(super) kind: Kind,
    pub(super) reference: Option<Reference>,
}

impl ResultPart {
    pub(super) fn of(
        named: (usize, usize),
        words: f64,
        quantity: &Quantity,
        context: &PageContext<'_>,
    ) -> ResultPart {
        ResultPart {
            name: super::name_in_formulas(context, named),
            entry: Some(named),
            words,
            is_stated: false,
            si: quantity.si.to_f64(),
            dimension: quantity.dimension,
            kind: quantity.kind,
            reference: quantity.reference,
        }
    }

    /// Whether it was stated lately or words name it.
    fn is_known(&self) -> bool {
        self.is_stated || SOME_WORDS <= self.words
    }

    /// Its name where multiples are taken of it: of a gauge pressure, by the needle.
    pub(super) fn multiple(&self) -> String {
        match self.reference {
            Some(Reference::Gauge) => format!("above_ambient({})", self.name),
            _ => self.name.clone(),
        }
    }
}

/// A formula that may be meant.
#[derive(Debug)]
pub(super) struct Guess {
    pub(super) formula: String,
    /// The two entries that it is made of, where it is.
    pub(super) parts: Option<[(usize, usize); 2]>,
    pub(super) si: f64,
    pub(super) score: f64,
    /// Whether words say what is done, or all of its parts were stated lately.
    pub(super) is_told: bool,
    /// Whether all of its parts were stated lately or words name them.
    pub(super) is_of_known: bool,
    /// Whether both of its parts were stated lately.
    pub(super) is_of_stated: bool,
    /// Whether words say what is done.
    pub(super) is_said: bool,
}

/// The entry that is worked out from just these two and has this value.
pub(super) fn result_of(
    parts: [(usize, usize); 2],
    si: f64,
    context: &PageContext<'_>,
) -> Option<(usize, usize)> {
    let lexicon = context.lexicon();
    let is_it = |entry: &(usize, usize)| {
        let from = lexicon.worked_out_from(*entry);
        let value = || context.folio.ledger.nominal(entry.0, entry.1);
        from.len() == 2
            && parts.iter().all(|part| from.contains(part))
            && value().is_some_and(|own| (own.quantity.si.to_f64() - si).abs() <= 1e-9 * si.abs())
    };
    lexicon.entries().find(is_it)
}

/// A figure whose formula is looked for, and what stands around it.
pub(super) struct Sought<'s> {
    pub(super) figure: &'s Figure,
    pub(super) around: &'s Around<'s>,
    /// What other figures of its sentence state.
    pub(super) stated: &'s [StatedFigure],
    /// Names of figures in its sentence.
    pub(super) cues: &'s [Cue],
    /// Whether it says by how much two values differ.
    pub(super) is_difference: bool,
    /// What the words behind it say that it is a ratio of.
    pub(super) ratio_of: RatioOf<'s>,
    /// The text behind it.
    pub(super) behind: &'s str,
    /// What stands right behind it as that which another is so many times as much as.
    pub(super) standard: Option<(usize, usize)>,
    /// The share of an entry that words right beside it take, as a formula writes it.
    pub(super) share: Option<((usize, usize), &'static str)>,
    /// Whose it is, where the page is about several engines and the text says so.
    pub(super) engine: Option<usize>,
    pub(super) context: &'s PageContext<'s>,
}

impl Sought<'_> {
    /// What words for an operation are worth.
    pub(super) fn said(&self, words: &[&str]) -> f64 {
        if self.around.holds_here(words) { SAID } else { 0.0 }
    }

    /// Whether the figure is what falls to one of several: "1.56 bar **a shot**", "**each** 9 N".
    fn is_of_each(&self) -> bool {
        let behind = self.behind.trim_start();
        self.around.holds_here(&OF_EACH)
            || behind.starts_with("a ") && !behind.starts_with("a piece of")
    }

    /// What words for a difference are worth.
    pub(super) fn said_apart(&self) -> f64 {
        if self.is_difference { SAID } else { self.said(&APART) }
    }

    /// Whether other figures of the sentence state both of two entries.
    pub(super) fn states_both(&self, parts: [(usize, usize); 2]) -> bool {
        parts.iter().all(|part| self.stated.contains(&StatedFigure::Entry(*part)))
    }

    /// Whether its sentence states or names both of two entries.
    pub(super) fn speaks_of_both(&self, parts: [(usize, usize); 2]) -> bool {
        let is_named = |part| self.cues.iter().any(|cue| (cue.sheet, cue.entry) == part);
        let is_stated = |part| self.stated.contains(&StatedFigure::Entry(part));
        parts.into_iter().all(|part| is_stated(part) || is_named(part))
    }

    /// Whether the figure says how much more or less something is.
    pub(super) fn is_more_or_less(&self) -> bool {
        use FigureComparison::{Less, More};
        matches!(self.figure.comparison, Some(More | Less))
    }
}

/// The share that words take of an entry: "a quarter of the bore".
fn shared(sought: &Sought<'_>) -> Option<Guess> {
    let (entry, share) = sought.share?;
    let name = super::name_in_formulas(sought.context, entry);
    let formula = format!("{name} {share}");
    let si = worth(&formula, sought.context)?.nominal.si.to_f64();
    let score = CERTAIN + SAID;
    Some(Guess {
        formula,
        parts: None,
        si,
        score,
        is_told: true,
        is_of_known: true,
        is_of_stated: false,
        is_said: true,
    })
}

/// All formulas of what is talked of that measure what the figure does, best first.
pub(super) fn guesses(sought: &Sought<'_>) -> Vec<Guess> {
    let parts = parts(sought);
    let mut guesses: Vec<Guess> = shared(sought).into_iter().collect();
    namesakes(sought, &mut guesses);
    for (at, one) in parts.iter().enumerate() {
        alone(sought, one, &mut guesses);
        for other in &parts[at + 1..] {
            pair(sought, one, other, &mut guesses);
            pair(sought, other, one, &mut guesses);
        }
    }
    guesses.sort_by(|a, b| b.score.total_cmp(&a.score).then_with(|| a.formula.cmp(&b.formula)));
    guesses
}

/// The formulas that a figure equals, best first, and what words say for the best.
pub(super) fn proposals(sought: &Sought<'_>) -> (Vec<Proposal>, Option<f64>) {
    let (figure, context) = (sought.figure, sought.context);
    let mut guesses = guesses(sought);
    // Ohms are made of one voltage and one current only.
    let dimension = figure.unit.dimension;
    let is_measured = dimension != Dimension::NONE && dimension != Dimension::LENGTH;
    let only_way = match guesses.as_slice() {
        [only] if is_measured && only.is_of_known => Some(only.formula.clone()),
        _ => None,
    };
    let (low, high) = interval_of(figure);
    let (low, high) = (to_f64(&low), to_f64(&high));
    let slack = 1e-9 * high.abs().max(low.abs());
    guesses.retain(|guess| low - slack <= guess.si && guess.si <= high + slack);
    // Of many formulas some equal a figure by chance.
    guesses.retain(|guess| guess.is_told || LEAST <= guess.score);
    let mut known = AHashSet::new();
    guesses.retain(|guess| known.insert(guess.formula.clone()));
    let mut held: Vec<(f64, String, bool)> = Vec::new();
    for mut guess in guesses {
        if let Some(entry) = guess.parts.and_then(|parts| result_of(parts, guess.si, context)) {
            guess.formula = super::name_in_formulas(context, entry);
        }
        if held.iter().any(|(_, known, _)| *known == guess.formula) {
            continue;
        }
        if held.len() < MOST && agrees(figure, &guess.formula, context) {
            held.push((guess.score, guess.formula, guess.is_told));
        }
    }
    // The longer a number, the fewer formulas equal it by chance.
    let rare = (fits(digits(figure)) - fits(2)).min(RARE);
    let first = held.first().map_or(0.0, |(score, ..)| *score + rare);
    let second = held.get(1).map_or(f64::NEG_INFINITY, |(score, ..)| *score + rare);
    let enough = if held.len() == 1 { CERTAIN_ALONE } else { CERTAIN };
    let is_clear = enough <= first && AHEAD <= first - second;
    let words = held.first().map(|(score, ..)| *score);
    let proposals = held.into_iter().enumerate().map(|(at, (_, formula, is_told))| {
        let is_only = 2 <= digits(figure) && only_way.as_ref() == Some(&formula);
        let is_certain = at == 0 && (is_clear && is_told || is_only);
        Proposal { formula, is_certain }
    });
    (proposals.collect(), words)
}

/// What a formula may be made of: entries that words name or that were stated lately, and results
/// that were.
fn parts(sought: &Sought<'_>) -> Vec<ResultPart> {
    let Sought { around, stated, context, .. } = sought;
    let ledger = &context.folio.ledger;
    let lexicon = context.lexicon();
    let here = stated.iter().map(|figure| (0, figure));
    let lately: Vec<(u32, &StatedFigure)> = here.chain(around.stated()).collect();
    let talked_of = |wanted: &StatedFigure| {
        let ago = lately.iter().find(|(_, figure)| *figure == wanted).map(|(ago, _)| *ago)?;
        Some(STATED * LINGERS.powi(i32::try_from(ago.saturating_sub(1)).unwrap_or(1)))
    };
    let mut parts: Vec<ResultPart> = lexicon
        .entries()
        .filter_map(|(sheet, entry)| {
            let stated = talked_of(&StatedFigure::Entry((sheet, entry)));
            let words = lexicon.words_for((sheet, entry), around);
            let is_others = sought.engine.is_some_and(|engine| engine != sheet);
            let words = if is_others { words.min(ENOUGH) - OTHER_ENGINE } else { words };
            let words = words.max(stated.unwrap_or(0.0));
            // "All of them together": how many there are goes without saying.
            let words = if counts(ledger, (sheet, entry)) && sought.said(&TOGETHER) == SAID {
                words.max(SOME)
            } else {
                words
            };
            let quantity = ledger.nominal(sheet, entry).filter(|_| SOME <= words)?.quantity;
            let is_stated = stated.is_some_and(|words| STATED * LINGERS <= words);
            Some(ResultPart {
                is_stated,
                ..ResultPart::of((sheet, entry), words, &quantity, context)
            })
        })
        .collect();
    for (_, figure) in lately.iter().take(PARTS) {
        if let StatedFigure::Formula(formula) = figure
            && let Some(computed) = worth(formula, context)
            && !parts.iter().any(|part| part.name == format!("({formula})"))
        {
            let quantity = computed.nominal;
            parts.push(ResultPart {
                name: format!("({formula})"),
                entry: None,
                words: talked_of(figure).unwrap_or(0.0),
                is_stated: true,
                si: quantity.si.to_f64(),
                dimension: quantity.dimension,
                kind: quantity.kind,
                reference: quantity.reference,
            });
        }
    }
    parts.sort_by(|a, b| b.words.total_cmp(&a.words).then_with(|| a.name.cmp(&b.name)));
    parts.truncate(PARTS);
    parts
}

/// Whether an entry says how many of something there are.
fn counts(ledger: &Ledger, (sheet, entry): (usize, usize)) -> bool {
    ledger.nominal(sheet, entry).is_some_and(|value| {
        let number = value.quantity.si.to_f64();
        value.quantity.dimension == Dimension::NONE
            && matches!(value.quantity.kind, Kind::Plain | Kind::Count)
            && number.fract() == 0.0
            && 1.0 < number
    })
}

/// By how much two engines that are set side by side differ in what both have.
fn namesakes(sought: &Sought<'_>, guesses: &mut Vec<Guess>) {
    let Sought { figure, around, context, .. } = sought;
    let [one, two] = context.compared() else { return };
    let is_level = matches!(figure.kind, Kind::Mark(_));
    if figure.unit.dimension == Dimension::NONE && !is_level {
        return guesses.extend(shares::of_namesakes(sought, [*one, *two]));
    }
    let (ledger, lexicon) = (&context.folio.ledger, context.lexicon());
    let dimension = figure.unit.dimension;
    let measures = |named: (usize, usize)| {
        let value = ledger.nominal(named.0, named.1)?.quantity;
        let is_alike = value.dimension == dimension && (!is_level || value.kind == figure.kind);
        is_alike.then_some(value.si.to_f64())
    };
    let pairs = (0..ledger.sheets[*one].entries.len()).filter_map(|entry| {
        let mine = ((*one, entry), measures((*one, entry))?);
        let other = namesake(ledger, (*one, entry), *two)?;
        Some((mine, (other, measures(other)?)))
    });
    let pairs: Vec<_> = pairs.collect();
    let said = sought.said_apart();
    let only = if pairs.len() == 1 { ONLY_ONE } else { 0.0 };
    for ((one, mine), (two, theirs)) in pairs {
        let words = lexicon.words_for(one, around).max(lexicon.words_for(two, around)).min(ENOUGH);
        let name = |named| super::name_in_formulas(context, named);
        let (one, two) = if theirs < mine { (one, two) } else { (two, one) };
        guesses.push(Guess {
            formula: format!("{} - {}", name(one), name(two)),
            parts: Some([one, two]),
            si: (mine - theirs).abs(),
            score: words + only + NAMESAKES + said,
            is_told: SAID <= said,
            is_of_known: SOME <= words,
            is_of_stated: false,
            is_said: SAID <= said,
        });
    }
}

/// What can be made of one entry.
fn alone(sought: &Sought<'_>, one: &ResultPart, guesses: &mut Vec<Guess>) {
    let (figure, context) = (sought.figure, sought.context);
    let said = |words: &[&str]| sought.said(words);
    let mut add = |formula: String, si: f64, said: f64| {
        let is_told = SAID <= said + 0.5;
        let score = one.words.min(2.0) + said - 1.0;
        let is_of_known = one.is_known();
        let is_of_stated = one.is_stated;
        guesses.push(Guess {
            formula,
            parts: None,
            si,
            score,
            is_told,
            is_of_known,
            is_of_stated,
            is_said: is_told,
        });
    };
    let (dimension, name) = (figure.unit.dimension, &one.name);
    if dimension == one.dimension && dimension != Dimension::NONE {
        if one.reference == Some(Reference::Gauge) && figure.reference == Some(Reference::Absolute)
        {
            // Worked out by the formula itself, which knows the ambient pressure.
            let (low, high) = interval_of(figure);
            add(format!("absolute({name})"), to_f64(&(low + high)) / 2.0, SAID);
        }
        let ends = one
            .entry
            .and_then(|entry| stated_tolerance(&context.folio.ledger, entry))
            .filter(|its| its.unit.dimension == dimension);
        if let Some(its) = ends {
            let half = its.unit.span_to_si(&its.upper.value().into()).to_f64();
            let limit = format!("{} {}", its.written, its.unit.symbol);
            add(format!("{name} - {limit}"), one.si - half, said(&ENDS));
            add(format!("{name} + {limit}"), one.si + half, said(&ENDS));
        }
        for (text, factor) in [("/ 2", 0.5), ("/ 3", 1.0 / 3.0), ("/ 4", 0.25), ("* 2", 2.0)] {
            add(format!("{name} {text}"), one.si * factor, said(&PARTS_OF) - 0.5);
        }
    }
    if dimension == one.dimension.power(2) && dimension == Dimension::AREA {
        let area = std::f64::consts::FRAC_PI_4 * one.si * one.si;
        add(format!("circle_area({name})"), area, said(&["area"]));
    }
    if dimension == one.dimension.power(-1) && dimension != Dimension::NONE {
        add(format!("1 / {name}"), 1.0 / one.si, said(&EACH));
    }
}

/// A formula, its value in SI, and what the words for its operation are worth.
pub(super) type WorkedOut = (String, f64, f64);

/// What can be made of two.
fn pair(sought: &Sought<'_>, one: &ResultPart, other: &ResultPart, guesses: &mut Vec<Guess>) {
    let words = one.words.min(ENOUGH) + other.words.min(ENOUGH) - 1.0;
    let is_stated = one.is_stated && other.is_stated;
    let is_named =
        3 <= digits(sought.figure) && NAMED <= one.words && NAMED <= other.words || is_stated;
    let parts = one.entry.zip(other.entry).map(|(one, other)| [one, other]);
    let is_of_known = one.is_known() && other.is_known();
    let made = match one.dimension == other.dimension {
        true => of_alike(sought, one, other),
        false => of_unlike(sought, one, other),
    };
    guesses.extend(made.into_iter().map(|(formula, si, said)| {
        let is_told = is_named || SAID <= said;
        let score = words + said;
        let (is_of_stated, is_said) = (is_stated, SAID <= said);
        Guess { formula, parts, si, score, is_told, is_of_known, is_of_stated, is_said }
    }));
}

/// What can be made of two that measure the same: differences, sums, ratios, shares.
fn of_alike(sought: &Sought<'_>, one: &ResultPart, other: &ResultPart) -> Vec<WorkedOut> {
    let (figure, a, b) = (sought.figure, &one.name, &other.name);
    let said = |words: &[&str]| sought.said(words);
    let mut made = Vec::new();
    let is_product = one.dimension != Dimension::NONE
        && figure.unit.dimension == one.dimension.times(other.dimension);
    if a < b && is_product {
        made.push((format!("{a} * {b}"), one.si * other.si, said(&EACH)));
    }
    // What is lost in the rounding of a figure is no part of it.
    let (low, high) = interval_of(figure);
    let lost = to_f64(&(high - low)) / 2.0;
    let is_seen = lost < one.si.abs() && lost < other.si.abs();
    // "2 mm more than its radius" is set against half of what is named.
    let is_whole = one.dimension != Dimension::LENGTH || !sought.around.holds(&["radius"]);
    let is_alike = figure.unit.dimension == one.dimension && one.dimension != Dimension::NONE;
    if is_alike && is_seen && is_whole {
        made.push((format!("{a} - {b}"), one.si - other.si, sought.said_apart()));
        // "0.2 mm a side", "0.2 mm all round".
        if one.dimension == Dimension::LENGTH && said(&SIDES) == SAID {
            made.push((format!("({a} - {b}) / 2"), (one.si - other.si) / 2.0, SAID));
        }
        if a < b {
            made.push((format!("{a} + {b}"), one.si + other.si, said(&TOGETHER)));
        }
    }
    made.extend(shares::of_two(sought, one, other));
    made
}

/// What can be made of two that measure different things: products, one for each of another.
fn of_unlike(sought: &Sought<'_>, one: &ResultPart, other: &ResultPart) -> Vec<WorkedOut> {
    let (a, b, dimension) = (&one.name, &other.name, sought.figure.unit.dimension);
    let said = |words: &[&str]| sought.said(words);
    // So many per cent more of one thing are no multiple of another.
    let is_ratio = |part: &ResultPart| part.entry.is_none() && part.dimension == Dimension::NONE;
    if is_ratio(one) || is_ratio(other) {
        return Vec::new();
    }
    // "All four hold 145 ml": so many of one.
    let is_count = |one: &ResultPart, other: &ResultPart| {
        one.dimension == Dimension::NONE
            && one.si.fract() == 0.0
            && 1.0 < one.si
            && dimension == other.dimension
    };
    let product = || format!("{a} * {b}");
    if is_count(one, other) {
        return vec![(product(), one.si * other.si, said(&OF_EACH).max(said(&TOGETHER)))];
    }
    // "45 shots from 70 bar make 1.56 bar a shot": what falls to one of so many.
    if is_count(other, one) {
        return match sought.is_of_each() {
            true => vec![(format!("{a} / {b}"), one.si / other.si, SAID)],
            false => Vec::new(),
        };
    }
    let mut made = Vec::new();
    if dimension == one.dimension.over(other.dimension) {
        made.push((format!("{a} / {b}"), one.si / other.si, said(&EACH)));
    }
    // What air presses with on a face.
    if dimension == Dimension::FORCE
        && one.dimension == Dimension::PRESSURE
        && one.reference != Some(Reference::Absolute)
        && other.dimension == Dimension::LENGTH
    {
        let area = std::f64::consts::FRAC_PI_4 * other.si * other.si;
        made.push((format!("{a} * circle_area({b})"), one.si * area, said(&PUSHES)));
    }
    if a < b && dimension == one.dimension.times(other.dimension) {
        made.push((product(), one.si * other.si, said(&EACH)));
    }
    if dimension == Dimension::ENERGY
        && one.dimension == Dimension::MASS
        && other.dimension == Dimension::VELOCITY
    {
        let energy = one.si * other.si * other.si / 2.0;
        made.push((format!("kinetic_energy({a}, {b})"), energy, said(&CARRIES)));
    }
    made
}

/// Whether the figure agrees with the formula as a binding would be judged.
fn agrees(figure: &Figure, formula: &str, context: &PageContext<'_>) -> bool {
    let ledger = &context.folio.ledger;
    let found = match worth_of(formula, context) {
        Some(Worth::Value(computed)) => Some(verdict(figure, &computed, context.conventions)),
        Some(Worth::Entry(sheet, entry)) => {
            verdict_on(figure, ledger, (sheet, entry), context.conventions)
        }
        _ => None,
    };
    found == Some(Verdict::Agree)
}

/// What a formula of the page works out as.
pub(super) fn worth(formula: &str, context: &PageContext<'_>) -> Option<Computed> {
    match worth_of(formula, context)? {
        Worth::Value(computed) => Some(*computed),
        _ => None,
    }
}

fn worth_of(formula: &str, context: &PageContext<'_>) -> Option<Worth> {
    let parsed = crate::formula::parse(formula).ok()?;
    let sheet = context.sheet.unwrap_or(usize::MAX);
    of_formula(&parsed, &context.folio.ledger, sheet, context.conventions).ok()
}
