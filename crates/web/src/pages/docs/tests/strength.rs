//! The pictures about strength: one sachet in four vessels, and what the classes of a strip say. Both on one scale of ratios.

use ouncewise_hygiene::profile::{Applied, Profile, Sanitiser};
use ouncewise_hygiene::strength::{Fill, MgPerLitre, Mix, Piece, Product};
use ouncewise_hygiene::strip::{Edges, StripKind, StripReads};
use ouncewise_measure::Grams;
use ouncewise_measure::print::significant;

use super::ALL;

const INK: &str = "#1b1b1b";
const BLUE: &str = "#0072b2";
const WIDTH: f64 = 360.0;
/// Left and right end of the scale.
const ENDS: (f64, f64) = (16.0, 344.0);

/// A text of the picture.
fn text(x: f64, y: f64, size: u8, more: &str, words: &str) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" fill=\"{INK}\" font-size=\"{size}\"{more}>{words}</text>\n"
    )
}

fn line(from: (f64, f64), to: (f64, f64), width: f64) -> String {
    format!(
        "<path d=\"M{:.1} {:.1}L{:.1} {:.1}\" stroke=\"{INK}\" stroke-width=\"{width}\"/>\n",
        from.0, from.1, to.0, to.1
    )
}

fn svg(height: u16, title: [&str; 2], desc: &str, body: &str) -> String {
    let bold = " font-weight=\"700\"";
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{WIDTH}\" height=\"{height}\" viewBox=\"0 0 {WIDTH} {height}\" font-family=\"Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif\">\
         <title>{} {}</title><desc>{desc}</desc>\n{}{}{body}</svg>\n",
        title[0],
        title[1],
        text(4.0, 16.0, 16, bold, title[0]),
        text(4.0, 36.0, 16, bold, title[1]),
    )
}

/// Where a strength stands between two, by ratios.
fn place(strength: f64, (least, most): (f64, f64)) -> f64 {
    ENDS.0 + (ENDS.1 - ENDS.0) * (strength / least).ln() / (most / least).ln()
}

