//! A figure that equals no formula, and is one slip of the hand away from what words tell of.
//!
//! Two figures go together in several ways: so much of one, so much less than it, so many times.
//! Words rather say of which two a result is than which of these it is; so the two are looked for
//! first, and the slip then tells which way was meant.

use super::digits::telling_digits;
use super::results::{AHEAD, CERTAIN, Guess, MOST, Sought, guesses, result_of, worth};
use crate::proof::reference_value::judge_entry;
use crate::quantity::judge::against;
use crate::quantity::{Dimension, Judgement, Verdict};

/// What a figure is one slip of the hand away from.
#[derive(Debug, Clone)]
pub(in crate::proof) enum NearTo {
    /// An entry: sheet and place in it.
    Entry((usize, usize)),
    /// A formula.
    Result(String),
}

/// By so much words must speak rather for a formula than for the one that a figure equals.
const FAR: f64 = 1.5;

/// What two figures make, or one: every formula of these that words tell of, the likeliest first.
struct ToldResult {
    parts: Option<[(usize, usize); 2]>,
    forms: Vec<Guess>,
}

/// The formulas that words speak for most, whatever their value, by what they are made of. `within`
/// is how far behind the best one may stay.
fn told(sought: &Sought<'_>, within: f64) -> Vec<ToldResult> {
    // Two figures make a ratio by themselves; that one is added to the other has to be said.
    let is_made = |guess: &Guess| {
        let is_here = || guess.parts.is_some_and(|parts| sought.speaks_of_both(parts));
        let is_ratio = sought.figure.unit.dimension == Dimension::NONE;
        guess.is_said || !guess.formula.contains(" + ") && (is_ratio || is_here())
    };
    let is_likely =
        |guess: &Guess| guess.is_told && guess.is_of_known && 0.0 < guess.si && is_made(guess);
    let mut found: Vec<ToldResult> = Vec::new();
    let mut likely = guesses(sought).into_iter().filter(is_likely).peekable();
    let best = likely.peek().map_or(0.0, |guess| guess.score);
    for guess in likely {
        let parts = guess.parts.map(|[one, other]| [one.min(other), one.max(other)]);
        let known = found.iter_mut().find(|told| parts.is_some() && told.parts == parts);
        match known {
            Some(told) => told.forms.push(guess),
            None if CERTAIN <= guess.score && best - guess.score < within => {
                found.push(ToldResult { parts, forms: vec![guess] });
            }
            None => {}
        }
    }
    // What was just stated or is named in full leaves what other words hint at behind.
    let is_at_hand = |told: &ToldResult| {
        told.forms.iter().any(|guess| guess.is_of_stated)
            || told.parts.is_some_and(|parts| sought.speaks_of_both(parts))
    };
    if found.iter().any(is_at_hand) {
        found.retain(is_at_hand);
    }
    for told in &mut found {
        let best = told.forms[0].score;
        told.forms.retain(|guess| best - guess.score < within);
        // Of a whole one rather tells a share than how much more the whole is than that.
        told.forms.sort_by(|a, b| b.score.total_cmp(&a.score).then(a.si.total_cmp(&b.si)));
        told.forms.dedup_by(|a, b| (a.si - b.si).abs() <= 1e-9 * b.si.abs());
    }
    found
}

impl ToldResult {
    /// How the figure is judged by each formula, unless it agrees with one.
    fn judged(self, text: &str, sought: &Sought<'_>) -> Vec<(NearTo, Judgement)> {
        let (figure, context) = (sought.figure, sought.context);
        let (ledger, conventions) = (&context.folio.ledger, context.conventions);
        let judge = |guess: Guess| {
            let entry = guess.parts.and_then(|parts| result_of(parts, guess.si, context));
            let judgement = match entry {
                Some(entry) => judge_entry(text, figure, ledger, entry, conventions),
                None => worth(&guess.formula, context)
                    .map(|computed| against(text, figure, &computed, conventions)),
            };
            Some((entry.map_or(NearTo::Result(guess.formula), NearTo::Entry), judgement?))
        };
        let best = self.forms[0].score;
        let mut judged = Vec::new();
        for guess in self.forms {
            let is_best = guess.score == best;
            let Some((near, judgement)) = judge(guess) else { continue };
            // Loosely some way or other agrees with everything.
            if judgement.verdict == Verdict::Agree
                || is_best && judgement.verdict == Verdict::Lenient
            {
                return Vec::new();
            }
            judged.push((near, judgement));
        }
        judged
    }
}

/// The formula that words tell of and that the figure is one slip of the hand away from, where the
/// figure is that of no other. `needs_both` asks for one of two that the sentence itself has;
/// `outworded` is what words say for a formula that it does equal.
pub(super) fn nearly(
    text: &str,
    sought: &Sought<'_>,
    needs_both: bool,
    outworded: Option<f64>,
) -> Option<(NearTo, Judgement)> {
    let figure = sought.figure;
    // A long number is hardly one slip away from a formula by chance.
    let within = if 3 <= telling_digits(figure) { 2.0 * AHEAD } else { AHEAD };
    let told = told(sought, within);
    let is_only = told.len() == 1;
    if told.is_empty() || MOST < told.len() {
        return None;
    }
    let is_of_both =
        |told: &ToldResult| told.parts.is_some_and(|parts| sought.speaks_of_both(parts));
    if needs_both && !(is_only && told.iter().all(is_of_both)) {
        return None;
    }
    // Among many formulas one equals the figure by chance.
    let is_ahead =
        |told: &ToldResult| outworded.is_none_or(|next| next + FAR < told.forms[0].score);
    if !told.iter().all(is_ahead) {
        return None;
    }
    let is_here = |told: &ToldResult| told.parts.is_some_and(|parts| sought.states_both(parts));
    // One slip turns a short number into any other.
    let is_told = |told: &ToldResult| told.parts.is_none() || is_of_both(told);
    let is_telling = 1 < telling_digits(figure) || is_only && told.iter().all(is_told);
    let here = told.iter().filter(|told| is_here(told)).count();
    let mut slips = Vec::new();
    let mut unlike = Vec::new();
    for told in told {
        let is_here = is_here(&told);
        let judged = told.judged(text, sought);
        let count = judged.len();
        let slip = judged.iter().position(|(_, judgement)| judgement.likely.is_some());
        match slip {
            Some(at) => slips.extend(judged.into_iter().nth(at)),
            None if is_here && count == 1 => unlike.extend(judged),
            None => {}
        }
    }
    match slips.len() {
        // A share of the only two that the sentence states is of these.
        0 if figure.unit.code == "%" && here == 1 => unlike.pop(),
        1 if is_telling => slips.pop(),
        _ => None,
    }
}
