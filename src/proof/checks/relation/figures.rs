//! Statements about figures: more, less, as much, so many times as much, the most.

use super::names::{NamedFigure, SaidWords, is_pair, is_together};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::folio::words::TextWord;
use crate::formula::{self, Margin, Outcome, Truth, worst_case};
use crate::quantity::Dimension;
use crate::statement::{Degree, Factor, Phrase, Role, Sense, Than, may, speaks_of};

impl StatementNames<'_> {
    /// Asks of the two figures that two phrases name; of several engines that are meant together,
    /// of each. Where a phrase may mean several figures, all of them must give the same answer.
    pub(super) fn asked_of(
        &self,
        (left, right): (&Phrase, &Phrase),
        degree: Option<&Degree>,
        ask: impl Fn(NamedFigure, NamedFigure) -> Option<StatementAnswer>,
    ) -> Option<StatementAnswer> {
        let (mut ours, mut theirs) = (self.said_words(left), self.said_words(right));
        let mut lefts = self.sheets_of(left, &ours, degree);
        if ["no", "none", "nothing"].iter().any(|word| left.has(word)) {
            // "No other has a longer barrel than Rowan".
            let named = self.engines(right, None);
            let [one] = named.as_slice() else { return None };
            lefts = self.all_but(*one);
        }
        // "They halved the lead": of the one that was made from the other.
        let is_of_elder = right.is(Role::Elder) || right.has("before");
        if lefts.is_empty() && is_of_elder && self.engines(left, None).is_empty() {
            lefts = self.seen_from().into_iter().collect();
        }
        let rights = self.beside(left, right, &theirs, (&lefts, degree))?;
        if lefts.is_empty() || 1 < rights.len() && !is_together(right) && !right.has("other") {
            return None;
        }
        if right.has("replaced") && self.knows_nothing_of(right, &theirs) {
            // "Than the casting it replaced": whatever that is called.
            theirs.content.clear();
        }
        if let (true, true, Some(context)) = (ours.is_empty(), theirs.is_empty(), self.context) {
            ours = self.known_words(context);
        }
        if ours.is_empty() && theirs.is_empty() {
            return self.of_the_whole((&lefts, &rights), (&ours.light, degree), ask);
        }
        if ours.is_empty() && !rights.is_empty() {
            // "A's is longer than B's barrel".
            std::mem::swap(&mut ours, &mut theirs);
        }
        let mut answers = Vec::new();
        for home in lefts {
            let others: Vec<Option<usize>> = match rights.as_slice() {
                [] => vec![None],
                _ => rights.iter().copied().map(Some).collect(),
            };
            for other in others {
                let pairs = self.pairs((&ours, &theirs), (home, other), degree);
                let found = agreed(pairs.into_iter().filter_map(|(one, two)| ask(one, two)));
                let unknown = || self.of_the_unknown((left, right), (&ours, &theirs), degree);
                answers.push(found.or_else(unknown)?);
            }
        }
        StatementAnswer::all(answers)
    }

    /// The sheets that a side of a comparison speaks of: those of the engines that it names, the
    /// page's own, or those that alone know its words.
    fn sheets_of(
        &self,
        phrase: &Phrase,
        words: &SaidWords<'_>,
        degree: Option<&Degree>,
    ) -> Vec<usize> {
        let named = self.engines(phrase, None);
        let is_known = |sheet: &usize| !self.candidates(words, *sheet, degree).is_empty();
        if !named.is_empty() {
            return if named.len() == 1 || is_together(phrase) { named } else { Vec::new() };
        }
        if words.is_empty() || self.own.is_some_and(|own| is_known(&own)) && !is_together(phrase) {
            return self.own.into_iter().collect();
        }
        let first = words.content.first().map_or("", |word| *word);
        let knowing = self.folio.cues.sheets_knowing(first).iter().copied();
        let all: Vec<usize> = knowing.filter(is_known).collect();
        match all.as_slice() {
            [] => self.own.into_iter().collect(),
            [_] => all,
            [_, _] if is_pair(phrase) => all,
            _ if !is_pair(phrase) && is_together(phrase) => all,
            _ => Vec::new(),
        }
    }

    /// The sheets that the other side speaks of; none where it is the left side's own. `None` where
    /// they cannot be told.
    fn beside(
        &self,
        left: &Phrase,
        right: &Phrase,
        words: &SaidWords<'_>,
        (lefts, degree): (&[usize], Option<&Degree>),
    ) -> Option<Vec<usize>> {
        let named = self.engines(right, self.engines(left, None).first().copied());
        let [home] = lefts else {
            let known = self.sheets_of(right, words, degree);
            return Some(if named.is_empty() && !words.is_empty() { known } else { named });
        };
        if right.has("other") && named.is_empty() {
            let all = self.all_but(*home);
            let wants_all = ["two", "any", "either", "all", "both"].iter().any(|w| right.has(w));
            let partner = self.partner(*home).map(|partner| vec![partner]);
            return if wants_all { Some(all) } else { partner };
        }
        if right.words.len() == 1 && right.has("before") {
            // "Weaker than before".
            let (heir, elder) = self.lineage(Some(*home))?;
            return (heir == *home).then(|| vec![elder]);
        }
        if !named.is_empty() || words.is_empty() {
            return Some(
                named.into_iter().filter(|sheet| sheet != home || !words.is_empty()).collect(),
            );
        }
        let known = self.sheets_of(right, words, degree);
        Some(known.into_iter().filter(|sheet| sheet != home).collect())
    }

    /// All engines but one.
    fn all_but(&self, one: usize) -> Vec<usize> {
        self.all_engines().into_iter().filter(|at| *at != one).collect()
    }

    /// The other one of two engines.
    pub(super) fn partner(&self, home: usize) -> Option<usize> {
        let [one, other] = StatementNames { own: Some(home), ..*self }.two()?;
        Some(if one == home { other } else { one })
    }

    /// "Gorse is heavier than Broom": of the engine as a whole, which hardly ever is stated.
    fn of_the_whole(
        &self,
        (lefts, rights): (&[usize], &[usize]),
        (verbs, degree): (&[&str], Option<&Degree>),
        ask: impl Fn(NamedFigure, NamedFigure) -> Option<StatementAnswer>,
    ) -> Option<StatementAnswer> {
        let degree = degree.filter(|degree| !degree.is_general())?;
        if rights.is_empty() {
            return None;
        }
        let mut answers = Vec::new();
        for home in lefts {
            let of_sort = self.of_sort(*home, degree, verbs);
            for other in rights.iter().filter(|other| *other != home) {
                let one = match of_sort.as_slice() {
                    [one] => Some(*one),
                    _ => None,
                };
                let found = one.and_then(|one| ask(one, self.twin(one, *other)?));
                let is_told = degree.senses.len() < 2;
                let open = || is_told.then(|| self.untold(*home, *other, degree)).flatten();
                answers.push(found.or_else(open)?);
            }
        }
        StatementAnswer::all(answers)
    }

    /// The figures of a sheet that state what a word of degree measures, of the engine as a whole:
    /// how fast it throws, how much air it takes, what it weighs, how long it does what a verb
    /// says.
    fn of_sort(&self, sheet: usize, degree: &Degree, verbs: &[&str]) -> Vec<NamedFigure> {
        let count = self.folio.ledger.sheets.get(sheet).map_or(0, |known| known.entries.len());
        let measured = |at: usize| {
            let (dimension, _) = self.measure((sheet, at))?;
            degree.sense(dimension).map(|_| dimension)
        };
        let of = |is_told: &dyn Fn(&[Vec<String>], Dimension) -> bool| -> Vec<NamedFigure> {
            let names = |at: usize| self.folio.cues.names(sheet, at);
            let told = |at: &usize| measured(*at).is_some_and(|known| is_told(names(*at), known));
            (0..count).filter(told).map(|at| (sheet, at)).collect()
        };
        let does = |names: &[Vec<String>], _| {
            let words = || names.iter().flatten();
            verbs.iter().any(|verb| words().any(|word| is_of_verb(word, verb)))
        };
        let done = of(&does);
        if !done.is_empty() {
            return done;
        }
        let first = degree.senses.first().map(|(dimension, _)| *dimension);
        let is_whole = first == Some(Dimension::VELOCITY) || !degree.sort.is_empty();
        if is_whole && first != Some(Dimension::LENGTH) {
            return of(&|names, known| {
                let mut words = names.iter().flatten();
                let says = words.any(|stem| degree.sort.contains(&stem.as_str()));
                Some(known) == first && (says || degree.sort.is_empty())
            });
        }
        // "Weight" alone is that of the whole.
        of(&|names, known| {
            let measures = |word: &String| speaks_of(word, known) == Some(true);
            let is_all = |word: &String| matches!(word.as_str(), "of" | "the" | "engine" | "whole");
            names.iter().any(|name| {
                name.iter().any(&measures) && name.iter().all(|w| measures(w) || is_all(w))
            })
        })
    }

    /// What no figure states of two engines.
    fn untold(&self, one: usize, other: usize, degree: &Degree) -> Option<StatementAnswer> {
        let name = |at: usize| self.folio.ledger.sheets.get(at)?.engine.clone();
        let question = format!("{} {} than {}", name(one)?, degree.more, name(other)?);
        let reason = "no reading states it of the whole engine".to_owned();
        Some(StatementAnswer { standing: StatementStanding::Unknown, reason, question })
    }

    /// A relation to something that no figure states; the other side is known.
    fn of_the_unknown(
        &self,
        (left, right): (&Phrase, &Phrase),
        (ours, theirs): (&SaidWords<'_>, &SaidWords<'_>),
        degree: Option<&Degree>,
    ) -> Option<StatementAnswer> {
        let unknown = |phrase: &Phrase, words: &SaidWords<'_>| self.knows_nothing_of(phrase, words);
        let is_engine = |phrase: &Phrase| !self.engines(phrase, None).is_empty();
        let is_told = degree.is_none_or(|degree| !degree.is_general());
        let what = match (unknown(left, ours), unknown(right, theirs)) {
            (true, false) => ours,
            (false, true) => theirs,
            (true, true) if ours.content == theirs.content => ours,
            _ => return None,
        };
        let stands = is_told && is_engine(left) | is_engine(right);
        let words = what.content.join(" ");
        stands.then(|| StatementAnswer {
            standing: StatementStanding::Unknown,
            reason: format!("no reading states the {words}"),
            question: format!("what is the {words}"),
        })
    }

    /// The figures that two phrases may mean.
    fn pairs(
        &self,
        (left, right): (&SaidWords<'_>, &SaidWords<'_>),
        (home, other): (usize, Option<usize>),
        degree: Option<&Degree>,
    ) -> Vec<(NamedFigure, NamedFigure)> {
        let ones = self.candidates(left, home, degree);
        let beside = |one: NamedFigure| match (right.is_empty(), other) {
            // "than Rowan's", "than the older one": the same figure of another engine.
            (true, Some(sheet)) => self.twin(one, sheet).into_iter().collect(),
            (true, None) => Vec::new(),
            (false, sheet) => {
                let found = self.candidates(right, sheet.unwrap_or(home), degree);
                // "than it is in Rowan": words that only repeat the subject.
                let repeats = right.content.iter().all(|word| left.content.contains(word));
                match sheet.filter(|_| repeats).and_then(|sheet| self.twin(one, sheet)) {
                    Some(twin) if found.len() != 1 || found.contains(&twin) => vec![twin],
                    _ => found,
                }
            }
        };
        let pairs = ones.iter().flat_map(|one| beside(*one).into_iter().map(|two| (*one, two)));
        let said = [left, right];
        // "Weighs three times what the other does" is said of nothing but weights.
        let verbs = || left.light.iter().chain(&right.light);
        let is_meant = |(dimension, _)| {
            degree.is_some() || verbs().all(|verb| speaks_of(verb, dimension) != Some(false))
        };
        let is_asked = |one: NamedFigure, two: NamedFigure| {
            let is_of_verb = self.measure(one).is_some_and(is_meant);
            let is_pair = one != two && self.is_comparable(one, two) && is_of_verb;
            is_pair && !self.is_mixed([one, two], said)
        };
        pairs.filter(|(one, two)| is_asked(*one, *two)).collect()
    }

    /// "The plug is smaller than the tube", where the one is known by its diameter and the other by
    /// its length: no one meant that, unless the words say so.
    fn is_mixed(&self, figures: [NamedFigure; 2], said: [&SaidWords<'_>; 2]) -> bool {
        let measures = figures.map(|(sheet, entry)| {
            let name = &self.folio.ledger.sheets[sheet].entries[entry].name.text;
            let last = name.rsplit('_').next().unwrap_or_default();
            (last.to_owned(), may(last, Role::Along), may(last, Role::Across))
        });
        let [(one, is_along, is_across), (other, runs_along, runs_across)] = &measures;
        let is_said = |word: &String| said.iter().any(|it| it.content.contains(&word.as_str()));
        (*is_along && *runs_across || *is_across && *runs_along)
            && !(is_said(one) && is_said(other))
    }

    fn is_comparable(&self, one: NamedFigure, other: NamedFigure) -> bool {
        matches!((self.measure(one), self.measure(other)), (Some(a), Some(b)) if a.0 == b.0)
    }

    /// How a formula names a figure.
    pub(super) fn path(&self, (sheet, entry): NamedFigure) -> Option<String> {
        let sheet = &self.folio.ledger.sheets[sheet];
        Some(format!("{}.{}", sheet.engine.as_ref()?, sheet.entries[entry].name.text))
    }

    pub(super) fn evaluate(&self, text: &str, sheet: usize) -> Option<(Outcome, String)> {
        let formula = formula::parse(text).ok()?;
        let scope = self.folio.ledger.scope(sheet);
        let conventions = &self.folio.ledger.sheets[sheet].conventions;
        let outcome = formula::evaluate(&formula, &scope, conventions).ok()?;
        Some((outcome, formula::account(&formula, &scope, conventions)))
    }

    pub(super) fn asked(&self, question: String, sheet: usize) -> Option<StatementAnswer> {
        let (outcome, reason) = self.evaluate(&question, sheet)?;
        let standing = match outcome {
            Outcome::Truth(Truth::True(Margin::Certain)) => StatementStanding::Holds,
            Outcome::Truth(Truth::False(Margin::Certain)) => StatementStanding::Fails,
            Outcome::Truth(_) => StatementStanding::Open,
            Outcome::Value(_) => return None,
        };
        Some(StatementAnswer { standing, reason, question })
    }

    pub(super) fn compared(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        degree: &Degree,
        than: Than,
    ) -> Option<StatementAnswer> {
        let sense = degree.sense(self.measure(one)?.0)?;
        let sign = match (than, sense) {
            (Than::More, Sense::Up) | (Than::Less, Sense::Down) => ">",
            (Than::Less, Sense::Up) | (Than::More, Sense::Down) => "<",
            (Than::NotLess, Sense::Up) | (Than::NotMore, Sense::Down) => ">=",
            (Than::NotMore, Sense::Up) | (Than::NotLess, Sense::Down) => "<=",
        };
        let question = format!("{} {sign} {}", self.path(one)?, self.path(other)?);
        self.asked(question, one.0)
    }

    /// "Was given more": what is recorded as one value before and after has not changed, whatever
    /// its ± is.
    fn changed_so(
        &self,
        now: NamedFigure,
        before: NamedFigure,
        degree: &Degree,
        than: Than,
    ) -> Option<StatementAnswer> {
        let answer = self.compared(now, before, degree, than)?;
        let is_open = answer.standing == StatementStanding::Open;
        if is_open && self.are_equal(now, before)? {
            let standing = StatementStanding::of(matches!(than, Than::NotLess | Than::NotMore));
            return Some(StatementAnswer { standing, ..answer });
        }
        Some(answer)
    }

    /// "The bob was made lighter": than that of the engine it descends from.
    pub(super) fn became(&self, what: &Phrase, degree: &Degree) -> Option<StatementAnswer> {
        let named = self.engines(what, None);
        let base = named.iter().copied().find(|at| self.lineage(Some(*at)).is_some());
        let (heir, elder) = self.lineage(base.or_else(|| self.seen_from()))?;
        let is_of_them = named.iter().all(|at| [heir, elder].contains(at));
        let found = self.candidates(&self.said_words(what), heir, Some(degree));
        let ([now], true) = (found.as_slice(), is_of_them) else { return None };
        self.changed_so(*now, self.twin(*now, elder)?, degree, Than::More)
    }

    /// Whether two figures are the same as recorded.
    fn are_equal(&self, one: NamedFigure, other: NamedFigure) -> Option<bool> {
        let (a, b) = (self.path(one)?, self.path(other)?);
        let (difference, _) = self.evaluate(&format!("{a} - {b}"), one.0)?;
        let Outcome::Value(value) = difference else { return None };
        Some(value.quantity.si.to_f64() == 0.0)
    }

    /// "As long as": equal as recorded holds, apart beyond the ± fails.
    pub(super) fn same(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        is_denied: bool,
    ) -> Option<StatementAnswer> {
        let (a, b) = (self.path(one)?, self.path(other)?);
        let is_equal = self.are_equal(one, other)?;
        let mut answer = self.asked(format!("{a} > {b}"), one.0)?;
        answer.standing = match (is_equal, answer.standing) {
            (true, _) => StatementStanding::Holds,
            (false, StatementStanding::Open) => StatementStanding::Open,
            (false, _) => StatementStanding::Fails,
        };
        if is_denied {
            answer.standing = answer.standing.denied();
        }
        answer.question = format!("{a} = {b}");
        Some(answer)
    }

    pub(super) fn ratio(
        &self,
        one: NamedFigure,
        other: NamedFigure,
        degree: Option<&Degree>,
        factor: &Factor,
    ) -> Option<StatementAnswer> {
        let (dimension, _) = self.measure(one)?;
        if dimension == Dimension::PRESSURE || dimension == Dimension::TEMPERATURE {
            return None;
        }
        let leans_down = degree.is_some_and(|degree| degree.sense(dimension) == Some(Sense::Down));
        let (upper, lower) = if leans_down { (other, one) } else { (one, other) };
        let question = format!("{} / {}", self.path(upper)?, self.path(lower)?);
        let formula = formula::parse(&question).ok()?;
        let scope = self.folio.ledger.scope(one.0);
        let conventions = &self.folio.ledger.sheets[one.0].conventions;
        let Ok(Outcome::Value(value)) = formula::evaluate(&formula, &scope, conventions) else {
            return None;
        };
        let range = worst_case(&formula, &scope, conventions).ok()?;
        let nominal = value.quantity.si.to_f64();
        let (low, high) = (range.low.to_f64(), range.high.to_f64());
        // "Twice as large" of a hole may mean its width or its area.
        let is_size = degree.is_none_or(Degree::is_general);
        let sentence = self.text.get(self.sentence.start..self.sentence.end).unwrap_or_default();
        let sentence = sentence.to_lowercase();
        let says = |word: &str| sentence.contains(word);
        let is_length = dimension == Dimension::LENGTH;
        let powers: &[i32] = match () {
            () if is_length && (says("by area") || says("in area") || says("in section")) => &[2],
            () if is_length && is_size && !says("diameter") => &[1, 2],
            () => &[1],
        };
        let fits = |value: f64| {
            powers.iter().any(|power| (factor.low..=factor.high).contains(&value.powi(*power)))
        };
        let meets = powers
            .iter()
            .any(|power| low.powi(*power) <= factor.high && factor.low <= high.powi(*power));
        let standing = match (fits(nominal), meets) {
            (true, _) => StatementStanding::Holds,
            (false, true) => StatementStanding::Open,
            (false, false) => StatementStanding::Fails,
        };
        let reason = format!("{question} is {}", three_digits(nominal));
        Some(StatementAnswer { standing, reason, question })
    }

    /// "Have the same bore": each figure named, of every engine named.
    pub(super) fn alike(
        &self,
        said: &Phrase,
        degree: Option<&Degree>,
        (is_denied, is_change): (bool, bool),
    ) -> Option<StatementAnswer> {
        if let (false, Some(beside)) = (is_change, self.alike_within(said, degree)) {
            return Some(if is_denied {
                StatementAnswer { standing: beside.standing.denied(), ..beside }
            } else {
                beside
            });
        }
        let mut engines = self.engines(said, None);
        if engines.len() < 2 && !self.engines(said, None).is_empty() || engines.is_empty() {
            let home = engines.first().copied().or_else(|| self.seen_from())?;
            let partner = self.partner(home)?;
            engines = vec![home, partner];
        }
        let (first, others) = engines.split_first()?;
        let mut answers = Vec::new();
        for figure in self.listed_figures(said, *first, degree)? {
            for other in others {
                let twin = self.twin(figure, *other)?;
                answers.push(self.same(figure, twin, false)?);
            }
        }
        let mut answer = StatementAnswer::all(answers)?;
        if is_denied {
            answer.standing = answer.standing.denied();
        }
        Some(answer)
    }

    /// "Rod and nose are of one diameter": several figures, or several rings, of one engine.
    fn alike_within(&self, said: &Phrase, degree: Option<&Degree>) -> Option<StatementAnswer> {
        let homes = self.homes(said);
        let [home] = homes.as_slice() else { return None };
        if let Some(rings) = self.rings_alike(*home, said) {
            return Some(rings);
        }
        let listed = self.listed_figures(said, *home, degree)?;
        let (first, others) = listed.split_first().filter(|(_, others)| !others.is_empty())?;
        let answers = others.iter().map(|other| {
            self.is_comparable(*first, *other).then(|| self.same(*first, *other, false)).flatten()
        });
        StatementAnswer::all(answers.collect::<Option<_>>()?)
    }

    /// "Thanks to a wider jet" of an engine that has none wider than the other one's; that it has
    /// is taken for granted and says nothing of what comes of it.
    pub(super) fn granted(&self, left: &Phrase, degree: &Degree) -> Option<StatementAnswer> {
        let homes = self.homes(left);
        let [home] = homes.as_slice() else { return None };
        let named = self.candidates(&self.said_words(left), *home, Some(degree));
        let [one] = named.as_slice() else { return None };
        let twin = self.twin(*one, self.partner(*home)?)?;
        let answer = self.changed_so(*one, twin, degree, Than::More)?;
        (answer.standing == StatementStanding::Fails).then_some(answer)
    }

    /// The figures that a list names: "neither the travel nor the land".
    fn listed_figures(
        &self,
        said: &Phrase,
        sheet: usize,
        degree: Option<&Degree>,
    ) -> Option<Vec<NamedFigure>> {
        let words = self.said_words(said);
        let whole = self.candidates(&words, sheet, degree);
        if let ([one], false) = (whole.as_slice(), said.has("nor")) {
            return Some(vec![*one]);
        }
        // One after the other: as long as the words belong to one name, they are of one figure.
        let mut found: Vec<NamedFigure> = Vec::new();
        let mut rest = words.content.as_slice();
        while !rest.is_empty() {
            let longest = (1..=rest.len()).rev().find_map(|length| {
                let piece =
                    SaidWords { content: rest.get(..length)?.to_vec(), light: words.light.clone() };
                match self.candidates(&piece, sheet, degree).as_slice() {
                    [one] => Some((length, *one)),
                    _ => None,
                }
            });
            let (length, one) = longest?;
            found.push(one);
            rest = &rest[length..];
        }
        (!found.is_empty()).then_some(found)
    }

    /// "The widest bore on the rack", "of the bunch": words behind a preposition that name nothing
    /// of any engine.
    fn set_compared<'p>(&self, what: &'p Phrase) -> Vec<&'p str> {
        let is_set = |word: &&TextWord| {
            let ahead = self.text.get(..word.span.start).unwrap_or_default();
            let leads = ["on the ", "of the ", "in the ", "of this ", "among the ", "in this "];
            leads.iter().any(|lead| ahead.ends_with(lead))
                && self.folio.cues.sheets_knowing(&word.stem).is_empty()
                && !self.folio.routing.engines.values().any(|it| it.things.speak_of(&word.stem))
        };
        what.words.iter().filter(is_set).map(|word| word.stem.as_str()).collect()
    }

    /// "The heaviest of all": against the figure of the same name of every other engine; of a pair,
    /// of the other one.
    pub(super) fn extreme(
        &self,
        what: &Phrase,
        degree: &Degree,
        is_of_pair: bool,
        is_denied: bool,
    ) -> Option<StatementAnswer> {
        let named = self.engines(what, None);
        let set = self.set_compared(what);
        let mut words = self.said_words(what);
        words.content.retain(|word| !set.contains(word));
        if let (true, Some(context)) = (words.is_empty(), self.context) {
            words = self.known_words(context);
        }
        if is_denied && what.is(Role::None) {
            // "Neither spring is the stiffer".
            return is_of_pair.then(|| self.alike(what, Some(degree), (false, false))).flatten();
        }
        let home = match named.as_slice() {
            [] => self.own?,
            [sheet] => *sheet,
            _ => return None,
        };
        let mut ones = self.candidates(&words, home, Some(degree));
        if words.is_empty() {
            ones = self.of_sort(home, degree, &words.light);
        }
        let [one] = ones.as_slice() else {
            let is_unknown = self.knows_nothing_of(what, &words) || words.is_empty();
            let stands = !named.is_empty() && !degree.is_general() && degree.senses.len() < 2;
            let question = format!("{} of all {}", degree.most, words.content.join(" "));
            let reason = "no reading states it".to_owned();
            let standing = StatementStanding::Unknown;
            return (is_unknown && stands).then_some(StatementAnswer {
                standing,
                reason,
                question,
            });
        };
        let partner = self.partner(home);
        let others: Vec<usize> = match is_of_pair {
            true => vec![partner?],
            false => self.all_but(home),
        };
        let mut is_open = false;
        let mut answers = Vec::new();
        for other in others {
            let twin = self.twin(*one, other).filter(|twin| self.is_comparable(*one, *twin));
            match twin.and_then(|twin| self.compared(*one, twin, degree, Than::More)) {
                Some(answer) => answers.push(answer),
                None => is_open = true,
            }
        }
        let mut answer = StatementAnswer::all(answers)?;
        if is_open && answer.standing == StatementStanding::Holds {
            answer.standing = StatementStanding::Open;
        }
        if is_denied {
            answer.standing = answer.standing.denied();
        }
        Some(answer)
    }
}

/// "Refilling" is what "refills" does.
fn is_of_verb(word: &str, verb: &str) -> bool {
    let root = |word: &'_ str| -> String {
        let cut = ["ing", "ed", "e"].iter().find_map(|ending| word.strip_suffix(ending));
        cut.unwrap_or(word).to_owned()
    };
    3 < verb.len() && root(word) == root(verb)
}

/// The answer that all give; `None` where they differ or there is none.
fn agreed(mut answers: impl Iterator<Item = StatementAnswer>) -> Option<StatementAnswer> {
    let first = answers.next()?;
    answers.all(|answer| answer.standing == first.standing).then_some(first)
}

pub(super) fn three_digits(value: f64) -> String {
    let digits = if value.abs() < 10.0 { 2 } else { 0 };
    format!("{value:.digits$}")
}