fn number(value: f64) -> String {
    let text = significant(value, 3);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A sachet of 0.9464 g of available chlorine: 100 mg/L in 2.5 US gallons (HY-49, HY-54; CALC).
fn in_vessel(water: &str) -> f64 {
    let product = Product::Pieces(Piece::Available(Grams(0.946_352_946)));
    let (dose, water) = ("1 sachet".parse().unwrap(), water.parse().unwrap());
    Mix { product, dose, water, fill: Fill::UpTo }.made(None).unwrap().strength.0
}

const VESSELS: [(&str, &str); 4] = [
    ("1 gal (US)", "1 US gallon"),
    ("2.5 gal (US)", "2.5 US gallons, as meant"),
    ("10 L", "a ten-litre bucket"),
    ("2.5 gal (imperial)", "2.5 imperial gallons"),
];

/// The rows of the model code for chlorine, each with its least temperature up to pH 8, and the ceiling.
pub fn gallon() -> String {
    let scale = (40.0, 300.0);
    let model = Profile::shipped("model-code").unwrap();
    let ceiling = model.ceilings.iter().find(|c| c.sanitiser == Sanitiser::Chlorine).unwrap().to.0;
    let asks = |strength: f64| {
        let row = model.row(Sanitiser::Chlorine, MgPerLitre(strength), Applied::default());
        let column = row.and_then(|row| row.columns.first());
        column.map_or_else(|| "no row".to_owned(), |column| format!("{} °C", column.least.c))
    };
    let least = |strength: f64| {
        let row = model.row(Sanitiser::Chlorine, MgPerLitre(strength), Applied::default());
        row.and_then(|row| row.from).map_or(0.0, |from| from.0)
    };
    let (top, bottom) = (84.0, 84.0 + 40.0 * VESSELS.len() as f64);
    let mut body = String::new();
    // The rows begin at 50 and 100; over the ceiling nothing may stay.
    let mut edges = vec![scale.0, least(60.0), least(100.0), ceiling];
    edges.dedup();
    for (pair, shade) in edges.windows(2).zip([0.0, 0.10, 0.22]) {
        let (from, to) = (place(pair[0].max(scale.0), scale), place(pair[1], scale));
        body += &format!(
            "<rect x=\"{from:.1}\" y=\"{:.0}\" width=\"{:.1}\" height=\"{:.0}\" fill=\"{BLUE}\" opacity=\"{shade}\"/>\n",
            top - 8.0,
            to - from,
            bottom - top + 8.0
        );
    }
    for edge in &edges[1..] {
        let x = place(*edge, scale);
        // Beside the words, and not through them.
        for row in 0..VESSELS.len() {
            let y = top + 26.0 + 40.0 * row as f64;
            body += &line((x, y - 7.0), (x, y + 7.0), 1.0);
        }
        body += &line((x, top - 12.0), (x, top - 4.0), 1.0);
        body += &text(x, top - 16.0, 12, " text-anchor=\"middle\"", &number(*edge));
    }
    for (row, (water, words)) in VESSELS.iter().enumerate() {
        let (strength, y) = (in_vessel(water), top + 26.0 + 40.0 * row as f64);
        let x = place(strength, scale);
        let told = if strength > ceiling {
            "over the ceiling".to_owned()
        } else {
            format!("asks {}", asks(strength))
        };
        let says = format!("{words}: {} mg/L, {told}", number(strength));
        body += &text(ENDS.0, y - 10.0, 12, "", &says);
        body += &line((ENDS.0, y), (x, y), 1.0);
        body += &format!(
            "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"5\" fill=\"{BLUE}\" stroke=\"{INK}\"/>\n"
        );
    }
    body += &text(
        ENDS.0,
        bottom + 16.0,
        12,
        "",
        "chlorine in mg/L, by ratios; least temperature up to pH 8",
    );
    let desc = "One sachet that is made for 2.5 US gallons, mixed in four vessels: the strength of each, and the row of a model code that it falls under.";
    svg(270, ["One sachet, four vessels:", "another row asks warmer water"], desc, &body)
}

/// The classes of a card of 10, 50, 100 and 200, with the edges between them by ratios (HY-61, CALC).
pub fn strip() -> String {
    let (scale, classes) = ((5.0, 400.0), [10.0, 50.0, 100.0, 200.0]);
    let all: Vec<MgPerLitre> = classes.iter().map(|class| MgPerLitre(*class)).collect();
    let kind = StripKind::new(StripReads::Chlorine, &all).unwrap();
    let (top, high) = (76.0, 44.0);
    let mut body = String::new();
    for (class, shade) in all.iter().zip([0.08, 0.25, 0.45, 0.7]) {
        let supports = kind.supports(*class, Edges::Geometric).unwrap();
        let (from, to) = (supports.from.0.max(scale.0), supports.to.map_or(scale.1, |to| to.0));
        let (from, to) = (place(from, scale), place(to, scale));
        body += &format!(
            "<rect x=\"{from:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{high}\" fill=\"{BLUE}\" fill-opacity=\"{shade}\" stroke=\"{INK}\"/>\n",
            to - from
        );
        let says = |y: f64, size, more: &str, words: &str| {
            text(0.5 * (from + to), y, size, &format!(" text-anchor=\"middle\"{more}"), words)
        };
        // A plate of white under the number, so that it is read on any shade.
        body += &format!(
            "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"38\" height=\"22\" fill=\"#fff\"/>\n",
            0.5 * (from + to) - 19.0,
            top + 11.0
        );
        body += &says(top + 27.0, 14, " font-weight=\"700\"", &number(class.0));
    }
    for pair in all.windows(2) {
        let edge = kind.supports(pair[1], Edges::Geometric).unwrap().from.0;
        let x = place(edge, scale);
        body += &line((x, top), (x, top + high + 8.0), 1.5);
        body += &text(x, top + high + 22.0, 12, " text-anchor=\"middle\"", &format!("{edge:.0}"));
    }
    let hundred = kind.supports(MgPerLitre(100.0), Edges::Geometric).unwrap();
    let (from, to) = (hundred.from.0, hundred.to.unwrap().0);
    let y = top - 10.0;
    body += &line((place(from, scale), y), (place(to, scale), y), 3.0);
    body += &text(
        0.5 * (place(from, scale) + place(to, scale)),
        y - 6.0,
        12,
        " text-anchor=\"middle\"",
        &format!("“100”: {from:.0} to {to:.0}"),
    );
    body += &text(
        ENDS.0,
        top + high + 44.0,
        12,
        "",
        "the classes of a card, in mg/L by ratios: an edge is half-way",
    );
    let desc = "A card with the classes 10, 50, 100 and 200. A strip that matches 100 supports what lies between the edges to its neighbours.";
    svg(170, ["A strip reads a class:", "what lies between two edges"], desc, &body)
}

/// What the document says of its pictures, as it is computed.
#[test]
fn figures_in_the_document_are_what_the_program_computes() {
    let (_, _, text) = ALL.iter().find(|(name, ..)| *name == "strength").unwrap();
    for (water, _) in VESSELS {
        let strength = number(in_vessel(water));
        assert!(
            text.contains(&format!("{strength} mg/L")),
            "docs/strength.md does not say {strength} mg/L of {water}"
        );
    }
    let all = [10.0, 50.0, 100.0, 200.0].map(MgPerLitre);
    let kind = StripKind::new(StripReads::Chlorine, &all).unwrap();
    let told = kind.supports(all[2], Edges::Geometric).unwrap().to_string();
    assert!(text.contains(&told), "docs/strength.md does not say “{told}”");
}
