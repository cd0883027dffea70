//! The key: what the shapes say, of those that occur.

use jiff::civil::DateTime;
use maud::{Markup, html};

use crate::catches::{Spot, mark, point};
use crate::data::{Catch, Reading, Side, State, Stood, Verdict};
use crate::pen::{Anchor, Pen, width_of};

/// Height of a line of the key.
pub(crate) const LINE: f64 = 18.0;

/// Room for a glyph, and between two items.
const GLYPH: f64 = 20.0;
const BETWEEN: f64 = 16.0;

/// An item of the key.
#[derive(Debug)]
enum Item {
    Glyph(Catch),
    Bar,
    Area(&'static str),
}

/// The items of a key.
#[derive(Debug)]
pub(crate) struct Key(Vec<(Item, &'static str)>);

impl Key {
    /// What occurs among some catches.
    pub(crate) fn of<'a>(spots: impl Iterator<Item = &'a Spot<'a>>, stood: &[Stood]) -> Self {
        let spots: Vec<&Spot> = spots.collect();
        let has = |is: &dyn Fn(&Spot) -> bool| spots.iter().any(|spot| is(spot));
        let amount = |state, verdict| {
            Item::Glyph(sample(state, Reading::Portion { value: 0.0, u: 0.0 }, verdict))
        };
        let marked = |state, side| {
            Item::Glyph(sample(
                state,
                Reading::Mark { side, portion: 0.0 },
                Some(Verdict::OnTarget),
            ))
        };
        let on = Some(Verdict::OnTarget);
        let amounts = |state| has(&|s| s.is_amount() && s.catch.state == state);
        let verdict = |verdict| has(&|s| s.is_amount() && s.catch.verdict == verdict);
        let side = |side| {
            has(&|s| matches!(s.catch.reading, Reading::Mark { side: it, .. } if it == side))
        };
        let left_mark = has(&|s| !s.is_amount() && s.catch.state == State::Left);
        let all = [
            (amounts(State::Found), amount(State::Found, on), "as found"),
            (amounts(State::Left), amount(State::Left, on), "as left"),
            (
                verdict(Some(Verdict::Undecided)),
                amount(State::Found, Some(Verdict::Undecided)),
                "undecided",
            ),
            (
                verdict(Some(Verdict::OffTarget)),
                amount(State::Found, Some(Verdict::OffTarget)),
                "off target",
            ),
            (verdict(None), amount(State::Found, None), "not judged"),
            (has(&|s| s.doubt > 0.0), Item::Bar, "±, 19 times in 20"),
            (side(Side::Over), marked(State::Found, Side::Over), "over a mark"),
            (side(Side::Under), marked(State::Found, Side::Under), "under a mark"),
            (side(Side::At), marked(State::Found, Side::At), "at a mark"),
            (left_mark, marked(State::Left, Side::At), "mark, as left"),
            (stood.iter().any(|s| !s.ahead), Item::Area("stood"), "by its history (19 in 20)"),
            (stood.iter().any(|s| s.ahead), Item::Area("ahead"), "expected, if left alone"),
        ];
        Self(
            all.into_iter()
                .filter(|(occurs, ..)| *occurs)
                .map(|(_, item, words)| (item, words))
                .collect(),
        )
    }

    /// The key in lines between `left` and `right`, from `top`; and where it ends.
    pub(crate) fn draw(&self, pen: Pen, left: f64, right: f64, top: f64) -> (Markup, f64) {
        let (mut x, mut y) = (left, top + LINE / 2.0);
        let mut items = Vec::new();
        for (item, words) in &self.0 {
            let wide = GLYPH + width_of("note", words);
            if x > left && x + wide > right {
                (x, y) = (left, y + LINE);
            }
            items.push(html! {
                @match item {
                    Item::Bar => (pen.line("bar", (x + 7.0, y - 6.0), (x + 7.0, y + 6.0))),
                    Item::Area(class) => (pen.rect(class, (x, y - 5.0), (x + 14.0, y + 5.0))),
                    Item::Glyph(catch) => {
                        @match catch.reading {
                            Reading::Mark { side: Side::Over, .. } => (mark(pen, catch, (x + 7.0, y + 6.0), 3.5)),
                            Reading::Mark { side: Side::Under, .. } => (mark(pen, catch, (x + 7.0, y - 6.0), 3.5)),
                            Reading::Mark { .. } => (mark(pen, catch, (x + 7.0, y), 3.5)),
                            _ => (point(pen, catch, (x + 7.0, y), 3.5)),
                        }
                    }
                }
                (pen.text("note", (x + GLYPH, y + 4.0), Anchor::Start, words))
            });
            x += wide + BETWEEN;
        }
        let end = if self.0.is_empty() { top } else { y + LINE / 2.0 };
        (html! { @for item in &items { (item) } }, end)
    }
}

fn sample(state: State, reading: Reading, verdict: Option<Verdict>) -> Catch {
    Catch { at: DateTime::ZERO, state, read: String::new(), reading, verdict }
}
