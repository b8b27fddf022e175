//! Names are text, whatever they hold: in every file that is written they come out inert. Each kind of file is taken apart
//! by a reader of its own and held against the same job with plain names.

use crate::shared::check;
use csv::ReaderBuilder;
use nestwright::export::{self, Files};
use nestwright::gcode::read::{Setup, read};
use nestwright::reading::shows_as_itself;
use std::collections::BTreeSet;
use usvg::roxmltree;

/// Paths, markup and commands of every language that a file is written in.
const NASTY: [&str; 72] = [
    // Paths.
    "../../../etc/passwd",
    "/abs/olute",
    r"C:\Windows\system32",
    "CON",
    "nul.txt",
    "COM1",
    "..",
    ".",
    "a/b",
    "trailing dots...",
    "-rf",
    "--help",
    "~root",
    "$(reboot)",
    "`reboot`",
    "%TEMP%",
    "a:b|c*d?e",
    "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx",
    "🐝🐝 👩\u{200d}🌾",
    "خلية نحل",
    "Ångström ½ × 蜂箱",
    // Markup.
    "<script>alert(1)</script>",
    "</title></script><svg onload=alert(1)>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</text><script>alert(1)</script>",
    "</style><b>bold</b>",
    "]]>",
    "<![CDATA[ x ]]>",
    "<!-- <!--",
    "--> -->",
    "<?php phpinfo() ?>",
    "&lt;b&gt; &#x41; &amp;amp;",
    "<!ENTITY x SYSTEM \"file:///etc/passwd\">",
    "javascript:alert(1)",
    "{{ 7 * 7 }}",
    "{% raw %}",
    "${7*7} #{7*7}",
    // Formulas.
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "=HYPERLINK(\"http://example.invalid\")",
    "=cmd|'/C calc'!A0",
    "＝1+1",
    "a\"b,c;d",
    // Programs.
    "part) M3 S24000 (",
    "part) G0 Z-50",
    "; G0 Z-50",
    "%",
    "% O1000",
    "MSG, hello",
    "(MSG, hello)",
    "DEBUG,#1",
    "PRINT, x",
    "probeopen x.txt",
    "N10 M30",
    "#1=3 O100 CALL",
    "! ~ ? $H",
    // Drawings.
    "%%d %%u %%c",
    r"\P\S1/2; \U+0041",
    r"{\C1;red}",
    "^J^M",
    "EOF",
    "ENDSEC",
    "0",
    // Print.
    "(unbalanced",
    "balanced)",
    r"\) Tj ET (",
    "endstream endobj",
    ">> /JavaScript (app.alert(1))",
    "<</S/URI/URI(http://example.invalid)>>",
];

/// Names of a job: its title, box, stock, recess, currency and price, and its loose parts.
struct Names<'a> {
    one: [&'a str; 6],
    parts: Vec<&'a str>,
}

fn job(names: &Names) -> Files {
    let text = |name: &str| toml::Value::String(name.into()).to_string();
    let [title, name, stock, recess, currency, item] = names.one.map(text);
    let mut spec = format!(
        r#"
        title = {title}
        [[stock]]
        name = {stock}
        material = "birch-plywood"
        size = [1220, 610]
        thickness = 12.1
        price = 30
        [router]
        machine = "desktop-router"
        cutter = "endmill-6"
        drills = ["drill-20"]
        [saw]
        kerf = 3
        [cost]
        currency = {currency}
        rate = 30
        [[cost.item]]
        name = {item}
        price = 3
        [[box]]
        name = {name}
        kind = "open-box"
        count = 1
        inside = [200, 150, 80]
        hole = [{{ panel = "front", use = "pilot", diameter = 20, across = "centre", up = 40 }}]
        pocket = [{{ panel = "back", size = [40, 20], depth = 4, across = 60, up = 40, purpose = {recess} }}]
        "#
    );
    for (i, part) in names.parts.iter().enumerate() {
        spec += &format!("\n[[part]]\nname = {}\nsize = [{}, 30]\n", text(part), 60 + i);
    }
    let made =
        nestwright::make(check(&spec), &crate::shared::search()).unwrap_or_else(|error| panic!("{error}\n{spec}"));
    export::files(&made).unwrap_or_else(|error| panic!("{error}\n{spec}"))
}

