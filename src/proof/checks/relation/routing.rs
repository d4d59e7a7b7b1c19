//! Statements about the routing: what a seal keeps apart, what pushes which way, where a way
//! leads, and which event comes first.

use super::events::{Moment, ToldEvents};
use super::names::is_together;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::events::event_words;

use crate::cutaway::model::{Id, Name};
use crate::folio::routing::Routed;
use crate::folio::words::{TextWord, stem, words};
use crate::logic::precedence;
use crate::statement::Phrase;
use crate::text::Span;
use std::collections::BTreeSet;

impl StatementNames<'_> {
    /// The one cutaway that phrases speak of: the engine that they name, or the page's own.
    pub(super) fn routed(&self, phrases: &[&Phrase]) -> Option<(&Routed, String)> {
        match self.spoken_of(phrases).as_slice() {
            [sheet] => self.routed_of(*sheet),
            _ => None,
        }
    }

    fn spoken_of(&self, phrases: &[&Phrase]) -> Vec<usize> {
        let named = phrases.iter().flat_map(|phrase| self.engines(phrase, None));
        let mut sheets: Vec<usize> = named.collect();
        sheets.sort_unstable();
        sheets.dedup();
        if sheets.is_empty() { self.own.into_iter().collect() } else { sheets }
    }

    pub(super) fn routed_of(&self, sheet: usize) -> Option<(&Routed, String)> {
        let engine = self.folio.ledger.sheets.get(sheet)?.engine.clone()?;
        Some((self.folio.routing.of(&engine)?, engine))
    }

    /// Asks of the cutaway that phrases speak of; of each where they mean several engines together.
    pub(super) fn of_each(
        &self,
        phrases: &[&Phrase],
        ask: impl Fn(&Routed, &str) -> Option<StatementAnswer>,
    ) -> Option<StatementAnswer> {
        let sheets = self.spoken_of(phrases);
        if 1 < sheets.len() && !phrases.iter().any(|phrase| is_together(phrase)) {
            return None;
        }
        let answers = sheets.into_iter().map(|sheet| {
            let (routed, name) = self.routed_of(sheet)?;
            ask(routed, &name)
        });
        StatementAnswer::all(answers.collect::<Option<Vec<_>>>()?)
    }

    /// Each step before the next, in every run; steps may be told by what they happen to alone:
    /// "pilot, dome, spool".
    pub(super) fn sequence(&self, steps: &[Phrase], is_told: bool) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&steps.iter().collect::<Vec<_>>())?;
        let told = ToldEvents::of(self, routed);
        // What is named alone does what it does first, unless it is the way back that is told.
        let is_back = steps.iter().any(|step| self.tells_way_back(step.span));
        let bare = |step: &Phrase| told.bare(step).filter(|_| is_told && !is_back);
        let moment = |step: &Phrase| told.moment(step).or_else(|| bare(step));
        let moments: Vec<Moment> = steps.iter().map(moment).collect::<Option<_>>()?;
        let pairs = moments.iter().zip(moments.iter().skip(1));
        let answers = pairs.map(|(first, then)| in_order(routed, &name, *first, *then));
        let answer = StatementAnswer::all(answers.collect::<Option<_>>()?)?;
        answer.unless_refuted_by(|| steps.iter().all(|step| told.is_plain(step)))
    }

    /// Whether the sentence of a stretch tells how everything comes to rest again.
    fn tells_way_back(&self, stretch: Span) -> bool {
        let sentence = Span::new(self.sentence.start, self.sentence.end.max(stretch.end));
        let words = words(self.text, sentence);
        let is_back = |word: &TextWord| {
            let stem = word.stem.as_str();
            matches!(stem, "back" | "again" | "settle" | "return" | "rest" | "recover" | "reset")
        };
        words.iter().any(is_back)
    }

    /// The first event before the second: in every run of a shot, or by their dates.
    pub(super) fn before(&self, first: &Phrase, then: &Phrase) -> Option<StatementAnswer> {
        let in_a_shot = || {
            let (routed, name) = self.routed(&[first, then])?;
            let told = ToldEvents::of(self, routed);
            let bare = || Some((told.bare(first)?, told.bare(then)?));
            let both = || Some((told.moment(first)?, told.moment(then)?));
            let is_plain = || told.is_plain(first) && told.is_plain(then);
            let (first, then) = both().or_else(bare)?;
            in_order(routed, &name, first, then)?.unless_refuted_by(is_plain)
        };
        in_a_shot().or_else(|| self.dated_before(first, then))
    }

    /// "The poppet opens while the hammer is forward": the event while a part or a valve stands so.
    pub(super) fn amid(&self, what: &Phrase, state: &Phrase) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[what, state])?;
        let told = ToldEvents::of(self, routed);
        let event = told.moment(what)?;
        let (begins, ends) = self.stay(routed, state)?;
        let at = |event| Moment { earliest: event, latest: event };
        let since = begins.map(|begins| in_order(routed, &name, at(begins), event));
        let until = in_order(routed, &name, event, at(ends));
        StatementAnswer::all(since.into_iter().chain([until]).collect::<Option<_>>()?)
    }
}

