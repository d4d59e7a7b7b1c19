//! Valves that are drawn as symbols: boxes, quick exhausts, shuttles and two-pressure valves.

use super::resolve::both;
use super::ways::WIDTHS;
use super::{Read, Reader, Unread};
use crate::cutaway::cursor::Cursor;
use crate::cutaway::gather::LineBlock;
use crate::cutaway::grammar::{Under, firsts};
use crate::cutaway::lines::Line;
use crate::cutaway::model::{
    ChamberId, Condition, Drive, Returns, Valve, ValveId, ValveKind, Width,
};
use crate::slip::Slip;
use std::collections::BTreeSet;

const DRIVES: [(&str, Drive); 3] =
    [("solenoid", Drive::Solenoid), ("mechanical", Drive::Mechanical), ("air", Drive::Air)];

/// Chambers that are joined, and how wide.
type Joins = Vec<((ChamberId, ChamberId), Width)>;

impl Reader<'_> {
    /// `valve NAME  3/2  solenoid` and its lines.
    pub(super) fn valve(&mut self, block: &LineBlock) -> Read<()> {
        let Some(at) = self.own::<ValveId>(block) else { return Err(Unread::Silent) };
        let result = self.valve_head(block, at);
        let ports = self.told_missing(block, result);
        let mut seen: Vec<&str> = Vec::new();
        for line in &block.statement.inner {
            let Some(first) = line.tokens.first() else { continue };
            if !firsts(Under::Valve).any(|word| first.text == word) {
                self.unknown_line(block, first, "line below `valve`", Under::Valve);
                continue;
            }
            if seen.contains(&first.text.as_str()) {
                let message = format!("`{}` stands twice below one valve", first.text);
                self.tell(block, Slip::stop("declared-twice", block.spot(first.span), message));
                continue;
            }
            seen.push(first.text.as_str());
            let result = self.valve_line(block, at, line, ports);
            self.told_missing(block, result);
        }
        self.told_lacks(block, &seen);
        Ok(())
    }

    /// Tells of the lines that every valve has and this one lacks.
    fn told_lacks(&mut self, block: &LineBlock, seen: &[&str]) {
        let needed = [
            ("rest", "what it joins at `rest`", "`rest joins A to B`"),
            ("shifted", "what it joins when `shifted`", "`shifted joins nothing`"),
            ("shifts", "what `shifts` it", "`shifts while trigger`"),
        ];
        let lacking: Vec<_> = needed.iter().filter(|(word, ..)| !seen.contains(word)).collect();
        let lacks: Vec<&str> = lacking.iter().map(|(_, lacks, _)| *lacks).collect();
        let examples: Vec<&str> = lacking.iter().map(|(_, _, example)| *example).collect();
        if !lacking.is_empty() {
            let lacks = format!("does not say {}", lacks.join(" nor "));
            let help = format!("add lines below it, such as {}", examples.join(", "));
            self.incomplete(block, &lacks, &help);
        }
    }

    /// Ports and drive. Gives the number of ports.
    fn valve_head(&mut self, block: &LineBlock, at: ValveId) -> Read<u8> {
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let token = cursor.name("ports and states, as `3/2`")?;
        let Some(ports) = ports(&token.text) else {
            let message = format!("expected ports and states, as `3/2`; found `{}`", token.text);
            let slip = Slip::stop("statement-unreadable", block.spot(token.span), message);
            self.tell(block, slip.noting("valves with two states and two to nine ports are known"));
            return Err(Unread::Silent);
        };
        self.engine.valves[at].kind = ValveKind::Boxes(ports);
        self.clauses(block, "valve", &mut cursor, |reader, _, word| {
            let drive = DRIVES.iter().find(|(known, _)| *known == word);
            let valve = &mut reader.engine.valves[at];
            valve.drive = drive.map_or(valve.drive, |(_, drive)| *drive);
            Ok(())
        })?;
        Ok(ports)
    }

    fn valve_line(
        &mut self,
        block: &LineBlock,
        at: ValveId,
        line: &Line,
        ports: Option<u8>,
    ) -> Read<()> {
        let mut cursor = Cursor::new(line, 1);
        let word = line.tokens[0].text.as_str();
        match word {
            state @ ("rest" | "shifted") => {
                let joins = self.joins(block, &mut cursor)?;
                self.end_of_line(block, word, &cursor);
                let is_rest = state == "rest";
                if let Some(ports) = ports {
                    self.check_ports(block, line, &joins, ports);
                }
                let valve = &mut self.engine.valves[at];
                let thin = joins.iter().enumerate().filter(|(_, (_, it))| *it != Width::Wide);
                valve.widths.extend(thin.map(|(joint, (_, width))| ((!is_rest, joint), *width)));
                let joins = joins.into_iter().map(|(pair, _)| pair).collect();
                *(if is_rest { &mut valve.rest } else { &mut valve.shifted }) = joins;
            }
            "shifts" => {
                let on_edge = cursor.takes("on");
                if !on_edge && !cursor.takes("while") {
                    let expected = "`while`, or `on` for once each time";
                    return Err(cursor.missing(expected.into()).into());
                }
                let shifts = self.conditions(block, &mut cursor)?;
                self.end_of_line(block, word, &cursor);
                let valve = &mut self.engine.valves[at];
                valve.on_edge = on_edge;
                valve.shifts = shifts;
            }
            _ => {
                let returns = self.returns(block, &mut cursor)?;
                self.end_of_line(block, word, &cursor);
                self.engine.valves[at].returns = returns;
            }
        }
        Ok(())
    }

    /// `joins A to B, C to D` or `joins nothing`.
    fn joins(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Joins> {
        cursor.expect("joins")?;
        if cursor.takes("nothing") {
            return Ok(Vec::new());
        }
        let mut joins = Vec::new();
        let mut is_whole = true;
        loop {
            let first = self.named::<ChamberId>(block, cursor, "a chamber, or `nothing`");
            if let Err(Unread::MissingWord(missing)) = first {
                return Err(missing.into());
            }
            cursor.expect("to")?;
            let token = cursor.peek();
            let second = self.named::<ChamberId>(block, cursor, "the chamber it is joined to");
            match both(self, block, first, second) {
                Ok(pair) => {
                    let what = "a valve joins two chambers, not one to itself";
                    is_whole &= self.must_differ(block, pair, token, what).is_ok();
                    joins.push((pair, Width::Wide));
                }
                Err(Unread::Silent) => is_whole = false,
                Err(missing) => return Err(missing),
            }
            let width = WIDTHS.iter().find(|(word, _)| cursor.takes(word));
            if let (Some((_, width)), Some((_, own))) = (width, joins.last_mut()) {
                *own = *width;
            }
            if !cursor.takes(",") {
                break;
            }
        }
        if is_whole { Ok(joins) } else { Err(Unread::Silent) }
    }

    fn check_ports(&mut self, block: &LineBlock, line: &Line, joins: &Joins, ports: u8) {
        let ends: BTreeSet<ChamberId> = joins.iter().flat_map(|((a, b), _)| [*a, *b]).collect();
        let most = usize::from(ports) / 2;
        let count = joins.len();
        if count <= most && ends.len() <= usize::from(ports) {
            return;
        }
        let pairs = if most == 1 { "pair" } else { "pairs" };
        let message = format!(
            "in one state a {ports}/2 valve joins at most {most} {pairs} of chambers; found {count}"
        );
        let slip = Slip::stop("joins-too-many", block.spot(line.span), message);
        let needed = 2 * count;
        self.tell(block, slip.help(format!("take a joining away, or make it a {needed}/2 valve")));
    }

    /// `after NAME` or `while …`.
    fn returns(&mut self, block: &LineBlock, cursor: &mut Cursor) -> Read<Returns> {
        if cursor.takes("after") {
            let token = cursor.name("the name of the time, as `dwell`")?;
            return Ok(Returns::After(self.checked_name(block, token)));
        }
        if cursor.takes("while") {
            return Ok(Returns::While(self.conditions(block, cursor)?));
        }
        Err(cursor
            .missing("`after` and the name of a time, or `while` and conditions".into())
            .into())
    }

    /// `quick exhaust NAME  from INLET to CONSUMER  out EXHAUST`.
    pub(super) fn quick_exhaust(&mut self, block: &LineBlock) -> Read<()> {
        let mut cursor = Cursor::new(&block.statement.head, 1);
        cursor.expect("exhaust")?;
        let Some(at) = self.own::<ValveId>(block) else { return Err(Unread::Silent) };
        cursor.next();
        let inlet = self.chamber_behind(block, &mut cursor, "from");
        if let Err(Unread::MissingWord(missing)) = inlet {
            return Err(missing.into());
        }
        let to = cursor.peek_second();
        let consumer = self.chamber_behind(block, &mut cursor, "to");
        if let Err(Unread::MissingWord(missing)) = consumer {
            return Err(missing.into());
        }
        let out = cursor.peek_second();
        let exhaust = self.chamber_behind(block, &mut cursor, "out");
        let ends = both(self, block, inlet, consumer);
        let ((inlet, consumer), exhaust) = both(self, block, ends, exhaust)?;
        self.clauses(block, block.keyword(), &mut cursor, |_, _, _| Ok(()))?;
        let what = "its three ports lead to three chambers";
        self.must_differ(block, (inlet, consumer), to, what)?;
        self.must_differ(block, (consumer, exhaust), out, what)?;
        self.must_differ(block, (inlet, exhaust), out, what)?;
        let valve = Valve {
            kind: ValveKind::QuickExhaust,
            drive: Drive::Air,
            rest: vec![(inlet, consumer)],
            shifted: vec![(consumer, exhaust)],
            shifts: vec![Condition::Above(consumer, inlet)],
            // Until air comes again it lies where the last of it has pushed it.
            returns: Returns::While(vec![Condition::Above(inlet, consumer)]),
            ..self.engine.valves[at].clone()
        };
        self.engine.valves[at] = valve;
        Ok(())
    }

    /// `shuttle NAME  from A, B to OUT` and `two-pressure NAME  from A, B to OUT`.
    pub(super) fn of_two_inlets(&mut self, block: &LineBlock) -> Read<()> {
        let Some(at) = self.own::<ValveId>(block) else { return Err(Unread::Silent) };
        let mut cursor = Cursor::new(&block.statement.head, 2);
        let first = self.chamber_behind(block, &mut cursor, "from");
        if let Err(Unread::MissingWord(missing)) = first {
            return Err(missing.into());
        }
        cursor.expect(",")?;
        let second_token = cursor.peek();
        let second = self.named::<ChamberId>(block, &mut cursor, "the second inlet");
        let out_token = cursor.peek_second();
        let out = self.chamber_behind(block, &mut cursor, "to");
        let inlets = both(self, block, first, second);
        let ((a, b), out) = both(self, block, inlets, out)?;
        self.clauses(block, block.keyword(), &mut cursor, |_, _, _| Ok(()))?;
        let what = "its three ports lead to three chambers";
        self.must_differ(block, (a, b), second_token, what)?;
        self.must_differ(block, (b, out), out_token, what)?;
        self.must_differ(block, (a, out), out_token, what)?;
        let is_shuttle = block.keyword() == "shuttle";
        // A shuttle lets the higher inlet through, a two-pressure valve the lower one.
        let (rest, shifted) = if is_shuttle { (a, b) } else { (b, a) };
        let kind = if is_shuttle { ValveKind::Shuttle } else { ValveKind::TwoPressure };
        let valve = Valve {
            kind,
            drive: Drive::Air,
            rest: vec![(rest, out)],
            shifted: vec![(shifted, out)],
            shifts: vec![Condition::Above(b, a)],
            returns: Returns::While(vec![Condition::Above(a, b)]),
            ..self.engine.valves[at].clone()
        };
        self.engine.valves[at] = valve;
        Ok(())
    }
}

/// Ports of a valve with two states.
fn ports(text: &str) -> Option<u8> {
    let ports = text.strip_suffix("/2")?.parse().ok()?;
    (2..=9).contains(&ports).then_some(ports)
}