/// The jobs: every text stands once as each of the names, and once as a part.
fn nasty_jobs() -> Vec<(Names<'static>, Files)> {
    const PARTS: usize = 12;
    let at = |i: usize| NASTY[i % NASTY.len()];
    (0..NASTY.len())
        .step_by(PARTS)
        .map(|i| {
            let one = [0, 1, 2, 3, 4, 5].map(|k| at(i + k + PARTS));
            let parts = (0..PARTS).map(|k| at(i + k)).filter(|name| *name != one[1]).collect();
            let names = Names { one, parts };
            let files = job(&names);
            (names, files)
        })
        .collect()
}

fn plain_job() -> Files {
    const PARTS: [&str; 12] = ["p a", "p b", "p c", "p d", "p e", "p f", "p g", "p h", "p i", "p j", "p k", "p l"];
    job(&Names { one: ["title", "tray", "stock", "slot", "EUR", "paint"], parts: PARTS.into() })
}

fn text(bytes: &[u8]) -> &str {
    std::str::from_utf8(bytes).expect("text in UTF-8")
}

fn with_ending<'a>(files: &'a Files, ending: &'a str) -> impl Iterator<Item = (&'a str, &'a [u8])> {
    files.iter().filter(move |(name, _)| name.ends_with(ending)).map(|(name, bytes)| (name.as_str(), bytes.as_slice()))
}

#[test]
fn every_text_comes_out_inert_in_every_file() {
    let plain = plain_job();
    let known = Known::of(&plain);
    let mut kinds = BTreeSet::new();
    for (names, files) in nasty_jobs() {
        kinds.extend(files.keys().filter_map(|name| name.rsplit_once('.')).map(|(_, ending)| ending.to_string()));
        let all: Vec<String> = files.keys().map(|name| name.to_lowercase()).collect();
        assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), files.len(), "no two alike where case does not count");
        files.keys().for_each(|name| harmless_path(name));
        with_ending(&files, ".svg").for_each(|(name, bytes)| known.svg(name, text(bytes)));
        with_ending(&files, ".html").for_each(|(name, bytes)| known.html(name, text(bytes)));
        with_ending(&files, ".dxf").for_each(|(name, bytes)| dxf(name, bytes));
        with_ending(&files, ".nc").for_each(|(name, bytes)| program(name, text(bytes)));
        with_ending(&files, ".csv").for_each(|(name, bytes)| table(name, bytes));
        with_ending(&files, ".pdf").for_each(|(name, bytes)| known.pdf(name, bytes, names.one[0]));
        with_ending(&files, ".txt").for_each(|(name, bytes)| {
            assert!(text(bytes).chars().all(|c| c == '\n' || shows_as_itself(c)), "{name}");
        });
        let json: serde_json::Value = serde_json::from_slice(&files["job.json"]).expect("JSON");
        assert_eq!(json["title"], names.one[0]);
        let parts: Vec<&str> =
            json["parts"].as_array().expect("a list").iter().filter_map(|part| part["name"].as_str()).collect();
        names.parts.iter().for_each(|name| assert!(parts.contains(name), "{name} in {parts:?}"));
    }
    let read = ["csv", "dxf", "html", "json", "nc", "pdf", "svg", "toml", "txt"];
    assert_eq!(kinds.iter().map(String::as_str).collect::<Vec<_>>(), read, "a kind of file that is not taken apart");
}

/// Lower-case letters, digits and hyphens, at most one folder deep, and no name that some system keeps for a device.
fn harmless_path(name: &str) {
    assert!(name.matches('/').count() <= 1, "{name}");
    for piece in name.split('/') {
        let (stem, ending) = piece.split_once('.').unwrap_or((piece, "none"));
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        assert!(!stem.is_empty() && stem.len() <= 80 && stem.chars().all(plain) && !stem.starts_with('-'), "{name}");
        assert!(!ending.is_empty() && ending.chars().all(|c| c.is_ascii_lowercase()), "{name}");
        let device = stem.trim_end_matches(|c: char| c.is_ascii_digit());
        assert!(!["con", "prn", "aux", "nul", "com", "lpt"].contains(&device), "{name}");
    }
}