/// One moment before another, in every run.
pub(super) fn in_order(
    routed: &Routed,
    name: &str,
    first: Moment,
    then: Moment,
) -> Option<StatementAnswer> {
    let shot = routed.shot.as_ref()?;
    if first == then {
        return None;
    }
    let words = |event| event_words(&routed.engine, event);
    let (a, b) = (words(first.latest), words(then.earliest));
    // "The ball stirs once the hole has opened": what begins with an event comes behind it.
    let touches = first.latest == then.earliest;
    let is_turned = then.latest == first.earliest;
    let found = precedence(&shot.found, first.latest, then.earliest);
    let turned = precedence(&shot.found, then.latest, first.earliest);
    let racing = |first, then| {
        let racing = shot.racing.as_ref();
        racing.is_some_and(|racing| precedence(racing, first, then).then_before)
    };
    let rests_on_clock = racing(first.latest, then.earliest);
    let is_turned = is_turned
        || turned.first_before
            && !turned.then_before
            && !turned.at_once
            && !turned.is_open
            && !racing(then.latest, first.earliest);
    let (standing, reason) = if touches || found.always() && !rests_on_clock {
        (StatementStanding::Holds, format!("{a} comes before {b} in every run"))
    } else if is_turned {
        let (a, b) = (words(first.earliest), words(then.latest));
        (StatementStanding::Fails, format!("{b} comes before {a} in every run"))
    } else if found.always() {
        let reason =
            format!("{a} comes before {b} as long as the dwell outlasts what moves freely");
        (StatementStanding::Open, reason)
    } else {
        (StatementStanding::Open, format!("the order of {a} and {b} is not settled"))
    };
    let question = format!("happens_before({name}, {a}, {b})");
    Some(StatementAnswer { standing, reason, question })
}

/// Stems of a text, verbs of one meaning made one.
pub(super) fn stems(text: &str) -> BTreeSet<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(|word| root(&stem(word)).to_owned()).filter(|word| !is_small(word)).collect()
}

fn is_small(stem: &str) -> bool {
    matches!(
        stem,
        "the"
            | "a"
            | "an"
            | "it"
            | "its"
            | "of"
            | "is"
            | "are"
            | "to"
            | "in"
            | "on"
            | "at"
            | "again"
            | "air"
    )
}

/// Verbs by which the trade tells events, made one.
pub(super) fn root(stem: &str) -> &str {
    #[rustfmt::skip]
    const ROOTS: [(&str, &[&str]); 19] = [
        ("close", &["closes", "closed", "shut", "shuts", "closing", "shutting", "reseat", "reseats",
                    "reseated", "covered", "cover", "cut", "blocked"]),
        ("open", &["opened", "opening", "opens", "uncover", "uncovered"]),
        ("leave", &["left", "leaves", "gone", "leaving", "depart", "departure", "exit",
                   "quit"]),
        ("begin", &["begins", "began", "beginning", "start", "started", "starts", "starting",
                    "stir", "stirs", "move", "moves", "moving", "moved", "set", "sets", "budge",
                    "go", "goe", "going", "jump", "off"]),
        ("reach", &["reache", "reaches", "reached", "hit", "hits", "arrive", "arrived", "arrives",
                    "strike", "strikes", "struck", "striking", "arrival", "blow"]),
        ("stop", &["stops", "stopped", "stopping"]),
        ("fill", &["filled", "full", "filling", "fills", "charged", "pressurised", "refilled"]),
        ("fall", &["fell", "fallen", "falls", "falling", "sink", "sinks", "sank", "sunk", "sinking",
                   "collapse", "collapses", "collapsed"]),
        ("empty", &["emptie", "empties", "emptied", "emptying", "vents", "vent", "vented",
                    "venting", "dump", "dumped", "dumping", "exhausted", "drained"]),
        ("shift", &["shifted", "shifts", "shifting", "answers", "answer", "switched", "switch",
                    "over"]),
        ("flip", &["flipped", "flipping"]),
        ("turn", &["turned", "turns", "turning", "reverse", "reversed"]),
        ("return", &["returned", "returns", "returning"]),
        ("pull", &["pulled", "pulls", "pressed", "squeezed"]),
        ("release", &["released", "releases", "releasing"]),
        ("catch", &["catche", "catches", "caught"]),
        ("clear", &["cleared", "clears", "clearing"]),
        ("lift", &["lifted", "lifts", "lifting"]),
        ("drop", &["dropped", "drops", "dropping"]),
    ];
    let listed = |form: &str| {
        let known = ROOTS.iter().find(|(root, forms)| *root == form || forms.contains(&form));
        known.map(|(root, _)| *root)
    };
    // "Stirred", "lifting": as English makes them.
    let base = ["ed", "ing"].iter().find_map(|ending| stem.strip_suffix(ending));
    let undoubled = base.and_then(|base| base.get(..base.len().saturating_sub(1)));
    let bases = [Some(stem), base, undoubled];
    bases.into_iter().flatten().find_map(listed).unwrap_or(stem)
}

/// Which of the names a phrase says: every word of the name stands in it, the longest name wins;
/// `None` where two fit as well.
pub(super) fn named<'n, I: Id>(
    names: impl Iterator<Item = (I, &'n Name)>,
    said: &BTreeSet<String>,
) -> Option<I> {
    let mut best: Option<(usize, I)> = None;
    let mut is_tied = false;
    for (at, name) in names {
        let forms = std::iter::once(&name.id).chain(&name.called).map(|form| stems(form));
        let fits = forms.filter(|form| !form.is_empty() && form.is_subset(said));
        let Some(length) = fits.map(|form| form.len()).max() else { continue };
        match best {
            Some((known, _)) if length < known => {}
            Some((known, _)) if length == known => is_tied = true,
            _ => {
                best = Some((length, at));
                is_tied = false;
            }
        }
    }
    best.filter(|_| !is_tied).map(|(_, at)| at)
}
