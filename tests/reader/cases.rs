//! Runs `cases/*.txt`.

use gaugebook::quantity::reader::{ReadOptions, read, read_whole};
use gaugebook::quantity::{
    Amount, Bound, Figure, FigureComparison, Hedge, Number, Reference, units,
};
use std::fmt::Write as _;
use std::path::Path;

/// Everything that a file may say about how to read.
#[derive(Default)]
struct Mode {
    options: ReadOptions,
    whole: bool,
    /// Whether what figures compare is expected too.
    compares: bool,
}

fn mode(words: &str) -> Mode {
    let mut mode = Mode::default();
    for word in words.split(',').map(str::trim) {
        match word.split_once(' ').unwrap_or((word, "")) {
            ("spoken", _) => mode.options.spoken = true,
            ("comma", _) => mode.options.decimal_comma = true,
            ("whole", _) => mode.whole = true,
            ("compares", _) => mode.compares = true,
            ("carried", code) => mode.options.carried = units::table().by_code(code),
            ("mil", code) => mode.options.mil = units::table().by_code(code),
            ("column", code) => mode.options.column_unit = units::table().by_code(code),
            ("plain", _) => {}
            other => panic!("unknown option {other:?}"),
        }
    }
    mode
}

fn written(number: &Number) -> String {
    let minus = if number.negative { "-" } else { "" };
    let digits = number.mantissa.unsigned_abs().to_string();
    match number.fraction {
        Some((n, d)) if digits == "0" => format!("{minus}{n}/{d}"),
        Some((n, d)) => format!("{minus}{digits} {n}/{d}"),
        None if number.exponent < 0 => {
            let places = number.exponent.unsigned_abs() as usize;
            let padded = format!("{digits:0>width$}", width = places + 1);
            let (whole, part) = padded.split_at(padded.len() - places);
            format!("{minus}{whole}.{part}")
        }
        None if number.exponent == 0 => format!("{minus}{digits}"),
        None => format!("{minus}{digits}e{}", number.exponent),
    }
}

fn described(figure: &Figure, how: &Mode) -> String {
    let mut line = match &figure.amount {
        Amount::Point(number) => written(number),
        Amount::Range(low, high) => format!("{} to {}", written(low), written(high)),
    };
    if let Some(tolerance) = &figure.tolerance {
        let _ = match &tolerance.below {
            None => write!(line, " ± {}", written(&tolerance.half_width)),
            Some(below) => write!(line, " +{}/-{}", written(&tolerance.half_width), written(below)),
        };
        if let Some(unit) = tolerance.unit {
            let _ = write!(line, " {}", unit.code);
        }
        if let Some(coverage) = &tolerance.coverage {
            let _ = write!(line, " (k={})", written(coverage));
        }
    }
    let _ = write!(line, " {}", figure.unit.code);
    let bound = figure.bound.map(|bound| match bound {
        Bound::AtLeast => "at least",
        Bound::Over => "over",
        Bound::AtMost => "at most",
        Bound::Under => "under",
    });
    let hedge = figure.hedge.map(|hedge| match hedge {
        Hedge::About => "about",
        Hedge::Nearly => "nearly",
        Hedge::JustOver => "just over",
    });
    let reference = figure.reference.map(Reference::word);
    // What the unit says by itself goes without saying.
    let kind = figure.kind.word().filter(|_| figure.kind != figure.unit.kind);
    for word in [bound, hedge, reference, kind].into_iter().flatten() {
        let _ = write!(line, ", {word}");
    }
    let comparison =
        figure.comparison.filter(|_| how.compares).map(|comparison| match comparison {
            FigureComparison::Times => "times",
            FigureComparison::TimesLess => "times less",
            FigureComparison::Part => "part",
            FigureComparison::More => "more",
            FigureComparison::Less => "less",
            FigureComparison::Apart => "apart",
        });
    if let Some(word) = comparison {
        let _ = write!(line, ", {word}");
    }
    if let Some(pair) = figure.pair {
        let letter = char::from(b'a' + u8::try_from(pair).unwrap_or(25));
        let _ = write!(line, ", pair {letter}");
    }
    line
}

fn actual(text: &str, mode: &Mode) -> Vec<String> {
    let of = |start: usize, end: usize| text[start..end].to_owned();
    if mode.whole {
        return match read_whole(text, &mode.options) {
            Ok(figures) => figures
                .iter()
                .map(|f| format!("{} | {}", of(f.span.start, f.span.end), described(f, mode)))
                .collect(),
            Err(fault) => {
                let help = fault.help.map(|help| format!("; {help}")).unwrap_or_default();
                let at = of(fault.span.start, fault.span.end);
                vec![format!("{at} ! {}{help}", fault.message)]
            }
        };
    }
    let found = read(text, &mode.options);
    let mut lines: Vec<(usize, String)> = Vec::new();
    for figure in &found.figures {
        let shown = of(figure.span.start, figure.span.end);
        lines.push((figure.span.start, format!("{shown} | {}", described(figure, mode))));
    }
    for fault in &found.faults {
        let shown = of(fault.span.start, fault.span.end);
        lines.push((fault.span.start, format!("{shown} ! {}", fault.code)));
    }
    lines.sort();
    lines.into_iter().map(|(_, line)| line).collect()
}

fn squeezed(line: &str) -> String {
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn check(path: &Path, wrong: &mut String) -> usize {
    let file = std::fs::read_to_string(path).unwrap_or_default();
    let mut how = Mode::default();
    let mut cases: Vec<(usize, String, Mode, Vec<String>)> = Vec::new();
    for (at, line) in file.lines().enumerate() {
        if let Some(words) = line.strip_prefix("@ ") {
            how = mode(words);
        } else if let Some(text) = line.strip_prefix("> ") {
            let options = how.options.clone();
            let text = text.replace("\\n", "\n");
            let mode = Mode { options, whole: how.whole, compares: how.compares };
            cases.push((at + 1, text, mode, Vec::new()));
        } else if let (false, Some(case)) =
            (line.trim().is_empty() || line.starts_with('#'), cases.last_mut())
        {
            case.3.push(squeezed(line));
        }
    }
    for (line, text, mode, expected) in &cases {
        let actual: Vec<String> = actual(text, mode).iter().map(|line| squeezed(line)).collect();
        if actual != *expected {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let _ = writeln!(
                wrong,
                "{name}:{line}\n> {text}\nexpected\n  {}\nread\n  {}\n",
                expected.join("\n  "),
                actual.join("\n  ")
            );
        }
    }
    cases.len()
}

#[test]
fn cases() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reader/cases");
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .expect("the case folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "txt"))
        .collect();
    paths.sort();
    let mut wrong = String::new();
    let count: usize = paths.iter().map(|path| check(path, &mut wrong)).sum();
    assert!(120 < count, "only {count} cases were found");
    assert!(wrong.is_empty(), "{wrong}");
}