/// What the files of a job with plain names are made of: no other job has anything else in it.
struct Known {
    svg: BTreeSet<String>,
    html: BTreeSet<String>,
    scripts: usize,
    pdf: BTreeSet<String>,
}

impl Known {
    fn of(files: &Files) -> Known {
        let page = html_pieces(text(&files["job.html"]));
        // Which pictures there are is told by the names in them; the format's own pieces are these.
        let svg = with_ending(files, ".svg").flat_map(|(name, bytes)| svg_pieces(name, text(bytes))).collect();
        Known {
            svg,
            scripts: page.iter().filter(|piece| *piece == "script").count(),
            html: page.into_iter().collect(),
            pdf: pdf_pieces(&files["drawings.pdf"]).0,
        }
    }

    fn svg(&self, name: &str, text: &str) {
        for piece in svg_pieces(name, text) {
            assert!(self.svg.contains(&piece), "{name} has {piece}");
        }
        usvg::Tree::from_str(text, &usvg::Options::default()).unwrap_or_else(|why| panic!("{name}: {why}"));
    }

    fn html(&self, name: &str, text: &str) {
        let pieces = html_pieces(text);
        assert_eq!(pieces.iter().filter(|piece| *piece == "script").count(), self.scripts, "{name}");
        for piece in pieces {
            assert!(self.html.contains(&piece), "{name} has {piece}");
        }
    }

    fn pdf(&self, name: &str, bytes: &[u8], title: &str) {
        let (names, texts) = pdf_pieces(bytes);
        for piece in names {
            assert!(self.pdf.contains(&piece), "{name} has {piece}");
        }
        assert!(texts.contains(title), "{name}: {title} in {texts:?}");
    }
}

/// Elements with their attributes, and nothing beside elements and text.
fn svg_pieces(name: &str, text: &str) -> Vec<String> {
    let document = roxmltree::Document::parse(text).unwrap_or_else(|why| panic!("{name}: {why}"));
    let mut pieces = Vec::new();
    for node in document.descendants() {
        assert!(node.is_element() || node.is_text() || node.is_root(), "{name}: {node:?}");
        if node.is_element() {
            let tag = node.tag_name().name();
            pieces.push(tag.to_string());
            pieces.extend(node.attributes().map(|attribute| format!("{tag} {}", attribute.name())));
        }
    }
    pieces
}

/// Elements with their attributes, after the HTML standard's rules for tags; what stands in a script or a style is text.
fn html_pieces(text: &str) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        if let Some(comment) = rest.strip_prefix("!--") {
            pieces.push("a comment".into());
            rest = comment.split_once("-->").expect("its end").1;
            continue;
        }
        let Some(first) = rest.chars().next().filter(|c| c.is_ascii_alphabetic() || "/!?".contains(*c)) else {
            continue;
        };
        // A tag ends at the first > that stands in no quotes.
        let (mut quote, mut end) = (None, rest.len());
        for (i, c) in rest.char_indices() {
            match quote {
                Some(open) if c == open => quote = None,
                Some(_) => {}
                None if c == '"' || c == '\'' => quote = Some(c),
                None if c == '>' => {
                    end = i;
                    break;
                }
                None => {}
            }
        }
        let tag = &rest[..end];
        rest = &rest[end..];
        let name = tag.split_whitespace().next().expect("a name").trim_end_matches('/').to_ascii_lowercase();
        if first == '?' || first == '/' {
            continue;
        }
        pieces.push(name.clone());
        let mut attributes = tag[name.len().min(tag.len())..].trim_end_matches('/');
        while let Some((attribute, after)) = next_attribute(attributes) {
            pieces.push(format!("{name} {attribute}"));
            attributes = after;
        }
        if name == "script" || name == "style" {
            rest = rest.split_once(&format!("</{name}")).expect("its end").1;
        }
    }
    pieces
}

