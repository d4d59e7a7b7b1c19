//! The hostile folios. Each is one page, one cutaway or one picture in an else empty folio.

use std::path::Path;

/// A hostile folio, and what must come of it.
pub(crate) struct Case {
    pub(crate) name: &'static str,
    /// A fault that is told.
    pub(crate) slip: Option<&'static str>,
    /// What the draft shows, as HTML.
    pub(crate) shows: Option<&'static str>,
    files: Vec<(&'static str, Vec<u8>)>,
}

impl Case {
    /// Writes the folio.
    pub(crate) fn write(&self, folder: &Path) {
        let imprint = ("content/imprint.yaml", b"title: Bench\npressure: gauge\n".to_vec());
        for (name, bytes) in self.files.iter().chain([&imprint]) {
            let path = folder.join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        }
    }
}

fn page(name: &'static str, slip: &'static str, body: String) -> Case {
    let text = format!("---\ntitle: Rowan\n---\n\n{body}\n");
    Case { name, slip: Some(slip), shows: None, files: vec![("content/rowan.md", text.into())] }
}

fn shown(name: &'static str, body: &str, shows: &'static str) -> Case {
    Case { slip: None, shows: Some(shows), ..page(name, "", body.to_owned()) }
}

fn cutaway(name: &'static str, slip: Option<&'static str>, text: String) -> Case {
    let page = "---\ntitle: Rowan\nengine: rowan\n---\n\nRowan.\n".to_owned();
    let files = vec![("content/rowan.md", page.into()), ("diagrams/rowan.cut", text.into())];
    Case { name, slip, shows: None, files }
}

fn drawing(name: &'static str, slip: &'static str, inside: &str) -> Case {
    let body = "![Bolt](bolt.svg \"credit: own drawing\")".to_owned();
    let mut case = page(name, slip, body);
    let svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' \
         width='60' height='40'>{inside}</svg>"
    );
    case.files.push(("content/bolt.svg", svg.into()));
    case
}

fn counted(times: usize, one: impl Fn(usize) -> String) -> String {
    (0..times).map(one).collect()
}

/// All of them.
pub(crate) fn all() -> Vec<Case> {
    [pages(), escapes(), cutaways(), drawings(), photographs()].into_iter().flatten().collect()
}

fn pages() -> Vec<Case> {
    let choices = format!("{{% if 0 %}}{}{{% endif %}}", "{% elif 0 %}".repeat(2_100));
    let sum = |start: &str, one: &str| format!("It is {{{{ {start}{} }}}}.", one.repeat(6_000));
    vec![
        page("a sum without end", "template-fault", sum("1", "+1")),
        page("signs without end", "template-fault", sum("1 ~ 1", " ~ 1")),
        page("filters without end", "template-fault", sum("1", "|abs")),
        page("choices without end", "template-fault", choices),
        page("a loop that prints too much", "template-fault", "{% for a in range(9000) %}{% for b in range(9000) %}long words{% endfor %}{% endfor %}".into()),
        page("names that could be set", "template-fault", "{% set a = 'x' %}".into()),
        page("a script in the text", "raw-html", "<script>alert(1)</script>".into()),
        page("a picture that runs", "raw-html", "<img src=x onerror=alert(1)>".into()),
        page("a link that runs", "dangerous-link", "[a](javascript:alert(1))".into()),
        page("a link that climbs", "dangerous-link", "[a](../../etc/passwd)".into()),
        page("a link that climbs in disguise", "dangerous-link", "[a](%2e%2e/%2e%2e/x)".into()),
        page("a link into the disk", "dangerous-link", "[a](file:///etc/passwd)".into()),
        page("a picture from elsewhere", "image-missing", "![a](//example.org/a.png \"credit: b\")".into()),
    ]
}

fn escapes() -> Vec<Case> {
    let headings = "{% for i in range(3000) %}\n## a\n{% endfor %}";
    vec![
        shown("three thousand equal headings", headings, "<h2 id=\"a-3000\">"),
        shown(
            "a heading with the id of a part",
            "## Poses\n\n## Sheet {#_sheet}\n",
            "<h2 id=\"sheet\">",
        ),
        shown("signs of HTML in the text", "a \\<b> & \"c\" `<d>`", "a &lt;b&gt; &amp;"),
        shown("quotes within quotes", &format!("{} deep", ">".repeat(3_000)), "deep"),
        shown("lists within lists", &counted(300, |at| format!("{}- x\n", "  ".repeat(at))), "x"),
        shown("emphasis without end", &format!("{}deep", "*a **b ".repeat(3_000)), "deep"),
        shown("brackets without end", &format!("{}deep", "[".repeat(20_000)), "deep"),
    ]
}