/// The next attribute's name (with its value, where that is an address), and what follows.
fn next_attribute(text: &str) -> Option<(String, &str)> {
    let text = text.trim_start();
    let end = text.find(|c: char| c.is_whitespace() || c == '=').unwrap_or(text.len());
    let (name, rest) = text.split_at(end);
    if name.is_empty() {
        return None;
    }
    let Some(value) = rest.strip_prefix('=') else { return Some((name.to_ascii_lowercase(), rest)) };
    let quote = value.chars().next().filter(|c| *c == '"' || *c == '\'');
    let (value, rest) = match quote {
        Some(quote) => value[1..].split_once(quote).expect("the quote's end"),
        None => value.split_at(value.find(char::is_whitespace).unwrap_or(value.len())),
    };
    let address = name == "href" || name == "src";
    let scheme = if address { value.split_once(':').map_or("", |(scheme, _)| scheme) } else { "" };
    Some((format!("{}{}{scheme}", name.to_ascii_lowercase(), if scheme.is_empty() { "" } else { " " }), rest))
}

/// Only the entities and layers that a drawing of ours has, and no text that its readers take for a code.
fn dxf(name: &str, bytes: &[u8]) {
    use dxf::entities::EntityType;
    let drawing = dxf::Drawing::load(&mut std::io::Cursor::new(bytes)).unwrap_or_else(|why| panic!("{name}: {why}"));
    for entity in drawing.entities() {
        let layer = entity.common.layer.as_str();
        assert!(["SHEET", "OUTLINE", "HOLES", "POCKETS", "ENGRAVING", "LABELS"].contains(&layer), "{name}: {layer}");
        match &entity.specific {
            EntityType::LwPolyline(_) | EntityType::Circle(_) => {}
            EntityType::Text(text) => {
                let codes = text.value.chars().any(|c| matches!(c, '%' | '\\' | '^') || !shows_as_itself(c));
                assert!(!codes, "{name}: {:?}", text.value);
            }
            other => panic!("{name}: {other:?}"),
        }
    }
    let text = text(bytes);
    assert_eq!(text.lines().count() % 2, 0, "{name}: codes and values go in pairs");
    let ends =
        text.lines().collect::<Vec<_>>().chunks(2).filter(|pair| pair[0].trim() == "0" && pair[1] == "EOF").count();
    assert_eq!(ends, 1, "{name}");
    assert!(text.trim_end().ends_with("EOF"), "{name}");
}

/// Read whole by the reader that knows nothing of the writer; its comments carry nothing that any controller acts on.
fn program(name: &str, text: &str) {
    for step in read(text, &Setup::default()) {
        step.unwrap_or_else(|refusal| panic!("{name}: {refusal}\n{text}"));
    }
    for line in text.lines() {
        assert!(line.chars().all(|c| matches!(c, ' '..='~')), "{name}: {line}");
        let Some((code, comment)) = line.split_once('(') else {
            assert!(!line.contains(')') && !line.contains(';'), "{name}: {line}");
            continue;
        };
        let comment = comment.strip_suffix(')').unwrap_or_else(|| panic!("{name}: {line}"));
        assert!(code.trim().is_empty(), "{name}: a comment stands alone: {line}");
        // % ends a program's text on some controllers wherever it stands; ! ~ ? and control characters act at once on
        // others (common practice: tape format, and real-time commands of small controllers).
        assert!(!comment.contains(['(', ')', ';', '%', '!', '~', '?', '$', '[', ']', '{', '}', '#']), "{name}: {line}");
        // RS274/NGC, 3.3.4: a comment that begins with MSG, is shown to the operator; controllers have added others.
        let first: String = comment.trim_start().chars().take_while(char::is_ascii_alphabetic).collect();
        let acts = ["MSG", "DEBUG", "PRINT", "LOG", "LOGOPEN", "LOGCLOSE", "PROBEOPEN", "PROBECLOSE", "PY"];
        assert!(!acts.contains(&first.to_ascii_uppercase().as_str()), "{name}: {line}");
    }
}

/// Rows of one length, and no cell that a spreadsheet takes for a formula.
fn table(name: &str, bytes: &[u8]) {
    let mut rows = ReaderBuilder::new().from_reader(bytes);
    let width = rows.headers().expect("a head").len();
    for row in rows.records() {
        let row = row.unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(row.len(), width, "{name}: {row:?}");
        for cell in &row {
            let formula = cell.trim_start().starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']);
            assert!(!formula || cell.parse::<f64>().is_ok(), "{name}: {cell}");
        }
    }
}

/// The names in a PDF's objects, and its texts; streams are left out. After ISO 32000-1, 7.3.
fn pdf_pieces(bytes: &[u8]) -> (BTreeSet<String>, BTreeSet<String>) {
    let (mut names, mut texts) = (BTreeSet::new(), BTreeSet::new());
    let mut i = 0;
    let regular = |byte: u8| !byte.is_ascii_whitespace() && !b"()<>[]{}/%".contains(&byte);
    while i < bytes.len() {
        match bytes[i] {
            b'%' => {
                while i < bytes.len() && bytes[i] != b'\n' {
                    i += 1;
                }
            }
            b'/' => {
                let start = i + 1;
                i = start;
                while i < bytes.len() && regular(bytes[i]) {
                    i += 1;
                }
                names.insert(String::from_utf8_lossy(&bytes[start..i]).into_owned());
            }
            b'(' => {
                let (mut depth, mut text) = (1, Vec::new());
                i += 1;
                while depth > 0 {
                    match bytes[i] {
                        b'\\' => {
                            i += 1;
                            let octal: Vec<u8> =
                                bytes[i..].iter().take(3).take_while(|b| (b'0'..=b'7').contains(b)).copied().collect();
                            if octal.is_empty() {
                                text.push(match bytes[i] {
                                    b'n' => b'\n',
                                    b'r' => b'\r',
                                    b't' => b'\t',
                                    other => other,
                                });
                            } else {
                                let value = octal.iter().fold(0u32, |value, digit| value * 8 + u32::from(digit - b'0'));
                                text.push(u8::try_from(value).expect("a byte"));
                                i += octal.len() - 1;
                            }
                        }
                        b'(' => {
                            depth += 1;
                            text.push(b'(');
                        }
                        b')' => {
                            depth -= 1;
                            text.push(b')');
                        }
                        other => text.push(other),
                    }
                    i += 1;
                }
                text.pop();
                texts.insert(pdf_text(&text));
            }
            b'<' if bytes.get(i + 1) == Some(&b'<') => i += 2,
            b'<' => {
                let end = i + bytes[i..].iter().position(|byte| *byte == b'>').expect("its end");
                let digits: Vec<u8> = bytes[i + 1..end].iter().filter(|b| b.is_ascii_hexdigit()).copied().collect();
                let hex = |pair: &[u8]| u8::from_str_radix(text(pair), 16).expect("hex");
                texts.insert(pdf_text(&digits.chunks(2).map(hex).collect::<Vec<u8>>()));
                i = end + 1;
            }
            b's' if bytes[i..].starts_with(b"stream") => {
                let found = bytes[i..].windows(9).position(|nine| nine == b"endstream").expect("the stream's end");
                i += found + 9;
            }
            _ => i += 1,
        }
    }
    (names, texts)
}

/// UTF-16 with a mark in front, or one byte to a letter.
fn pdf_text(bytes: &[u8]) -> String {
    match bytes.strip_prefix(&[0xfe, 0xff]) {
        Some(wide) => {
            let units: Vec<u16> = wide.chunks(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

/// The reader of HTML that the test uses sees what it should.
#[test]
fn markup_would_be_seen() {
    assert_eq!(html_pieces("<p title='a>b'>x</p>"), ["p", "p title"]);
    assert_eq!(html_pieces("<a href=\"javascript:x\">"), ["a", "a href javascript"]);
    assert!(html_pieces("<p>a<img src=x onerror=y></p>").contains(&"img onerror".to_string()));
    assert!(std::panic::catch_unwind(|| table("t", b"a,b\n=1,2\n")).is_err());
    assert!(std::panic::catch_unwind(|| program("p", "(MSG, x)\nM30\n")).is_err());
    let (names, texts) = pdf_pieces(b"<< /Title (a\\)b \\(c\\)) /S /URI >>");
    assert!(names.contains("URI") && texts.contains("a)b (c)"), "{names:?} {texts:?}");
}