fn cutaways() -> Vec<Case> {
    let start = "cutaway rowan\nsupply line\n";
    let chambers = |count| counted(count, |at| format!("chamber c{at}\n"));
    let joined =
        counted(15, |from| counted(from, |to| format!("way w{from}_{to} from c{from} to c{to}\n")));
    let chain = counted(1_000, |at| format!("way w{at} from c{at} to c{}\n", at + 1));
    let axes = counted(2_000, |at| format!("axis a{at}: line\n"));
    let large = Some("cutaway-too-large");
    vec![
        cutaway(
            "fifteen chambers, each joined to each",
            None,
            format!("{start}{}{joined}", chambers(15)),
        ),
        cutaway(
            "a chain of chambers without end",
            large,
            format!("{start}{}{chain}", chambers(1_000)),
        ),
        cutaway("axes without end", large, format!("{start}{axes}")),
        cutaway(
            "unknown words without end",
            Some("page-too-large"),
            format!("{start}{}", "xyz\n".repeat(200_000)),
        ),
        cutaway(
            "a text of nothing without end",
            Some("page-too-large"),
            format!("{start}{}", "# x\n".repeat(500_000)),
        ),
        cutaway(
            "two that are based on each other",
            Some("base-loop"),
            "cutaway rowan based on rowan\n".into(),
        ),
    ]
}

fn drawings() -> Vec<Case> {
    let (unread, large) = ("image-unreadable", "image-too-large");
    let patterns = |times: usize, links: usize| {
        let used =
            |at: usize| format!("<path d='M0 0h1v1z' fill='url(#p{})'/>", at + 1).repeat(times);
        let all = counted(links, |at| {
            format!("<pattern id='p{at}' width='4' height='4'>{}</pattern>", used(at))
        });
        format!("{all}<rect width='9' height='9' fill='url(#p0)'/>")
    };
    let attributes = counted(150_000, |at| format!(" a{at}='1'"));
    let marker = format!("<marker id='m'>{}</marker>", "<rect width='1' height='1'/>".repeat(100));
    let line = format!("<path marker-mid='url(#m)' d='M0 0{}'/>", "h1v1".repeat(100_000));
    vec![
        drawing("patterns in a chain", large, &patterns(1, 275)),
        drawing("patterns that double", large, &patterns(2, 30)),
        drawing(
            "pieces of text without end",
            large,
            &format!("<text>{}</text>", "<tspan>A</tspan>".repeat(60_000)),
        ),
        drawing("attributes without end", large, &format!("<g{attributes}/>")),
        drawing("markers on a long line", large, &format!("{marker}{line}")),
        drawing("a script in a drawing", unread, "<script>alert(1)</script>"),
        drawing(
            "a drawing that uses another",
            unread,
            "<use xlink:href='http://example.org/a.svg#a'/>",
        ),
        drawing(
            "a drawing that shows a file",
            unread,
            "<image xlink:href='/etc/passwd' width='9' height='9'/>",
        ),
        drawing("a drawing that shows itself", large, "<g id='a'><use xlink:href='#a'/></g>"),
        drawing("arcs as large as the world", unread, "<path d='M0 0A9e30 1 0 0 1 5 5'/>"),
    ]
}

/// Nothing hostile, but as much as is let through of what grows in squares: pieces of a text.
#[allow(dead_code, reason = "for the slow suite: without optimisation it takes half a minute")]
pub(crate) fn at_the_limit() -> Case {
    let text = format!("<text y='9'>{}</text>", "<tspan>AAAA</tspan>".repeat(600));
    let case = drawing("as many pieces of text as may be", "", &text);
    Case { slip: None, shows: Some("<img"), ..case }
}

/// A chunk of a PNG (W3C PNG, 5.3).
fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut check = flate2::Crc::new();
    check.update(kind);
    check.update(data);
    let length = u32::try_from(data.len()).unwrap().to_be_bytes();
    [&length[..], kind, data, &check.sum().to_be_bytes()].concat()
}

/// So many bytes of nought, compressed.
fn noughts(count: u64) -> Vec<u8> {
    let mut all = std::io::Read::take(std::io::repeat(0), count);
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    std::io::copy(&mut all, &mut packed).unwrap();
    packed.finish().unwrap()
}

/// A grey photograph of these sides, all black, with more chunks.
fn photograph(name: &'static str, (width, height): (u32, u32), more: &[u8]) -> Case {
    let body = "![Bolt](bolt.png \"credit: own photo\")".to_owned();
    let mut case = page(name, "", body);
    let sides = [width.to_be_bytes(), height.to_be_bytes()].concat();
    let head = chunk(b"IHDR", &[&sides[..], &[8, 0, 0, 0, 0]].concat());
    let pixels = chunk(b"IDAT", &noughts(u64::from(height) * u64::from(width + 1)));
    let png = [b"\x89PNG\r\n\x1a\n", &head[..], more, &pixels, &chunk(b"IEND", b"")].concat();
    case.files.push(("content/bolt.png", png));
    case
}

fn photographs() -> Vec<Case> {
    let large = Some("image-too-large");
    let profile = [&b"x\0\0"[..], &noughts(400_000_000)].concat();
    vec![
        Case { slip: large, ..photograph("a very tall photograph", (1, 30_000_000), &[]) },
        Case { slip: large, ..photograph("a very wide photograph", (30_000_000, 1), &[]) },
        // Colour profiles are not published.
        Case {
            slip: None,
            shows: Some("<img src=\"bolt.png\""),
            ..photograph("a colour profile without end", (8, 8), &chunk(b"iCCP", &profile))
        },
    ]
}
